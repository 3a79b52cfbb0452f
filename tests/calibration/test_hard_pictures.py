"""Glare, a hand, uneven light and a wrong exposure, rendered and judged by the rig."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from calibration.board import drawn_on_screen, printed_board, screen_board
from calibration.detection import found_corners
from calibration.errors import CalibrationError
from calibration.evidence import PhotoSight
from calibration.exposure import part_at_limit
from calibration.rig import Rig, photo_points, true_screen_points, true_table_points
from calibration.rig_camera import WEBCAM, Conditions
from calibration.rig_picture import photograph
from calibration.rig_scenes import MIDDLE, looking, random_rig
from calibration.rig_surface import Cloth, board_sheet, plain_cloth
from calibration.sighting import Printed, photo_sight

SCREEN = (1280, 720)
SEED = 823


def rig_at(seed: int) -> Rig:
    rig = random_rig(seed, camera="webcam", screen_size=SCREEN)
    coarse = replace(
        rig.camera,
        photo_size=(1280, 720),
        focal_px=rig.camera.focal_px / 1.5,
        centre_px=(rig.camera.centre_px[0] / 1.5, rig.camera.centre_px[1] / 1.5),
    )
    return replace(rig, camera=coarse)


def sighted(
    conditions: Conditions, cloth: float | Cloth = 0.55, rig: Rig | None = None
) -> tuple[Rig, PhotoSight]:
    rig = rig or rig_at(SEED)
    middle = true_table_points(rig, np.array([[639.5, 359.5]]))[0]
    board = printed_board("A3")
    sheet = board_sheet(board, "A3", (float(middle[0]), float(middle[1])), 0.03)
    around = middle + np.array([[-235, -174], [235, -174], [235, 174], [-235, 174]])
    seen = true_screen_points(rig, around)
    (left, top), (right, bottom) = seen.min(axis=0), seen.max(axis=0)
    lit = screen_board(SCREEN, hole=(float(left), float(top), float(right), float(bottom)))
    picture = photograph(rig, drawn_on_screen(lit, SCREEN), 4, (sheet,), cloth, conditions)
    return rig, photo_sight(picture, lit, (Printed("A3", board),))


def misses(rig: Rig, sight: PhotoSight) -> np.ndarray:
    truly = photo_points(rig, true_table_points(rig, sight.screen_px))
    return np.hypot(*(sight.photo_px - truly).T)


def on_table(x: float, y: float) -> tuple[float, float]:
    place = true_table_points(rig_at(SEED), np.array([[x, y]]))[0]
    return float(place[0]), float(place[1])


@pytest.mark.parametrize(
    ("conditions", "least"),
    [
        (replace(WEBCAM, glare=((*on_table(250.0, 180.0), 60.0, 3.0),)), 60),
        (replace(WEBCAM, hand=on_table(1000.0, 500.0)), 60),
        (replace(WEBCAM, room=0.25, uneven=0.6), 60),
    ],
    ids=["glare", "a hand", "uneven room light"],
)
def test_the_corners_that_are_left_are_right(conditions: Conditions, least: int) -> None:
    rig, sight = sighted(conditions)
    assert len(sight.screen_px) >= least
    off = misses(rig, sight)
    assert np.median(off) < 0.1
    assert np.quantile(off, 0.95) < 0.6
    assert len(sight.references) == 1


def test_a_sheet_that_is_too_bright_is_told_with_the_mend() -> None:
    with pytest.raises(CalibrationError, match=r"overexposed, \d+% .* expose for the sheet"):
        sighted(replace(WEBCAM, gain=14.0), cloth=0.06)


def test_the_part_at_the_limit_is_that_of_the_field() -> None:
    picture = np.full((100, 200), 128, np.uint8)
    picture[:, 100:150] = 255
    field = np.array([[50.0, 10.0], [149.0, 10.0], [149.0, 90.0], [50.0, 90.0]])
    assert part_at_limit(picture, field) == pytest.approx(0.5)
    assert part_at_limit(picture, field - 300.0) == 0.0


def soft_print() -> Cloth:
    """Blots of 60 mm between a quarter and three quarters of the light, as cloth is printed."""
    blots = np.random.default_rng(5).uniform(0.25, 0.75, (16, 16)).astype(np.float32)
    return Cloth(cv2.resize(blots, (480, 480), interpolation=cv2.INTER_CUBIC), 0.5)


@pytest.mark.parametrize("cloth", [plain_cloth(0.04), soft_print()], ids=["dark", "printed"])
def test_the_board_is_read_on_cloth(cloth: Cloth) -> None:
    rig, sight = sighted(WEBCAM, cloth)
    off = misses(rig, sight)
    assert len(off) >= 60
    assert np.median(off) < 0.1
    assert np.quantile(off, 0.95) < 0.6


def seen_from(lean_deg: float, far: float) -> Rig:
    lean = np.deg2rad(lean_deg)
    view = looking(MIDDLE + far * np.array([0.0, -np.sin(lean), np.cos(lean)]), MIDDLE)
    return replace(rig_at(SEED), views=(view,))


@pytest.mark.parametrize(
    ("conditions", "lean_deg", "far", "wanted"),
    [
        (replace(WEBCAM, blur_px=4.0), 25.0, 1700.0, "blurred by about [2-6]"),
        (WEBCAM, 67.0, 2600.0, r"too oblique, about [67]\d degrees .* higher"),
        (WEBCAM, 20.0, 7000.0, "too small .* move closer"),
        (replace(WEBCAM, gain=0.012), 25.0, 1700.0, "the photograph is dark"),
        (replace(WEBCAM, room=6.0), 25.0, 1700.0, "darken the room"),
    ],
    ids=["blurred", "too oblique", "too far", "dark", "room light"],
)
def test_the_true_cause_is_told_in_one_line(
    conditions: Conditions, lean_deg: float, far: float, wanted: str
) -> None:
    with pytest.raises(CalibrationError, match=wanted) as told:
        sighted(conditions, rig=seen_from(lean_deg, far))
    assert "\n" not in str(told.value)


def lit_by(image: np.ndarray, sheet: bool = True) -> PhotoSight:
    """A photograph of another image than the board with a hole that is told."""
    rig = rig_at(SEED)
    middle = true_table_points(rig, np.array([[639.5, 359.5]]))[0]
    board = printed_board("A3")
    lying = board_sheet(board, "A3", (float(middle[0]), float(middle[1])), 0.03)
    picture = photograph(rig, image, 4, (lying,) if sheet else (), 0.55, WEBCAM)
    told = screen_board(SCREEN, hole=HOLE)
    return photo_sight(picture, told, (Printed("A3", board),))


HOLE = (430.0, 190.0, 850.0, 530.0)


@pytest.mark.parametrize(
    ("image", "sheet", "wanted"),
    [
        (np.full((720, 1280), 255, np.uint8), True, "only the printed board is seen"),
        (drawn_on_screen(screen_board(SCREEN, 12, HOLE), SCREEN), True,
         "has 21 columns of squares, wanted 16; .* another screen"),
        (drawn_on_screen(screen_board(SCREEN, hole=HOLE), SCREEN)[:, ::-1], True, "mirrored"),
        (drawn_on_screen(screen_board(SCREEN), SCREEN), True, "no plain white hole"),
        (drawn_on_screen(screen_board(SCREEN, hole=HOLE), SCREEN), False, "none is seen in the"),
    ],
    ids=["no board lit", "another screen", "mirrored", "no hole", "no sheet"],
)  # fmt: skip
def test_what_is_lit_or_lies_otherwise_than_told_is_said(
    image: np.ndarray, sheet: bool, wanted: str
) -> None:
    with pytest.raises(CalibrationError, match=wanted):
        lit_by(np.ascontiguousarray(image), sheet)


def test_checks_of_a_cloth_are_not_taken_for_a_board() -> None:
    checks = np.kron(np.indices((40, 60)).sum(axis=0) % 2, np.ones((24, 24))) * 150 + 40
    picture = cv2.GaussianBlur(checks.astype(np.uint8), (0, 0), 1.0)
    with pytest.raises(CalibrationError, match=r"checked or printed cloth .* bare table"):
        found_corners(picture, screen_board(SCREEN), "cloth")
