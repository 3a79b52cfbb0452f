"""Where the joint estimate is begun, so that it does not end in a false rest.

Some starts come to rest with innocent residuals far from the truth: at another focal length, at a
pose mirrored at the line of sight, at a projector's lens of the other sign about a centre on the
other side. Each is begun from all sides, and the likeliest is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from calibration.adjustment import Adjusted, Judgement, Kept, Priors, adjusted
from calibration.beliefs import CENTRE_STARTS, priors
from calibration.errors import CalibrationError
from calibration.evidence import PhotoSight
from calibration.judging import judged
from calibration.scene import (
    FLAT_COUNT,
    Layout,
    arranged,
    map_of,
    pose_of,
    with_lens_centre,
    with_pose,
)
from calibration.starting import mirrored_pose, started
from calibration.uncertainty import lit_grid

__all__ = ["Progress", "centred", "from_all_starts", "settled", "untwinned"]

FOCAL_STARTS_TOLD = (1.0, 0.87, 1.15)
FOCAL_STARTS = (1.0, 0.8, 1.25)

Progress = Callable[[str, float], None]


def from_all_starts(
    photos: Sequence[PhotoSight],
    screen_size: tuple[int, int],
    focal: float,
    known: bool,
    told: Progress,
) -> Adjusted:
    """The best of the scenes begun at several focal lengths about `focal` (pixels; `known` from
    the photographs, or a guess) and at both poses of the first photograph, the projector's lens
    centred on its screen.

    Raises `CalibrationError`, the last one met, when no start leads anywhere.
    """
    layout: Layout = arranged(photos)
    best: Adjusted | None = None
    refused = CalibrationError("the photographs lead to no map")
    starts = [
        (focal * factor, twin)
        for twin in (False, True)
        for factor in (FOCAL_STARTS_TOLD if known else FOCAL_STARTS)
    ]
    for index, (start, twin) in enumerate(starts):
        told("fitting", 0.7 * index / len(starts))
        try:
            scene = started(photos, screen_size, layout, start, twin)
            beliefs = priors(scene, photos, focal, known)
            found = adjusted(scene, photos, beliefs, free=_plain_lens(layout), most_steps=25)
        except CalibrationError as error:
            refused = error
            continue
        if best is None or found.cost < best.cost:
            best = found
    if best is None:
        raise refused
    return best


def untwinned(
    best: Adjusted, photos: Sequence[PhotoSight], beliefs: Priors, judgement: Judgement
) -> Adjusted:
    """The better of the estimate and those begun with one photograph's pose mirrored."""
    at = lit_grid(map_of(best.scene)).mean(axis=0)
    held = _plain_lens(best.scene.layout)
    for photo in range(len(photos)):
        twin = mirrored_pose(pose_of(best.scene, photo), at)
        only = np.zeros(best.scene.layout.count, bool)
        only[best.scene.layout.pose(photo)] = True
        try:
            near = adjusted(
                with_pose(best.scene, photo, twin), photos, beliefs, judgement, only, 10
            )
            back = pose_of(near.scene, photo).turn @ pose_of(best.scene, photo).turn.T
            # Back where it was, or far worse: the rest cannot make up for that.
            if np.trace(back) > 3.0 - 1e-4 or near.cost > 4.0 * best.cost + 400.0:
                continue
            other = adjusted(near.scene, photos, beliefs, judgement, held)
        except CalibrationError:
            continue
        if other.cost < best.cost - 1e-3:
            best = other
    return best


def centred(
    best: Adjusted, photos: Sequence[PhotoSight], beliefs: Priors, judgement: Judgement
) -> Adjusted:
    """The estimate with the projector's lens about the centre that explains most.

    A lens about a centre on the one side of the picture looks much like its opposite about a centre
    on the other. With the centre held, all else is nearly linear: it is held at several, and the
    best two are let free.
    """
    held = _plain_lens(best.scene.layout)
    profile = [
        adjusted(with_lens_centre(best.scene, down), photos, beliefs, judgement, held, 12)
        for down in CENTRE_STARTS
    ]
    profile.sort(key=lambda found: found.cost)
    freed = [adjusted(found.scene, photos, beliefs, judgement) for found in profile[:2]]
    return min(freed, key=lambda found: found.cost)


def settled(
    best: Adjusted, photos: Sequence[PhotoSight], beliefs: Priors, judgement: Judgement
) -> tuple[Adjusted, Judgement]:
    """The estimate and the judgement of its corners, each by the other, in turn."""
    for _ in range(2):
        judgement = judged(best, beliefs, judgement)
        best = adjusted(best.scene, photos, beliefs, judgement)
    return best, judged(best, beliefs, judgement)


def _plain_lens(layout: Layout) -> Kept:
    """All unknowns but the centre of the projector's lens and its keystone correction."""
    free, start = np.ones(layout.count, bool), layout.table_map.start
    free[start + 10 : start + 12] = False
    free[start + 14 : start + FLAT_COUNT] = False
    return free
