"""A camera over a simulated table that sees what a lamp lights, a few pictures late."""

from __future__ import annotations

import cv2
import numpy as np
import numpy.typing as npt

from calibration.rig import Rig
from calibration.rig_camera import Conditions
from calibration.rig_picture import photograph
from calibration.rig_surface import Cloth, Sheet

__all__ = ["LiveRig"]


class LiveRig:
    """Lamp and camera in one: `light` what is projected, `read` what the camera sees of it."""

    def __init__(
        self,
        rig: Rig,
        conditions: Conditions,
        sheets: tuple[Sheet, ...] = (),
        cloth: Cloth | float = 0.7,
        late: int = 2,
    ) -> None:
        self.size = rig.screen_size
        self.lit: list[npt.NDArray[np.uint8]] = []
        self._rig, self._conditions, self._late = rig, conditions, late
        self._sheets, self._cloth = sheets, cloth
        self._seen = np.zeros((*rig.photo_size[::-1], 3), np.uint8)
        self._next, self._reads = self._seen, 0
        chance = np.random.default_rng(5)
        self._flicker = chance.integers(0, 3, self._seen.shape, np.uint8)

    def light(self, image: npt.NDArray[np.uint8]) -> None:
        self.lit.append(image)
        self._seen, self._reads = self._next, 0
        given = (self._sheets, self._cloth, self._conditions)
        grey = photograph(self._rig, image, len(self.lit), *given)
        self._next = np.repeat(grey[:, :, None], 3, axis=2) if grey.ndim == 2 else grey

    def wait(self) -> None:
        pass

    def read(self) -> npt.NDArray[np.uint8] | None:
        self._reads += 1
        now = self._next if self._reads > self._late else self._seen
        return np.asarray(cv2.add(now, np.roll(self._flicker, 37 * self._reads, axis=1)), np.uint8)

    def release(self) -> None:
        pass

    def close(self) -> None:
        pass
