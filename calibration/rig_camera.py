"""What a camera makes of light: blur, fall-off, noise; and the light it is taken in."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from calibration.light import Light

__all__ = ["PHONE", "WEBCAM", "Conditions", "exposed"]


@dataclass(frozen=True, slots=True)
class Conditions:
    """How a photograph is taken. Light is counted in parts of the projector's full white.

    Parameters
    ----------
    blur_px
        Standard deviation of the camera's blur, photograph pixels.
    noise
        Standard deviation at full white of a pixel, parts of full white; it falls with the root
        of the light (photons), over a tenth of it that is always there.
    falloff
        Part of the light lost in the corners of the photograph.
    jpeg
        Quality 1 to 100; None for none.
    room, uneven
        Light of the room on the table, and how far it rises and falls across the table (parts of
        itself).
    black
        What the projector lights where it should be dark.
    exposure
        The brightness, 0..1, that the brightest hundredth of the photograph is brought to; above
        1 it clips.
    gain
        What the light is multiplied by instead, as with a camera set by hand; None for `exposure`.
    glare
        Places on the table (x, y, radius in mm, strength) that mirror a lamp.
    hand
        Middle of a hand on the table (x, y), mm; None for none.
    """

    blur_px: float = 0.7
    noise: float = 0.006
    falloff: float = 0.2
    jpeg: int | None = 92
    room: float = 0.10
    uneven: float = 0.3
    black: float = 0.002
    exposure: float = 0.85
    gain: float | None = None
    glare: tuple[tuple[float, float, float, float], ...] = ()
    hand: tuple[float, float] | None = None


PHONE = Conditions()
WEBCAM = Conditions(blur_px=0.8, noise=0.012, falloff=0.3, jpeg=85)


def exposed(light: Light, conditions: Conditions, chance: np.random.Generator) -> Light:
    """The camera's linear signal, 0..1, of the light that reaches each pixel (h, w[, 3])."""
    height, width = light.shape[:2]
    seen = light
    if conditions.blur_px > 0.0:
        seen = np.asarray(cv2.GaussianBlur(seen, (0, 0), conditions.blur_px), dtype=np.float32)
    if conditions.falloff > 0.0:
        x = np.linspace(-1.0, 1.0, width, dtype=np.float32)
        y = np.linspace(-1.0, 1.0, height, dtype=np.float32)
        square = (x[None, :] ** 2 + y[:, None] ** 2) / 2.0
        kept = 1.0 - np.float32(conditions.falloff) * square
        seen = seen * (kept if seen.ndim == 2 else kept[:, :, None])
    gain = conditions.gain
    if gain is None:
        gain = conditions.exposure / max(float(np.percentile(seen[::7, ::7], 99.0)), 1e-6)
    seen = seen * np.float32(gain)
    if conditions.noise > 0.0:
        sd = np.float32(conditions.noise) * np.sqrt(np.clip(seen, 0.0, None) + np.float32(0.01))
        seen = seen + sd * chance.standard_normal(seen.shape, dtype=np.float32)
    return np.asarray(np.clip(seen, 0.0, 1.0), dtype=np.float32)
