"""Calibrations by each route: seconds and error, by photographs and by their pixels."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np

from calibration.board import drawn_on_screen, printed_board, screen_board
from calibration.estimate import joint
from calibration.rig import true_table_points
from calibration.rig_picture import photograph
from calibration.rig_scenes import random_rig, screen_grid, sheet_points, sights
from calibration.rig_surface import board_sheet
from calibration.sighting import Printed, photo_sight
from calibration.uncertainty import metre_error
from tests.benchmarks.calibration_accuracy import by_hand, taped
from tests.benchmarks.calibration_images import _hole as hole_for
from tests.benchmarks.processes import Row, processor
from tests.calibration.truth import metres_off


def calibrating(folder: Path) -> Iterator[Row]:
    """Time and error by route and number of photographs; corners by the pixels of a photograph."""
    for count in (1, 3, 6):
        rig = random_rig(900 + count, count)
        middle = np.array([np.array(rig.screen_size) / 2])
        x, y = (float(value) for value in true_table_points(rig, middle)[0])
        sheet = [("A4", sheet_points(9, 6, 25.0), (x, y, 0.1))]
        seen = sights(rig, screen_grid(rig.screen_size, 16, 9), sheet, 0.05, 900 + count)
        own = processor(lambda seen=seen, rig=rig: joint(seen, rig.screen_size), 0.1)
        found = joint(seen, rig.screen_size).table_map
        real = float(np.percentile(np.abs(metres_off(found, rig)[0]), 95))
        yield "estimate", f"{count} photographs", (
            f"{own:.2f} s; 1 m off by {real:.2f} mm (p95), told ± {metre_error(found):.2f} mm"
        )  # fmt: skip
    for name, run in (("tape, ten lengths", taped(0.5)), ("crosshairs, nine marks", by_hand(3, 3))):
        found = [run(seed, False) for seed in range(920, 932)]
        own = np.median([each.seconds for each in found])
        real = [metres_off(each.table_map, each.rig)[0] for each in found]
        sure = np.median([metre_error(each.table_map) for each in found])
        yield "estimate", name, (
            f"{own:.2f} s; 1 m off by {np.percentile(np.abs(real), 95):.2f} mm (p95 of 12 tables), "
            f"told ± {sure:.2f} mm"
        )  # fmt: skip
    rig, board, picture, printed = _photographed()
    for share in (0.6, 1.0, 2.0):
        size = (round(picture.shape[1] * share), round(picture.shape[0] * share))
        small = cv2.resize(picture, size, interpolation=cv2.INTER_AREA if share < 1.0 else 1)
        before = time.process_time()
        photo_sight(small, board, (printed,))
        own = time.process_time() - before
        yield "corners in a photograph", f"{size[0] * size[1] / 1e6:.1f} MP", f"{own:.2f} s"


def _photographed():  # type: ignore[no-untyped-def]
    """A rendered photograph of both boards, with what is in it."""
    rig, board = random_rig(7, 1), printed_board("A4")
    middle = np.array([np.array(rig.screen_size) / 2])
    x, y = (float(value) for value in true_table_points(rig, middle)[0])
    sheet = board_sheet(board, "A4", (x, y), 0.05)
    lit = screen_board(rig.screen_size, hole=hole_for(rig, sheet))
    screen = drawn_on_screen(lit, rig.screen_size)
    return rig, lit, photograph(rig, screen, 7, (sheet,), 0.55), Printed("A4", board, 1.0)
