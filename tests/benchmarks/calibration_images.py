"""How accurate the camera route is from rendered photographs, end to end.

Run as ``python -m tests.benchmarks.calibration_images [SCENES]``: for each case the true-scale
error over the lit area and of one metre (p95, after the rigid motion that fits best), the share of
points that the told 95 % ellipse holds, and seconds a photograph for finding and estimating. The
scenes' seeds are not used in any test. At last the whole command on one photograph of 12
megapixels, each time in a process of its own: median seconds and peak memory; alone with
``python -m tests.benchmarks.calibration_images 5 command``.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np

from calibration.board import drawn_on_screen, printed_board, screen_board
from calibration.errors import CalibrationError
from calibration.estimate import joint
from calibration.evidence import PhotoSight, ReferenceSight
from calibration.homography import fitted
from calibration.paper_edges import sheet_corners
from calibration.rig import Rig, true_screen_points, true_table_points
from calibration.rig_camera import PHONE, WEBCAM
from calibration.rig_picture import photograph
from calibration.rig_scenes import random_rig
from calibration.rig_surface import WHITE_PAPER, Sheet, board_sheet
from calibration.sighting import Printed, photo_sight, with_references
from calibration.table_map import TableMap, table_points
from calibration.uncertainty import point_covariance

FIRST_SEED = 71_000

MEASURED = (
    "import resource,subprocess,sys,time;began=time.perf_counter();"
    "subprocess.run([sys.executable,'-m','projector',*sys.argv[1:]],stdout=subprocess.DEVNULL,"
    "check=True);ended=time.perf_counter();u=resource.getrusage(resource.RUSAGE_CHILDREN);"
    "print(ended-began,u.ru_utime+u.ru_stime,u.ru_maxrss/1024)"
)
"""A small process between, since a process counts the memory of the one it was started from."""


@dataclass(frozen=True)
class Case:
    name: str
    photographs: int
    camera: str = "phone"
    papers: tuple[str, ...] = ("A4",)
    bow: float = 0.0
    plain: bool = False


CASES = (
    Case("phone, A4 board, 1 photograph", 1),
    Case("phone, A3 board, 1 photograph", 1, papers=("A3",)),
    Case("phone, two A4 boards apart, 1 photograph", 1, papers=("A4", "A4")),
    Case("phone, plain A4 sheet, 1 photograph", 1, plain=True),
    Case("phone, A4 board, 3 photographs", 3),
    Case("webcam, A4 board, 3 photographs", 3, "webcam"),
    Case("phone, A3 board, 4 photographs, bow 1.5 mm", 4, papers=("A3",), bow=1.5),
)


def scene(case: Case, seed: int) -> tuple[Rig, TableMap, float]:
    """The truth, the map found from its photographs, and the seconds it took."""
    chance = np.random.default_rng((seed, 5))
    rig = random_rig(seed, case.photographs, case.camera, case.bow)
    width, height = rig.screen_size
    centres = [(0.5, 0.5)] if len(case.papers) == 1 else [(0.22, 0.4), (0.78, 0.6)]
    sheets: list[Sheet] = []
    printed: list[Printed] = []
    for number, (paper, centre) in enumerate(zip(case.papers, centres, strict=True)):
        at = true_table_points(rig, np.array([[centre[0] * width, centre[1] * height]]))[0]
        place, angle = (float(at[0]), float(at[1])), float(chance.normal(0, 0.05))
        if case.plain:
            white = np.full((840, 1188), WHITE_PAPER, np.float32)
            sheets.append(Sheet(white, 4.0, place, angle))
            continue
        board = printed_board(paper, number=number)
        sheets.append(board_sheet(board, paper, place, angle))
        printed.append(Printed(f"{paper} {number}", board, 1.0, 0.0))
    hole = _hole(rig, sheets[0]) if len(sheets) == 1 else None
    lit = screen_board(rig.screen_size, hole=hole)
    screen = drawn_on_screen(lit, rig.screen_size)
    if hole is None:  # a board has one hole; two sheets are given white light by hand
        for sheet in sheets:
            left, top, right, bottom = (round(edge) for edge in _hole(rig, sheet))
            screen[top:bottom, left:right] = 255
    conditions = PHONE if case.camera == "phone" else WEBCAM
    photos = [
        photograph(rig, screen, seed * 10 + view, tuple(sheets), 0.55, conditions, view)
        for view in range(case.photographs)
    ]
    began = time.perf_counter()
    sights = [photo_sight(photo, lit, printed) for photo in photos]
    if case.plain and hole is not None:
        sights = [
            with_references(sight, (_sheet(photo, sight, hole),))
            for photo, sight in zip(photos, sights, strict=True)
        ]
    found = joint(sights, rig.screen_size).table_map
    return rig, found, time.perf_counter() - began


def _sheet(
    photo: np.ndarray, sight: PhotoSight, hole: tuple[float, float, float, float]
) -> ReferenceSight:
    corners = sheet_corners(photo, fitted(sight.screen_px, sight.photo_px), hole, "photograph")
    plane = np.array([[0.0, 0.0], [297.0, 0.0], [297.0, -210.0], [0.0, -210.0]])
    return ReferenceSight("sheet", plane, corners.points_px, noise_px=corners.sd_px)


def _hole(rig: Rig, sheet: Sheet) -> tuple[float, float, float, float]:
    rows, columns = sheet.drawing.shape
    reach = np.array([columns, rows]) / sheet.pixels_a_mm / 2 + 25.0
    around = np.array(sheet.middle) + reach * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    seen = true_screen_points(rig, around)
    low, high = seen.min(axis=0), seen.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def judged(rig: Rig, found: TableMap) -> tuple[np.ndarray, float, float]:
    """Errors of a grid of points after the best rigid motion, p95 of 1 m, share held."""
    width, height = rig.screen_size
    x, y = np.meshgrid(np.linspace(0.01, 0.99, 17) * width, np.linspace(0.01, 0.99, 11) * height)
    screen = np.column_stack([x.ravel(), y.ravel()])
    truth, said = true_table_points(rig, screen), table_points(found, screen)
    a, b = said - said.mean(axis=0), truth - truth.mean(axis=0)
    u, _, v = np.linalg.svd(a.T @ b)
    sign = np.diag([1.0, np.sign(np.linalg.det(u @ v))])
    turn = (u @ sign @ v).T
    missed = a @ turn.T - b
    covariance = point_covariance(found, said)
    turned = turn @ covariance @ turn.T
    chi = np.einsum("ni,nij,nj->n", missed, np.linalg.inv(turned), missed)
    apart = np.linalg.norm(truth[:, None] - truth[None], axis=2)
    first, second = np.nonzero(np.triu(np.abs(apart - 1000.0) < 60.0))
    real = apart[first, second]
    told = np.linalg.norm(said[first] - said[second], axis=1)
    metre = float(np.percentile(np.abs(told - real) / real * 1000.0, 95))
    return np.hypot(*missed.T), metre, float((chi < 5.991).mean())


def by_command(count: int) -> None:
    """The command from the photograph's file to the map, each run in a process of its own."""
    rig = random_rig(FIRST_SEED + 900, 1)
    width, height = rig.screen_size
    middle = true_table_points(rig, np.array([[0.5 * width, 0.5 * height]]))[0]
    place = (float(middle[0]), float(middle[1]))
    sheet = board_sheet(printed_board("A4"), "A4", place, 0.05)
    hole = _hole(rig, sheet)
    screen = drawn_on_screen(screen_board(rig.screen_size, hole=hole), rig.screen_size)
    photo = photograph(rig, screen, FIRST_SEED, (sheet,), 0.55)
    clock: list[float] = []
    own: list[float] = []
    peak: list[float] = []
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "table.jpg"
        cv2.imwrite(str(path), photo)
        words = ["calibrate", str(path), "--hole", ",".join(map(str, hole)), "--json"]
        for _ in range(count):
            told = subprocess.run(
                [sys.executable, "-c", MEASURED, *words], capture_output=True, text=True, check=True
            )
            for figures, figure in zip((clock, own, peak), told.stdout.split(), strict=True):
                figures.append(float(figure))
    print(
        f"calibrate, one photograph of {photo.shape[0] * photo.shape[1] / 1e6:.0f} MP, {count} "
        f"runs: {np.median(clock):.1f} s by the clock, {np.median(own):.1f} s of the processor, "
        f"peak memory {max(peak):.0f} MB (medians; the most for the memory)"
    )


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10
    wanted = sys.argv[2] if len(sys.argv) > 2 else ""
    for index, case in enumerate(CASES):
        if wanted not in case.name:
            continue
        p95, metres, held, seconds, failed = [], [], [], [], 0
        for number in range(count):
            try:
                rig, found, took = scene(case, FIRST_SEED + 1000 * index + number)
            except CalibrationError as error:
                failed += 1
                print(f"  {error}")
                continue
            errors, metre, share = judged(rig, found)
            p95.append(float(np.percentile(errors, 95)))
            metres.append(metre)
            held.append(share)
            seconds.append(took)
        if not p95:
            print(f"{case.name}: all of {failed} failed")
            continue
        print(
            f"{case.name}: p95 {np.percentile(p95, 50):.2f} mm (90 % of scenes "
            f"{np.percentile(p95, 90):.2f}), 1 m {np.percentile(metres, 50):.2f} mm "
            f"({np.percentile(metres, 90):.2f}), 95 % holds {np.mean(held):.2f}, "
            f"{np.median(seconds) / case.photographs:.1f} s a photograph, {failed} failed",
            flush=True,
        )
    if wanted in "command":
        by_command(min(count, 5))


if __name__ == "__main__":
    main()
