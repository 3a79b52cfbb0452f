"""What photographs of a simulated rig would show of points on its screen and of sheets."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calibration.evidence import PhotoSight, ReferenceSight
from calibration.rig import Rig, photo_points, surface_points, true_table_points


def screen_grid(
    screen_size: tuple[int, int], columns: int, rows: int, inset: float = 0.03
) -> np.ndarray:
    """Points even on the screen, `inset` of it in from its edges: (columns * rows, 2), pixels."""
    width, height = screen_size
    x = np.linspace(inset * width, (1 - inset) * width, columns) - 0.5
    y = np.linspace(inset * height, (1 - inset) * height, rows) - 0.5
    return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)


def printed_points(columns: int, rows: int, square: float) -> np.ndarray:
    """Inner corners of a printed board about its middle: (columns * rows, 2), mm."""
    x = (np.arange(columns) - (columns - 1) / 2) * square
    y = (np.arange(rows) - (rows - 1) / 2) * square
    return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)


def sights(
    rig: Rig,
    screen_px: np.ndarray,
    sheets: Sequence[tuple[str, np.ndarray, tuple[float, float, float]]],
    noise_px: float,
    seed: int,
) -> tuple[PhotoSight, ...]:
    """What every view shows, with corner noise: points that fall outside a photograph are left out.

    `sheets` are a name, the points in the sheet's frame (n, 2), mm, and its true place on the
    table: x, y, angle. Their scale is taken for exact.
    """
    chance = np.random.default_rng((seed, 77))
    lit = true_table_points(rig, screen_px)
    out = []
    for index in range(len(rig.views)):
        seen, inside = _seen(rig, surface_points(rig, lit), index, noise_px, chance)
        references = []
        for name, plane, (x, y, angle) in sheets:
            c, s = np.cos(angle), np.sin(angle)
            table = plane @ np.array([[c, s], [-s, c]]) + [x, y]
            shown, whole = _seen(rig, surface_points(rig, table), index, noise_px, chance)
            if whole.sum() >= 4:
                references.append(
                    ReferenceSight(name, plane[whole], shown[whole], noise_px=max(noise_px, 0.01))
                )
        out.append(
            PhotoSight(
                screen_px[inside],
                seen[inside],
                rig.photo_size,
                tuple(references),
                subject=f"photograph {index + 1}",
            )
        )
    return tuple(out)


def _seen(
    rig: Rig, points: np.ndarray, view: int, noise_px: float, chance: np.random.Generator
) -> tuple[np.ndarray, np.ndarray]:
    shown = photo_points(rig, points, view)
    x, y = shown.T
    inside = (x > 2) & (y > 2) & (x < rig.photo_size[0] - 3) & (y < rig.photo_size[1] - 3)
    return shown + chance.normal(0, noise_px, shown.shape), inside
