"""Cloth, fleece or a stack raises the surface: the map moved up, with what that costs in error.

A ray that met the table at X0 meets the raised surface at ``X = X0 + (h / Cz) (Cxy - X0)``, `C` the
projector's lens: everything shrinks by h / Cz towards the foot below it. Under lens shift the
homography does not tell where `C` is, so that its height is taped; its foot only shifts the whole,
which costs a cutter nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from calibration.errors import CalibrationError
from calibration.homography import Array
from calibration.map_fit import scale_term
from calibration.table_bow import TableBow
from calibration.table_map import TableMap, Term, lit_outline, screen_points
from calibration.uncertainty import METRE, free_covariance, lit_grid, moves

__all__ = ["ProjectorHeight", "cost_of_ignoring", "height_of_two_maps", "raised"]

TAPED_SD = 20.0
THICKNESS_SD = 0.1
"""Of a typed thickness, when several layers are measured on each other and divided; one layer of
soft cloth under a ruler is told three times worse (common practice, no source)."""
THICKEST = 0.2
"""Part of the projector's height beyond which a thickness is a slip."""


@dataclass(frozen=True, slots=True)
class ProjectorHeight:
    """From the calibrated surface up to the projector's lens, mm, with its standard deviation.

    `foot` is the table point below the lens, where known; it only moves the picture as a whole.
    """

    height: float
    sd: float = TAPED_SD
    foot: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        if not 100.0 <= self.height <= 20_000.0 or not self.sd >= 0.0:
            raise CalibrationError(
                f"projector height: found {self.height:g} +- {self.sd:g} mm, wanted 100 to 20000 mm"
            )


def cost_of_ignoring(projector: ProjectorHeight, thickness: float, length: float = METRE) -> float:
    """How much too long a lit `length`, mm, would not be: the error of ignoring the thickness.

    A picture made for the table is too small on raised cloth, by ``h / Cz`` of every length.
    """
    return length * thickness / projector.height


def raised(
    table_map: TableMap,
    thickness: float,
    projector: ProjectorHeight,
    thickness_sd: float = THICKNESS_SD,
) -> TableMap:
    """The map for a surface `thickness` mm above the one it was made for.

    Its terms gain "cloth thickness" and "projector height", each a scale of the whole; thickness
    and height are told with their standard deviations. The term of height is
    ``h / Cz^2`` times its deviation: 40 mm in 1900 at 5 mm of cloth is 0.06 mm in a metre.

    Raises `CalibrationError` for a thickness that is not a small part of the height.
    """
    if not np.isfinite(thickness) or abs(thickness) > THICKEST * projector.height:
        raise CalibrationError(
            f"thickness: found {thickness:g} mm, wanted less than a fifth of the projector's "
            f"height of {projector.height:g} mm"
        )
    share = thickness / projector.height
    foot = np.array(projector.foot or lit_outline(table_map).mean(axis=0))
    shrink = np.array(
        [[1 - share, 0.0, share * foot[0]], [0.0, 1 - share, share * foot[1]], [0.0, 0.0, 1.0]]
    )
    matrix = shrink @ table_map.table_from_screen
    bow = None if table_map.bow is None else _raised_bow(table_map.bow, share, foot, thickness)
    scaled = _scaled_terms(table_map, 1 - share)
    out = replace(
        table_map,
        table_from_screen=matrix,
        bow=bow,
        terms=scaled,
        thickness=table_map.thickness + thickness,
    )
    if not table_map.terms:
        return out
    extra = (
        *scale_term(out, "cloth thickness", abs(thickness_sd) / projector.height),
        *scale_term(out, "projector height", abs(share) * projector.sd / projector.height),
    )
    return replace(out, terms=(*scaled, *extra))


def _raised_bow(bow: TableBow, share: float, foot: Array, thickness: float) -> TableBow:
    """The bow in the frame of the raised plane: its middle drawn in as everything is."""
    x, y = (1 - share) * np.array(bow.middle) + share * foot
    px, py, height = bow.projector
    return replace(bow, middle=(float(x), float(y)), projector=(px, py, height - thickness))


def _scaled_terms(table_map: TableMap, factor: float) -> tuple[Term, ...]:
    scale = np.ones(len(table_map.parameter_names))
    scale[:8] = factor
    return tuple(
        Term(term.name, term.covariance * scale[:, None] * scale) for term in table_map.terms
    )


def height_of_two_maps(lower: TableMap, upper: TableMap, thickness: float) -> ProjectorHeight:
    """The projector's height over the lower surface, from maps of two surfaces `thickness` apart.

    By the scale between them after the best rigid motion, ``s = 1 - h / Cz``, with the error that
    both maps' terms give it: a thickness of a few millimetres tells it badly, a stack of 100 mm
    well.

    Raises `CalibrationError` when the upper map is not smaller by a part that the error allows.
    """
    if lower.screen_size != upper.screen_size or not thickness > 0.0:
        raise CalibrationError(
            "two maps of one screen at a thickness above 0 are wanted; "
            f"found {lower.screen_size}, {upper.screen_size} and {thickness:g} mm"
        )
    below = lit_grid(lower)
    above = lit_grid(upper)
    a, b = below - below.mean(axis=0), above - above.mean(axis=0)
    u, singular, v = np.linalg.svd(a.T @ b)
    sign = float(np.sign(np.linalg.det(u @ v)))
    scale = float((singular * [1.0, sign]).sum() / (a**2).sum())
    spread = float(np.hypot(_scale_sd(lower), _scale_sd(upper)))
    share = 1.0 - scale
    if share < 3.0 * spread or share <= 0.0:
        raise CalibrationError(
            f"the upper map is smaller by {share:.5f} +- {spread:.5f} of its size, too little to "
            "tell the projector's height; raise the second surface by more, or tape the height"
        )
    height = thickness / share
    foot = (above.mean(axis=0) - below.mean(axis=0) * scale) / share
    return ProjectorHeight(height, height * spread / share, (float(foot[0]), float(foot[1])))


def _scale_sd(table_map: TableMap) -> float:
    """Standard deviation of the scale of the whole lit area, by the map's terms."""
    grid = lit_grid(table_map)
    a = (grid - grid.mean(axis=0)).ravel()
    field = moves(table_map, screen_points(table_map, grid)).reshape(len(a), -1)
    along = a @ field / (a @ a)
    free = free_covariance(table_map, table_map.covariance)
    return float(np.sqrt(max(along @ free @ along, 0.0) + table_map.floor**2 / (a @ a)))
