"""The simulated hall of the rehearsal: its rig, the photographs taken, the map found from them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from calibration.board import (
    drawn_on_screen,
    printed_board,
    screen_board,
)
from calibration.estimate import joint
from calibration.rig import Rig, true_table_points
from calibration.rig_camera import Conditions
from calibration.rig_picture import photograph
from calibration.rig_scenes import looking, random_rig
from calibration.rig_surface import Cloth, board_sheet, table_from_sheet
from calibration.sighting import photo_sight
from calibration.table_map import Array, TableMap, screen_corners
from projector.board_sheet import ACROSS_BAR, SCALE_BAR
from projector.printed_bars import PrintedBars, printed_as

__all__ = ["Sighted", "calibrated", "judge_rig", "lit_photograph", "rehearsal_rig"]

PAPER = "A4"
HOLE = (430.0, 320.0)
"""Width and height of the white hole for the printed board, screen pixels."""
READ_TO = 0.2
"""The fifths of a mm a steel rule is read to."""
CLOTH = np.array([0.62, 0.66, 0.70], np.float32)
"""Undyed linen: the part of blue, green and red light it gives back; a usual look, no source."""


JUDGE_SIZE = (3300, 2000)
JUDGE_HEIGHT = 2300.0
DIMMED = Conditions(room=0.05, gain=1.2, jpeg=95)
"""Light of the hall turned down; exposed for the lines."""


@dataclass(frozen=True, slots=True, eq=False)
class Sighted:
    """The map, the photographs with their found corners, and the truth of the sheet's place.

    `table_from_sheet` (3, 3) is where the sheet, the frame of the map, truly lies.
    """

    table_map: TableMap
    photographs: tuple[tuple[npt.NDArray[np.uint8], Array, Array], ...]
    table_from_sheet: Array


def rehearsal_rig(seed: int) -> Rig:
    """The rig of one rehearsal: three photographs from a phone, from around the table."""
    return random_rig(seed, photographs=3)


def calibrated(rig: Rig, seed: int) -> Sighted:
    """Show the coded board, lay the printed one in its white hole, photograph, and fit."""
    width, height = rig.screen_size
    left, top = (width - HOLE[0]) / 2, (height - HOLE[1]) / 2
    board = screen_board(rig.screen_size, hole=(left, top, left + HOLE[0], top + HOLE[1]))
    printed = printed_board(PAPER)
    middle = true_table_points(rig, np.array([[width / 2, height / 2]]))[0]
    chance = np.random.default_rng((seed, 0))
    scale = float(chance.normal(1.0, 0.002))
    sheet = board_sheet(
        printed,
        PAPER,
        (float(middle[0]), float(middle[1])),
        float(chance.normal(0.0, 0.01)),
        scale,
    )
    screen = drawn_on_screen(board, rig.screen_size)
    sights, shown = [], []
    for view in range(len(rig.views)):
        photo = photograph(rig, screen, seed + view, (sheet,), float(CLOTH.mean()), view=view)
        bars = (round(bar * scale / READ_TO) * READ_TO for bar in (SCALE_BAR, ACROSS_BAR))
        on_table = printed_as(PAPER, printed, PrintedBars(*bars))
        sight = photo_sight(photo, board, (on_table,), subject=f"photograph {view + 1}")
        sights.append(sight)
        shown.append(
            (
                np.repeat(photo[:, :, None], 3, axis=2),
                sight.photo_px,
                sight.references[0].photo_px,
            )
        )
    found = joint(sights, rig.screen_size)
    truly = table_from_sheet(sheet) @ np.diag([1 / scale, 1 / scale, 1.0])
    return Sighted(found.table_map, tuple(shown), truly)


def judge_rig(rig: Rig) -> Rig:
    """The same projector and table, seen by another camera from straight above the lit area."""
    lit = true_table_points(rig, screen_corners(rig.screen_size))
    middle = np.array([*lit.mean(axis=0), 0.0])
    reach = float(np.ptp(lit, axis=0).max()) + 120.0
    focal = JUDGE_SIZE[0] * JUDGE_HEIGHT / reach
    centre = ((JUDGE_SIZE[0] - 1) / 2, (JUDGE_SIZE[1] - 1) / 2)
    camera = replace(rig.camera, focal_px=focal, centre_px=centre, photo_size=JUDGE_SIZE)
    above = middle + np.array([0.0, -60.0, JUDGE_HEIGHT])
    return replace(rig, camera=camera, views=(looking(above, middle),))


def lit_photograph(
    rig: Rig, screen: npt.NDArray[Any], seed: tuple[int, int]
) -> npt.NDArray[np.uint8]:
    """What the rig's camera sees of the cloth in a dimmed hall under a picture (h, w, 3), RGB."""
    cloth = Cloth(np.tile(CLOTH[::-1], (4, 4, 1)))
    number = int(np.random.default_rng(seed).integers(2**31))
    return photograph(rig, np.asarray(screen, np.uint8), number, (), cloth, DIMMED)
