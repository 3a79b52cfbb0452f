"""A map worked out for machines: where screen points fall, and how sure each of them is."""

from __future__ import annotations

from typing import Any

import numpy as np

from calibration.places import grid_points
from calibration.table_map import TableMap, table_points
from calibration.uncertainty import metre_error, shares, spread_moves

__all__ = ["map_figures"]

COLUMNS, ROWS = 13, 9
ABOUT = {
    "screen_px": "points of the screen; origin at the centre of the first pixel, y down",
    "table_mm": "where each falls on the table; the whole map, with lens and bow; y away",
    "covariance_mm2": "of each table point, up to a rigid motion of all of them: align the truth "
    "to table_mm by its best shift and turn, then d' C^-1 d <= 5.991 holds 95 %",
    "moves_mm": "moves of each table point by independent errors of one standard deviation, "
    "[point][x, y][error]; covariance_mm2 is M M' + floor_mm^2 I",
    "floor_mm": "what no error explains. A length L from point a to b along the unit vector u is "
    "right to +- 1.96 sqrt(|u (M_b - M_a)|^2 + 2 (floor_mm min(L / 1000, 1))^2), 95 %",
    "metre_error_mm": "95 % error of a metre in the worst places of the lit area",
    "shares_mm": "what each cause of error does to a metre by itself, 95 %",
}


def map_figures(table_map: TableMap) -> dict[str, Any]:
    """The map over an even grid of the screen, corner to corner, with its errors; `about` says
    what each figure is."""
    width, height = table_map.screen_size
    x, y = np.linspace(0, width - 1, COLUMNS), np.linspace(0, height - 1, ROWS)
    grid = grid_points(x, y)
    moves = spread_moves(table_map, grid)
    covariance = moves @ np.swapaxes(moves, 1, 2) + table_map.floor**2 * np.eye(2)
    return {
        "about": ABOUT,
        "metre_error_mm": metre_error(table_map),
        "shares_mm": {share.name: share.error for share in shares(table_map)},
        "screen_px": grid.tolist(),
        "table_mm": table_points(table_map, grid).tolist(),
        "covariance_mm2": covariance.tolist(),
        "moves_mm": moves.tolist(),
        "floor_mm": table_map.floor,
    }
