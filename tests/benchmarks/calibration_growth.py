"""Calibrations by each route: seconds and error, by photographs and by their pixels."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np

from calibration import nudging, tape
from calibration.board import drawn_on_screen, printed_board, screen_board
from calibration.estimate import joint
from calibration.rig import Rig, true_screen_points, true_table_points
from calibration.rig_picture import photograph
from calibration.rig_scenes import random_rig, screen_grid, sheet_points, sights
from calibration.rig_surface import board_sheet
from calibration.sighting import Printed, photo_sight
from calibration.table_map import TableMap
from calibration.uncertainty import metre_error
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
        real = float(np.percentile(metres_off(found, rig), 95))
        yield "estimate", f"{count} photographs", (
            f"{own:.2f} s; 1 m off by {real:.2f} mm (p95), told ± {metre_error(found):.2f} mm"
        )  # fmt: skip
    for name, solved in (("tape, ten lengths", _taped), ("crosshairs, nine marks", _nudged)):
        tables = [(random_rig(seed), seed) for seed in range(920, 932)]
        own = processor(lambda solved=solved, tables=tables: solved(*tables[0]), 0.1)
        maps = [solved(rig, seed) for rig, seed in tables]
        real = [metres_off(found, rig) for found, (rig, _) in zip(maps, tables, strict=True)]
        yield "estimate", name, (
            f"{own:.2f} s; 1 m off by {np.percentile(real, 95):.2f} mm (p95 of 12 tables), "
            f"told ± {np.median([metre_error(found) for found in maps]):.2f} mm"
        )  # fmt: skip
    rig, board, picture, printed = _photographed()
    for share in (0.6, 1.0, 2.0):
        size = (round(picture.shape[1] * share), round(picture.shape[0] * share))
        small = cv2.resize(picture, size, interpolation=cv2.INTER_AREA if share < 1.0 else 1)
        before = time.process_time()
        photo_sight(small, board, (printed,))
        own = time.process_time() - before
        yield "corners in a photograph", f"{size[0] * size[1] / 1e6:.1f} MP", f"{own:.2f} s"


def _taped(rig: Rig, seed: int) -> TableMap:
    """Ten lengths between lit marks, each wrong by 0.5 mm (1 sd)."""
    marks, chance = tape.lit_marks(rig.screen_size), np.random.default_rng(seed)
    table = true_table_points(rig, marks)
    lengths = [
        tape.Length(a, b, float(np.hypot(*(table[a] - table[b]))) + chance.normal(0.0, 0.5))
        for a, b in tape.TEN_LENGTHS
    ]
    return tape.solve(marks, lengths, rig.screen_size, 0.5).table_map


def _nudged(rig: Rig, seed: int) -> TableMap:
    """Nine marks of a mat of 1200 x 750 mm, each crosshair wrong by 0.4 mm (1 sd)."""
    x, y = np.meshgrid(np.linspace(200, 1400, 3), np.linspace(75, 825, 3))
    marks, chance = np.column_stack([x.ravel(), y.ravel()]), np.random.default_rng(seed)
    placed = true_screen_points(rig, marks + chance.normal(0.0, 0.4, marks.shape))
    return nudging.solve(marks, placed, rig.screen_size, 0.4).table_map


def _photographed():  # type: ignore[no-untyped-def]
    """A rendered photograph of both boards, with what is in it."""
    rig, board = random_rig(7, 1), printed_board("A4")
    middle = np.array([np.array(rig.screen_size) / 2])
    x, y = (float(value) for value in true_table_points(rig, middle)[0])
    sheet = board_sheet(board, "A4", (x, y), 0.05)
    lit = screen_board(rig.screen_size, hole=hole_for(rig, sheet))
    screen = drawn_on_screen(lit, rig.screen_size)
    return rig, lit, photograph(rig, screen, 7, (sheet,), 0.55), Printed("A4", board, 1.0)
