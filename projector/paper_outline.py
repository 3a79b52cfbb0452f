"""The outline of a paper piece in a photograph, to a fraction of a pixel.

The piece is found in a reduced picture and measured in the whole one. The table's and the paper's
own brightness are followed across the picture, so that a shaded corner does not move the edge;
the edge is where the light (not the coded level) is halfway between the two.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
import numpy.typing as npt

from calibration.light import Light, linear, whole_points
from projector.cloth_tint import Tint, tint_of, tinted
from projector.errors import ProjectorError
from projector.shading import followed, places, surface

__all__ = ["overexposed", "paper_outline"]

Array = npt.NDArray[np.float64]
Image = npt.NDArray[np.uint8]
Mask = npt.NDArray[np.bool_]

REDUCED = 1400
"""The longer side of the reduced picture, pixels."""
LEAST_CONTRAST = 12.0
"""Levels (CIE Lab in 8 bits) by which the paper must differ from the table."""
SMALLEST = 300
"""Pixels of the reduced picture that are a piece at least."""
MOST_PIXELS = 40_000_000
FINE = 4
BURNT = 252
"""Level from which on a pixel no longer tells how bright it is."""
INWARD = 0.012
"""How far inside the edge of a lit area the piece is looked for, parts of the area's size."""
NO_PAPER = (
    "no paper stands out from the table, or it runs over the border of the picture; show "
    "some table all round it"
)


@dataclass(frozen=True, slots=True, eq=False)
class _Shade:
    """How light becomes 0 on the table and 1 on the paper, anywhere in the picture.

    A `tint` counts other colours of a print to the piece.
    """

    direction: Light
    table: Array
    paper: Array
    least: float
    tint: Tint | None = None


def paper_outline(
    image: Image,
    within: npt.ArrayLike | None = None,
    without: Sequence[npt.ArrayLike] = (),
    coloured: bool = False,
) -> Array:
    """The outline of the largest piece of paper that lies wholly inside the picture.

    Parameters
    ----------
    image
        (h, w, 3) BGR or (h, w).
    within
        Corners (n, 2) in pixels of the area the piece lies in, with some table all round it, such
        as the lit one; the whole picture when None.
    without
        Areas (n, 2) that are no piece, such as a printed board. What stands out but holds one of
        these is the lit table rather than a piece, and the piece is looked for on it.
    coloured
        The piece is cloth that may be printed in several colours: whatever is no shade of the
        table's own colour belongs to it. Its edge is then sure to about a pixel.

    Returns
    -------
    Outline points (n, 2) in pixels, x right and y down, the centre of the first pixel at 0, in
    order round the piece, within about an eighth of a pixel.

    Raises
    ------
    ProjectorError
        No paper stands out from the table, or it runs over the border of the area.
    """
    height, width = image.shape[:2]
    if min(height, width) < 40:
        raise ProjectorError(f"a picture of {width} x {height} pixels is too small to trace in")
    factor = min(1.0, REDUCED / max(height, width))
    small = cv2.resize(image, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
    allowed = np.ones(small.shape[:2], bool)
    if within is not None:
        allowed &= _filled(within, factor, small.shape)
    excluded = [_filled(area, factor, small.shape) for area in without]
    for area in excluded:
        allowed &= ~area
    for _ in range(3):
        if allowed.sum() < 4 * SMALLEST:
            raise ProjectorError("the area holds too little of the picture to look for a piece in")
        shade, mask = _standing_out(small, allowed, coloured)
        whole = _without_holes(mask)
        if not any((whole & area).sum() > 0.5 * max(area.sum(), 1) for area in excluded):
            break
        allowed = _shrunk(whole, round(INWARD * float(np.sqrt(whole.sum()))) + 2)
        for area in excluded:
            allowed &= ~area
    if (_grown(mask, 2) & ~allowed).any() or _at_border(mask):
        raise ProjectorError(
            "the paper runs over the border of the picture or of the lit area, or over the "
            "printed board; show some table all round it, or cut the photograph down to where it "
            "lies (--region)"
        )
    return _measured(image, mask, shade, factor)


def overexposed(image: Image, outline_px: Array) -> bool:
    """Whether most of the piece is as bright as the camera can tell: its edge then reads too wide,
    by up to a few pixels."""
    mask = np.zeros(image.shape[:2], np.uint8)
    cv2.fillPoly(mask, [np.round(outline_px).astype(np.int32)], 1)
    levels = image[mask.astype(bool)]
    return bool(np.median(levels.reshape(len(levels), -1).max(axis=1)) >= BURNT)


def _filled(area: npt.ArrayLike, factor: float, shape: tuple[int, ...]) -> Mask:
    out = np.zeros(shape[:2], np.uint8)
    points = (np.asarray(area, np.float64) + 0.5) * factor - 0.5
    cv2.fillPoly(out, [np.round(points).astype(np.int32)], 1)
    return out.astype(bool)


def _standing_out(small: Image, allowed: Mask, coloured: bool) -> tuple[_Shade, Mask]:
    """The shades of table and paper, and the largest piece, in the reduced picture."""
    three = small if small.ndim == 3 else np.repeat(small[:, :, None], 3, axis=2)
    lab = cv2.GaussianBlur(cv2.cvtColor(three, cv2.COLOR_BGR2LAB), (5, 5), 0).astype(np.float32)
    ring = allowed & ~_shrunk(_without_holes(allowed), max(4, min(small.shape[:2]) // 30))
    columns, rows = (
        places(0, small.shape[1], small.shape[1]),
        places(0, small.shape[0], small.shape[0]),
    )
    table = [followed(lab[:, :, k], ring, 1.0) for k in range(3)]
    aside = np.sqrt(sum((lab[:, :, k] - surface(table[k], columns, rows)) ** 2 for k in range(3)))
    noise = float(np.median(aside[ring]))
    paper = allowed & (aside > max(0.5 * LEAST_CONTRAST, 5.0 * noise))
    if paper.sum() < SMALLEST or (allowed & ~paper).sum() < SMALLEST:
        raise ProjectorError(NO_PAPER)
    paper &= aside > 0.5 * float(np.median(aside[_shrunk(paper, 2)]))
    inside = _shrunk(paper, 4)
    outside = _shrunk(allowed & ~paper, 4)
    contrast = float(
        np.hypot.reduce(np.median(lab[inside], axis=0) - np.median(lab[outside], axis=0))
    )
    if contrast < LEAST_CONTRAST:
        raise ProjectorError(
            f"the paper differs from the table by {contrast:.0f} levels, wanted "
            f"{LEAST_CONTRAST:.0f}; lay a darker or lighter sheet under it"
        )
    light = linear(three)
    away = np.median(light[inside], axis=0) - np.median(light[outside], axis=0)
    direction = (away / np.hypot.reduce(away)).astype(np.float32)
    along = light @ direction
    low, high = (followed(along, where, 0.004) for where in (outside, inside))
    shade = _Shade(direction, low, high, 0.3 * float(np.hypot.reduce(away)))
    if coloured:
        shade = replace(shade, tint=tint_of(light, inside, outside))
    part = _part(light, shade, columns, rows)
    return shade, _largest((cv2.GaussianBlur(part, (3, 3), 0) > 0.5) & allowed)


def _shrunk(mask: Mask, by: int) -> Mask:
    kernel = np.ones((2 * by + 1, 2 * by + 1), np.uint8)
    kept = np.asarray(cv2.erode(mask.astype(np.uint8), kernel, borderValue=0), dtype=bool)
    return kept if kept.any() else mask


def _grown(mask: Mask, by: int) -> Mask:
    kernel = np.ones((2 * by + 1, 2 * by + 1), np.uint8)
    return np.asarray(cv2.dilate(mask.astype(np.uint8), kernel), dtype=bool)


def _at_border(mask: Mask) -> bool:
    return bool(mask[:2].any() or mask[-2:].any() or mask[:, :2].any() or mask[:, -2:].any())


def _part(light: Light, shade: _Shade, x: Light, y: Light) -> Light:
    """0 on the table, 1 on the paper."""
    low, high = (surface(solved, x, y) for solved in (shade.table, shade.paper))
    part = (light @ shade.direction - low) / np.maximum(high - low, shade.least)
    if shade.tint is not None:
        part = np.maximum(part, tinted(light, shade.tint, x, y))
    return np.asarray(part, dtype=np.float32)


def _largest(mask: Mask) -> Mask:
    count, labels, stats, _ = cv2.connectedComponentsWithStats(
        mask.astype(np.uint8), connectivity=4
    )
    if count < 2:
        raise ProjectorError(NO_PAPER)
    number = 1 + int(np.argmax(stats[1:, cv2.CC_STAT_AREA]))
    if stats[number, cv2.CC_STAT_AREA] < SMALLEST:
        raise ProjectorError("what stands out from the table is too small to be a piece")
    return np.asarray(labels == number)


def _without_holes(mask: Mask) -> Mask:
    contours, _ = cv2.findContours(mask.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    out = np.zeros(mask.shape, np.uint8)
    cv2.drawContours(out, contours, -1, 1, cv2.FILLED)
    return out.astype(bool)


def _measured(image: Image, mask: Mask, shade: _Shade, factor: float) -> Array:
    """The contour at half level in the whole picture, enlarged up to four times."""
    height, width = image.shape[:2]
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    pad = 4
    top, left = (max(0, int((first - pad) / factor)) for first in (rows[0], columns[0]))
    bottom = min(height, int((rows[-1] + pad + 1) / factor) + 1)
    right = min(width, int((columns[-1] + pad + 1) / factor) + 1)
    crop = image[top:bottom, left:right]
    three = crop if crop.ndim == 3 else np.repeat(crop[:, :, None], 3, axis=2)
    x, y = places(left, right, width), places(top, bottom, height)
    part = _part(linear(three), shade, x, y)
    own = cv2.warpAffine(  # the reduced mask, a little grown, over the same pixels
        _grown(mask, 2).astype(np.uint8),
        np.array(
            [[factor, 0, factor * (left + 0.5) - 0.5], [0, factor, factor * (top + 0.5) - 0.5]]
        ),
        (right - left, bottom - top),
        flags=cv2.INTER_NEAREST | cv2.WARP_INVERSE_MAP,
    )
    part = np.where(own > 0, part, np.float32(0.0))
    fine = FINE
    while fine > 1 and part.size * fine * fine > MOST_PIXELS:
        fine -= 1
    smooth = cv2.GaussianBlur(np.clip(part, -0.5, 1.5), (0, 0), 0.6)
    large = cv2.resize(smooth, None, fx=fine, fy=fine, interpolation=cv2.INTER_CUBIC)
    contours, _ = cv2.findContours(
        _largest(large > _level(large, fine, three[own > 0])).astype(np.uint8),
        cv2.RETR_EXTERNAL,
        cv2.CHAIN_APPROX_NONE,
    )
    contour = max(contours, key=len)[:, 0, :].astype(np.float64)
    # The contour runs through the outermost inner pixels: half a fine pixel inside the edge.
    contour = contour + 0.5 * _outward(contour)
    out: Array = whole_points(contour, fine) + np.array([left, top])
    return out


def _level(large: Light, fine: int, levels: Image) -> float:
    """Where the edge lies between table (0) and paper (1): halfway, but for burnt paper.

    Paper brighter than the camera can tell reaches full level outside its edge; the more so, the
    steeper the edge looks. The highest level that still tells is then nearest to the edge.
    """
    if np.median(levels.reshape(len(levels), -1).max(axis=1)) < BURNT:
        return 0.5
    ring = cv2.morphologyEx(
        (large > 0.5).astype(np.uint8), cv2.MORPH_GRADIENT, np.ones((3, 3), np.uint8)
    )
    length = float(ring.sum()) / 2.0
    width = float(((large > 0.1) & (large < 0.9)).sum()) / max(length, 1.0) / fine
    steep = np.clip((2.3 - width) / 0.5, 0.0, 1.0)
    return 0.5 + 0.42 * float(steep)


def _outward(contour: Array) -> Array:
    """Unit normals that point out of the contour."""
    along = np.roll(contour, -3, axis=0) - np.roll(contour, 3, axis=0)
    size = np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    normal = np.column_stack([along[:, 1], -along[:, 0]]) / size
    x, y = contour.T
    area = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
    out: Array = normal if area > 0 else -normal
    return out
