"""What is told of photographs that cannot make a map: each failure on the rig, and its line.

    python -m tests.benchmarks.failing_photographs [WORDS] [--camera phone] [--kept FOLDER]

Every case is photographed on the rig, written as JPEG and given to `calibrate` as a cutter would
give it; printed are the case and the first lines she reads. `WORDS` choose cases by a part of their
name; `--kept` keeps the photographs, so that only the telling is done again.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path

import cv2
import numpy as np
from typer.testing import CliRunner

from calibration.board import Board, drawn_on_screen, printed_board, screen_board
from calibration.light import coded
from calibration.rig import Rig, View, true_screen_points, true_table_points
from calibration.rig_camera import PHONE, WEBCAM, Conditions, exposed
from calibration.rig_picture import table_light
from calibration.rig_scenes import MIDDLE, looking, random_rig
from calibration.rig_surface import Cloth, Sheet, board_sheet, plain_cloth
from projector.cli import app

SEED = 64_000
Kernel = np.ndarray | None


def disk(radius: float) -> np.ndarray:
    """The light of a point out of focus: an even disk."""
    half = int(np.ceil(radius)) + 1
    y, x = np.mgrid[-half : half + 1, -half : half + 1]
    kernel = np.clip(radius + 0.5 - np.hypot(x, y), 0.0, 1.0)
    return kernel / kernel.sum()


def streak(length: float, angle: float = 0.6) -> np.ndarray:
    """The light of a point while the camera moves along a line."""
    half = int(np.ceil(length / 2)) + 1
    kernel = np.zeros((2 * half + 1, 2 * half + 1), np.float32)
    for part in np.linspace(-length / 2, length / 2, 400):
        x, y = half + part * np.cos(angle), half + part * np.sin(angle)
        kernel[round(y), round(x)] += 1.0
    kernel = cv2.GaussianBlur(kernel, (0, 0), 0.5)
    return kernel / kernel.sum()


def leaning(degrees: float, away: float = 1700.0, aim: np.ndarray = MIDDLE) -> View:
    lean = np.deg2rad(degrees)
    return looking(aim + away * np.array([0.0, -np.sin(lean), np.cos(lean)]), aim)


@dataclass(frozen=True)
class Case:
    """One failure: how the table was photographed, and a word of what should be told first."""

    name: str
    wanted: str
    conditions: dict[str, object] = field(default_factory=dict)
    kernel: Callable[[float], Kernel] | None = None
    views: tuple[View, ...] | None = None
    shown: Callable[[Board, tuple[int, int]], np.ndarray] | None = None
    sheets: Callable[[tuple[Sheet, ...], int], tuple[Sheet, ...]] | None = None
    cloth: Cloth | float = 0.55
    words: tuple[str, ...] = ()
    after: Callable[[np.ndarray], np.ndarray] | None = None
    narrow: bool = False


def corner_of(image: np.ndarray) -> np.ndarray:
    return image[: image.shape[0] // 3, : image.shape[1] // 3]


def other_screen(size: tuple[int, int], rows: int = 9) -> Callable[..., np.ndarray]:
    def shown(board: Board, screen: tuple[int, int]) -> np.ndarray:
        hole = tuple(
            edge * size[k % 2] / screen[k % 2] for k, edge in enumerate(board.hole or (0, 0, 0, 0))
        )
        image = drawn_on_screen(screen_board(size, rows=rows, hole=hole), size)
        return cv2.resize(image, screen, interpolation=cv2.INTER_NEAREST)

    return shown


def white(board: Board, screen: tuple[int, int]) -> np.ndarray:
    return np.full((screen[1], screen[0]), 255, np.uint8)


def without_hole(board: Board, screen: tuple[int, int]) -> np.ndarray:
    return drawn_on_screen(replace(board, hole=None), screen)


def checks(rim: float) -> Cloth:
    """Woven checks of this many mm, black and white: harsh."""
    side = 40
    tile = np.full((2 * side, 2 * side), 0.75, np.float32)
    tile[:side, :side] = tile[side:, side:] = 0.08
    return Cloth(tile, side / rim)


CASES = (
    Case("nothing lit", "no board", shown=lambda b, s: np.zeros((s[1], s[0]), np.uint8)),
    Case("white light, no board", "no board", shown=white),
    Case("board of 1280 x 720 stretched", "another screen", shown=other_screen((1280, 720))),
    Case("board of 1280 x 800 stretched", "another screen", shown=other_screen((1280, 800))),
    Case("board of 3840 x 2160", "another screen", shown=other_screen((3840, 2160))),
    Case("board of 1920 x 1200 stretched", "another screen", shown=other_screen((1920, 1200))),
    Case("board of 12 rows", "another screen", shown=other_screen((1920, 1080), 12)),
    *(Case(f"defocus of {r} px", "blurred", kernel=lambda k, r=r: disk(r * k))
      for r in (2, 4, 8, 16)),
    *(Case(f"moved by {r} px", "blurred", kernel=lambda k, r=r: streak(r * k))
      for r in (6, 12, 24, 48)),
    *(Case(f"oblique by {d} degrees", "oblique", views=(leaning(d, 3700.0),), narrow=True)
      for d in (60, 70, 75, 80, 84)),
    Case("from 6 m", "far", views=(leaning(20, 6000.0),)),
    Case("from 9 m", "far", views=(leaning(20, 9000.0),)),
    Case("only the edge of the light", "few corners", after=corner_of),
    Case("overexposed", "overexposed", conditions={"gain": 14.0}),
    Case("burnt out", "overexposed", conditions={"gain": 60.0}),
    Case("underexposed", "dark", conditions={"gain": 0.012}),
    Case("room light drowns the board", "room", conditions={"room": 6.0}),
    Case("glare over the board", "glare",
         conditions={"glare": ((800.0, 450.0, 420.0, 30.0),)}),
    Case("no sheet", "sheet", sheets=lambda sheets, view: ()),
    Case("the sheet of another number", "sheet", words=("--paper", "A4", "--paper", "A4")),
    Case("A4 lies, A3 is told", "paper", words=("--paper", "A3")),
    Case("sheet raised by 60 mm, three photographs", "plane",
         views=(leaning(30), leaning(-30), leaning(45)),
         sheets=lambda sheets, view: tuple(replace(s, height=60.0) for s in sheets)),
    Case("sheet moved between photographs", "moved",
         views=(leaning(30), leaning(-30), leaning(45)),
         sheets=lambda sheets, view: tuple(
             replace(s, middle=(s.middle[0] + 40.0 * view, s.middle[1])) for s in sheets)),
    Case("board without the hole that is told", "hole", shown=without_hole),
    Case("mirrored", "mirrored", after=lambda image: np.ascontiguousarray(image[:, ::-1])),
    Case("plain board lit, coded told", "plain",
         shown=lambda b, s: drawn_on_screen(screen_board(s, hole=None, plain=True), s)),
    Case("coded board lit, plain told", "plain", words=("--plain",)),
    Case("checked cloth of 25 mm", "cloth", cloth=checks(25.0)),
    Case("checked cloth of 60 mm", "cloth", cloth=checks(60.0)),
    Case("black cloth", "cloth", cloth=plain_cloth(0.02)),
    Case("turned by a quarter", "fine", after=lambda image: np.rot90(image).copy()),
)  # fmt: skip


def hole_of(rig: Rig, middle: np.ndarray) -> tuple[float, float, float, float]:
    around = middle + np.array([[-175, -130], [175, -130], [175, 130], [-175, 130]])
    seen = true_screen_points(rig, around)
    (left, top), (right, bottom) = np.floor(seen.min(axis=0)), np.ceil(seen.max(axis=0))
    return float(left), float(top), float(right), float(bottom)


def narrowed(rig: Rig) -> Rig:
    """A longer lens and few rows, so that the horizon is not in the picture."""
    width, rows = rig.photo_size[0], rig.photo_size[0] // 4
    centre = (rig.camera.centre_px[0], rows / 2.0)
    lens = replace(
        rig.camera, focal_px=2.2 * rig.camera.focal_px, photo_size=(width, rows), centre_px=centre
    )
    return replace(rig, camera=lens)


def told(case: Case, camera: str, folder: Path) -> str:
    rig = random_rig(SEED, camera=camera)
    if case.views:
        rig = replace(rig, views=case.views)
    if case.narrow:
        rig = narrowed(rig)
    size = rig.screen_size
    middle = true_table_points(rig, np.array([[size[0] / 2, size[1] / 2]]))[0]
    hole = hole_of(rig, middle)
    board = screen_board(size, hole=hole)
    place = (float(middle[0]), float(middle[1]))
    sheets = (board_sheet(printed_board("A4"), "A4", place, 0.05),)
    usual: Conditions = PHONE if camera == "phone" else WEBCAM
    conditions = replace(usual, **case.conditions)  # type: ignore[arg-type]
    scale = 1.0 if camera == "webcam" else 2.1
    shown = (case.shown or drawn_on_screen)(board, size)
    names = []
    for view in range(len(rig.views)):
        path = folder / f"{camera} {case.name} {view + 1}.jpg"
        names.append(path)
        if path.exists():
            continue
        lying = case.sheets(sheets, view) if case.sheets else sheets
        cloth = case.cloth if isinstance(case.cloth, Cloth) else plain_cloth(case.cloth)
        light = table_light(rig, shown, lying, cloth, conditions, view)
        if case.kernel is not None:
            kernel = case.kernel(scale)
            light = cv2.filter2D(light, -1, kernel, borderType=cv2.BORDER_REPLICATE)
        image = coded(exposed(light, conditions, np.random.default_rng(view)))
        if case.narrow:
            rim = (9 * image.shape[1] // 16 - image.shape[0]) // 2
            image = cv2.copyMakeBorder(image, rim, rim, 0, 0, cv2.BORDER_REPLICATE)
        image = case.after(image) if case.after else image
        cv2.imwrite(str(path), image, [cv2.IMWRITE_JPEG_QUALITY, 92])
    words = ["calibrate", *map(str, names), "--hole", ",".join(map(str, hole)), *case.words]
    began = time.process_time()
    result = CliRunner().invoke(app, words)
    took = time.process_time() - began
    text = str(result.exception) if result.exception is not None else result.output
    return f"{took:4.1f} s  " + text.replace(str(folder) + "/", "").strip()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("words", nargs="?", default="")
    parser.add_argument("--camera", default="webcam", choices=["webcam", "phone"])
    parser.add_argument("--kept", type=Path)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        kept = given.kept or Path(folder)
        kept.mkdir(parents=True, exist_ok=True)
        for case in CASES:
            if given.words in case.name:
                print(f"* {case.name} (wanted: {case.wanted})")
                print(
                    "    " + "\n    ".join(told(case, given.camera, kept).splitlines()), flush=True
                )


if __name__ == "__main__":
    main()
