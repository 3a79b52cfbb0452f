"""Calibrations by each route: seconds, error, memory; by photographs and by their pixels."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np

from calibration.board import drawn_on_screen, printed_board, screen_board
from calibration.rig import true_table_points
from calibration.rig_picture import photograph
from calibration.rig_scenes import random_rig
from calibration.rig_surface import board_sheet
from tests.benchmarks.calibration_accuracy import CASES
from tests.benchmarks.calibration_images import _hole as hole_for
from tests.benchmarks.processes import Row, told
from tests.calibration.truth import metres_off, off

ROUTES = {
    "phone, 1 photograph, A4": 6,
    "phone, 1 photograph, plain A4 sheet": 6,
    "phone, 3 photographs, A4": 4,
    "by hand, 4 marks": 30,
    "by hand, 9 marks": 30,
    "tape, 10 lengths, 0.5 mm": 30,
}
"""Cases of `calibration_accuracy`, and how many tables each is tried on here."""
FIRST_SEED = 930
VIEWS = (1, 2, 4)
SHARES = (0.6, 1.0, 2.0)
"""Sides of a photograph of 12 megapixels, less finely and more finely taken."""


def calibrating(folder: Path) -> Iterator[Row]:
    """Seconds of one estimate from what was found or measured, and its error, by each route."""
    for name, count in ROUTES.items():
        found = [CASES[name].run(FIRST_SEED + number, False) for number in range(count)]
        seconds = np.median([each.seconds for each in found])
        area = np.concatenate([off(each.table_map, each.rig) for each in found])
        metres = np.concatenate([metres_off(each.table_map, each.rig)[0] for each in found])
        yield "calibration by route", name, (
            f"{seconds:.2f} s; {np.percentile(area, 95):.2f} mm over the table, "
            f"{np.percentile(np.abs(metres), 95):.2f} mm in 1 m (p95 of {count} tables)"
        )  # fmt: skip


def photographs(folder: Path) -> Iterator[Row]:
    """The whole command with its memory, by rendered photographs and by their pixels."""
    rig, board = random_rig(7, max(VIEWS)), printed_board("A4")
    middle = np.array([np.array(rig.screen_size) / 2])
    x, y = (float(value) for value in true_table_points(rig, middle)[0])
    sheet = board_sheet(board, "A4", (x, y), 0.05)
    hole = hole_for(rig, sheet)
    screen = drawn_on_screen(screen_board(rig.screen_size, hole=hole), rig.screen_size)
    names = []
    for view in range(max(VIEWS)):
        names.append(f"photo-{view}.jpg")
        picture = photograph(rig, screen, 7, (sheet,), 0.55, view=view)
        cv2.imwrite(str(folder / names[-1]), picture)
    pixels = picture.shape[0] * picture.shape[1]
    around = ",".join(f"{edge:.1f}" for edge in hole)
    for count in VIEWS:
        words = ("calibrate", *names[:count], "--hole", around, "--out", "found.yaml")
        clock, own, memory = told(*words, folder=folder)
        yield "growth with photographs", f"{count} of {pixels / 1e6:.0f} megapixels", (
            f"{own:.1f} s processor, {clock:.1f} s clock, {memory:.0f} MB"
        )  # fmt: skip
    first = cv2.imread(str(folder / names[0]))
    for share in SHARES:
        way = cv2.INTER_AREA if share < 1.0 else cv2.INTER_LINEAR
        taken = cv2.resize(first, None, fx=share, fy=share, interpolation=way)
        cv2.imwrite(str(folder / "taken.jpg"), taken)
        words = ("calibrate", "taken.jpg", "--hole", around, "--out", "found.yaml")
        clock, own, memory = told(*words, folder=folder)
        yield "growth with pixels", f"{taken.size / 3e6:.0f} megapixels", (
            f"{own:.1f} s processor, {clock:.1f} s clock, {memory:.0f} MB"
        )  # fmt: skip
