"""The outline of a paper piece in a photograph, to a fraction of a pixel.

The table's and the paper's own brightness are followed across the picture, so that a shaded
corner does not move the edge; the edge is where the brightness is halfway between the two.
"""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

from projector.errors import ProjectorError

__all__ = ["paper_outline"]

Array = npt.NDArray[np.float64]
Image = npt.NDArray[np.uint8]
Light = npt.NDArray[np.float32]

MOST_PIXELS = 40_000_000
LEAST_CONTRAST = 12.0
FINE = 4


def paper_outline(image: Image, region: tuple[int, int, int, int] | None = None) -> Array:
    """The outline of the largest piece of paper that lies wholly inside the picture.

    Parameters
    ----------
    image
        (h, w, 3) BGR or (h, w).
    region
        Left, top, right and bottom in pixels, where the piece lies with some table around it;
        the whole picture when None.

    Returns
    -------
    Outline points (n, 2) in pixels, x right and y down, the centre of the first pixel at 0, in
    order round the piece, within about an eighth of a pixel.

    Raises
    ------
    ProjectorError
        No paper stands out from the table, or it runs over the border.
    """
    height, width = image.shape[:2]
    left, top, right, bottom = region or (0, 0, width, height)
    part = np.ascontiguousarray(image[max(0, top) : bottom, max(0, left) : right])
    if part.size == 0 or min(part.shape[:2]) < 40:
        raise ProjectorError("the region holds no picture; wanted left,top,right,bottom in pixels")
    light = _standing_out(part)
    mask = _largest(_level(light))
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    edge = (rows[0], columns[0], mask.shape[0] - 1 - rows[-1], mask.shape[1] - 1 - columns[-1])
    if min(edge) < 2:
        raise ProjectorError(
            "the paper runs over the border of the picture; show some table all round it"
        )
    points = _finely(light, mask, rows, columns)
    out: Array = points + np.array([max(0, left), max(0, top)])
    return out


def _standing_out(part: Image) -> Light:
    """0 on the table and 1 on the paper, both followed across the picture."""
    lab = cv2.cvtColor(part, cv2.COLOR_BGR2LAB) if part.ndim == 3 else part[:, :, None]
    channels = lab.astype(np.float32)
    ring = max(3, min(part.shape[:2]) // 40)
    border = np.ones(part.shape[:2], bool)
    border[ring:-ring, ring:-ring] = False
    table = np.array([np.median(c[border]) for c in np.moveaxis(channels, 2, 0)], np.float32)
    aside = np.sqrt(((channels - table) ** 2).sum(axis=2))
    grey = np.clip(aside, 0, 255).astype(np.uint8)
    threshold, _ = cv2.threshold(cv2.GaussianBlur(grey, (5, 5), 0), 0, 255, cv2.THRESH_OTSU)
    paper = cv2.GaussianBlur(grey, (5, 5), 0) > threshold
    if not paper.any() or paper.all():
        raise ProjectorError("no paper stands out from the table")
    inside = _shrunk(paper)
    outside = _shrunk(~paper)
    direction = np.array(
        [np.median(c[inside]) - np.median(c[outside]) for c in np.moveaxis(channels, 2, 0)],
        np.float32,
    )
    contrast = float(np.hypot.reduce(direction))
    if contrast < LEAST_CONTRAST:
        raise ProjectorError(
            f"the paper differs from the table by {contrast:.0f} levels, wanted "
            f"{LEAST_CONTRAST:.0f}; lay a darker or lighter sheet under it"
        )
    along = channels @ (direction / contrast)
    low, high = _followed(along, outside), _followed(along, inside)
    span = np.maximum(high - low, 0.3 * contrast)
    out: Light = ((along - low) / span).astype(np.float32)
    return out


def _shrunk(mask: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    size = 9
    kept = cv2.erode(mask.astype(np.uint8), np.ones((size, size), np.uint8)).astype(bool)
    return kept if kept.any() else mask


def _followed(along: Light, where: npt.NDArray[np.bool_]) -> Light:
    """A brightness that changes slowly across the picture: a quadratic through a mask's pixels."""
    height, width = along.shape
    step = max(1, int(np.sqrt(where.sum() / 40_000)))
    rows, columns = np.nonzero(where[::step, ::step])
    values = along[::step, ::step][rows, columns]

    def terms(x: npt.NDArray[np.float32], y: npt.NDArray[np.float32]) -> list[Light]:
        return [np.ones_like(x), x, y, x * x, x * y, y * y]

    x = (columns * step / width - 0.5).astype(np.float32)
    y = (rows * step / height - 0.5).astype(np.float32)
    design = np.column_stack(terms(x, y)).astype(np.float64)
    keep = np.ones(len(values), bool)
    solved: npt.NDArray[Any] = np.zeros(6)
    for _ in range(4):  # marks written on the paper, and dirt, are left out in turn
        solved = np.linalg.lstsq(design[keep], values[keep], rcond=None)[0]
        left = np.abs(design @ solved - values)
        keep = left <= max(3.0 * float(np.median(left)) * 1.4826, 1.0)
        if keep.sum() < 60:
            break
    grid_x = (np.arange(width, dtype=np.float32) / width - 0.5)[None, :]
    grid_y = (np.arange(height, dtype=np.float32) / height - 0.5)[:, None]
    a, b, c, d, e, f = (np.float32(v) for v in solved)
    out: Light = (
        a + b * grid_x + c * grid_y + d * grid_x**2 + e * grid_x * grid_y + f * grid_y**2
    ).astype(np.float32)
    return out


def _level(light: Light) -> npt.NDArray[np.uint8]:
    out: npt.NDArray[np.uint8] = (cv2.GaussianBlur(light, (3, 3), 0) > 0.5).astype(np.uint8)
    return out


def _largest(mask: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
    count, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=4)
    if count < 2:
        raise ProjectorError("no paper stands out from the table")
    number = 1 + int(np.argmax(stats[1:, cv2.CC_STAT_AREA]))
    if stats[number, cv2.CC_STAT_AREA] < 2_000:
        raise ProjectorError("what stands out from the table is too small to be a piece")
    out: npt.NDArray[np.uint8] = (labels == number).astype(np.uint8)
    return out


def _finely(
    light: Light, mask: npt.NDArray[np.uint8], rows: npt.NDArray[np.int64],
    columns: npt.NDArray[np.int64],
) -> Array:  # fmt: skip
    """The contour at half level in the picture enlarged up to four times."""
    pad = 6
    top, left = max(0, rows[0] - pad), max(0, columns[0] - pad)
    bottom, right = rows[-1] + pad + 1, columns[-1] + pad + 1
    near = cv2.dilate(mask, np.ones((7, 7), np.uint8))
    only = np.where(near > 0, light, 0.0).astype(np.float32)[top:bottom, left:right]
    fine = FINE
    while fine > 1 and only.size * fine * fine > MOST_PIXELS:
        fine -= 1
    smooth = cv2.GaussianBlur(only, (0, 0), 0.6)
    large = cv2.resize(smooth, None, fx=fine, fy=fine, interpolation=cv2.INTER_CUBIC)
    contours, _ = cv2.findContours(
        _largest((large > 0.5).astype(np.uint8)), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE
    )
    contour = max(contours, key=len)[:, 0, :].astype(np.float64)
    # The contour runs through the outermost inner pixels: half a fine pixel inside the edge.
    outward = _outward(contour)
    contour = contour + 0.5 * outward
    out: Array = (contour + 0.5) / fine - 0.5 + np.array([left, top])
    return out


def _outward(contour: Array) -> Array:
    """Unit normals that point out of the contour."""
    along = np.roll(contour, -3, axis=0) - np.roll(contour, 3, axis=0)
    size = np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    normal = np.column_stack([along[:, 1], -along[:, 0]]) / size
    x, y = contour.T
    area = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
    out: Array = normal if area > 0 else -normal
    return out
