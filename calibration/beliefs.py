"""What is known of lens, projector and sheets before any photograph: means and deviations.

Widths are common practice, no source: phones correct most of their lens, webcams little of it;
a projector's picture bends by a few parts in a thousand, about a centre that its lens shift may
have moved half a picture up or down.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calibration.adjustment import Priors
from calibration.evidence import PhotoSight
from calibration.scene import FLAT_COUNT, Layout, Scene
from calibration.table_bow import TableBow

__all__ = [
    "CAUSES",
    "CENTRE_STARTS",
    "KEYSTONE_SD",
    "PROJECTOR_LENS_SD",
    "causes",
    "priors",
    "without_keystone",
]

FOCAL_SD_TOLD = 0.05
"""EXIF gives whole millimetres of a 35 mm camera; cropping and focus change it too."""
FOCAL_SD = 0.35
CENTRE_SD = 0.012
RADIAL_SD = (0.2, 0.2, 0.1)
TANGENTIAL_SD = 0.002
PROJECTOR_LENS_SD = (0.0035, 0.0009, 0.05, 0.35, 0.0002, 0.0002)
"""Of q1 and q2, of the centre, which lens shift moves mostly up or down, and of the decentring
(`ProjectorLens`). So 95 of 100 lenses bend the corners by less than 0.7 % of the half diagonal;
data sheets promise between half a percent and one (from memory). A stronger lens is found by
photographs all the same; four crosshairs or a few lengths, which cannot see it, then say too little
of it."""
KEYSTONE_SD = (0.04, 0.04, 0.012, 0.012)
"""Of a keystone correction: a projector that leans by five degrees or so, as many do; its stretch
is what such a lean does under lens shift."""
CENTRE_STARTS = (0.0, -0.25, 0.25, -0.5, 0.5)
"""Where down the screen a lens's centre is looked for first: from one side the other is not found,
since a faultless lens has its centre anywhere."""
BOW_SD = 6.0
PLACE_SD = 450.0
HEIGHT_SD = 0.25
TAPED_HEIGHT_SD = 50.0
CAUSES = ("camera lens", "print scale", "projector lens", "table bow")


def priors(
    scene: Scene,
    photos: Sequence[PhotoSight],
    focal_px: float,
    told: bool,
    bow: TableBow | None = None,
    taped: bool = False,
) -> Priors:
    """Beliefs about the unknowns of a scene; `focal_px` is `told` by the photographs or a guess.

    `taped` says that the bow's projector height was measured.
    """
    layout: Layout = scene.layout
    mean, sd = np.zeros(layout.count), np.full(layout.count, np.inf)
    mean[0], sd[0] = np.log(focal_px), FOCAL_SD_TOLD if told else FOCAL_SD
    sd[1:4] = RADIAL_SD
    for photo, sensor in zip(photos, layout.sensors, strict=True):
        part = layout.sensor(sensor)
        mean[part][:2] = (np.array(photo.photo_size) - 1.0) / 2.0
        sd[part] = [CENTRE_SD * max(photo.photo_size)] * 2 + [TANGENTIAL_SD] * 2
    of_map = layout.table_map
    sd[of_map][8:FLAT_COUNT] = PROJECTOR_LENS_SD + KEYSTONE_SD
    if bow is not None:
        sd[of_map][FLAT_COUNT : FLAT_COUNT + 3] = BOW_SD
        mean[of_map][FLAT_COUNT + 3 :] = bow.projector
        height_sd = TAPED_HEIGHT_SD if taped else HEIGHT_SD * bow.projector[2]
        sd[of_map][FLAT_COUNT + 3 :] = [PLACE_SD, PLACE_SD, height_sd]
    if layout.sheets:
        sd[layout.sheet(0)] = 0.0
    for photo in photos:
        for reference in photo.references:
            printer = layout.printer_of[layout.sheets.index(reference.name)]
            shares = [reference.scale_sd, reference.along_sd, reference.across_sd]
            sd[layout.printer(printer)] = shares
    return Priors(mean, sd)


def without_keystone(beliefs: Priors, layout: Layout) -> Priors:
    """The same beliefs of a projector that corrects no keystone."""
    sd = beliefs.sd.copy()
    start = layout.table_map.start
    sd[start + FLAT_COUNT - len(KEYSTONE_SD) : start + FLAT_COUNT] = 0.0
    return Priors(beliefs.mean, sd)


def causes(layout: Layout) -> dict[str, list[int]]:
    """Which columns' beliefs stand for which cause of error."""
    columns: dict[str, list[int]] = {name: [] for name in CAUSES}
    last_sensor = layout.sensor(max(layout.sensors)).stop
    columns["camera lens"] = list(range(last_sensor))
    start = layout.table_map.start
    columns["projector lens"] = list(range(start + 8, start + FLAT_COUNT))
    columns["table bow"] = list(range(start + FLAT_COUNT, layout.table_map.stop))
    columns["print scale"] = list(range(layout.printer(0).start, layout.count))
    return columns
