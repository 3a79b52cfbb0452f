"""Rendered photographs against closed-form places: the centroid of a square's seen outline."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calibration.errors import CalibrationError
from calibration.homography import mapped
from calibration.light import coded, linear
from calibration.rig import Rig, photo_points, surface_points, true_table_points
from calibration.rig_camera import PHONE
from calibration.rig_picture import photograph, table_light
from calibration.rig_scenes import random_rig
from calibration.rig_surface import Cloth, Sheet, plain_cloth, table_from_sheet

DARK_ROOM = replace(PHONE, room=0.0, black=0.0)


def small(seed: int) -> Rig:
    """A rig whose camera has a third of the pixels each way, for what needs none."""
    rig = random_rig(seed)
    lens = rig.camera
    centre = ((lens.centre_px[0] - 1) / 3, (lens.centre_px[1] - 1) / 3)
    camera = replace(lens, focal_px=lens.focal_px / 3, centre_px=centre, photo_size=(1344, 1008))
    return replace(rig, camera=camera)


def centroid(outline: np.ndarray) -> np.ndarray:
    """Of a polygon (n, 2), by the shoelace formula."""
    after = np.roll(outline, -1, axis=0)
    cross = outline[:, 0] * after[:, 1] - after[:, 0] * outline[:, 1]
    return ((outline + after) * cross[:, None]).sum(axis=0) / (3 * cross.sum())


def outline(left: float, top: float, right: float, bottom: float) -> np.ndarray:
    """A rectangle with 32 points on each side."""
    t = np.linspace(0, 1, 32, endpoint=False)[:, None]
    corners = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
    sides = zip(corners, np.roll(corners, -1, axis=0), strict=True)
    return np.concatenate([a + (b - a) * t for a, b in sides])


def weighed(light: np.ndarray, at: np.ndarray, reach: int) -> np.ndarray:
    """The centroid of the light in a window that holds all of one bright square."""
    x, y = np.rint(at).astype(int)
    window = light[y - reach : y + reach + 1, x - reach : x + reach + 1].astype(float)
    down, across = np.mgrid[y - reach : y + reach + 1, x - reach : x + reach + 1]
    return np.array([(window * across).sum(), (window * down).sum()]) / window.sum()


@pytest.mark.parametrize("seed", [11])
def test_lit_squares_are_seen_where_they_are(seed: int) -> None:
    rig = random_rig(seed)
    screen = np.zeros((1080, 1920), np.uint8)
    corners = [(x, y) for x in range(200, 1720, 240) for y in range(150, 950, 190)]
    for x, y in corners:
        screen[y : y + 24, x : x + 31] = 255
    light = table_light(rig, screen, (), plain_cloth(0.7), DARK_ROOM)
    errors = []
    for x, y in corners:
        seen = photo_points(
            rig, true_table_points(rig, outline(x - 0.5, y - 0.5, x + 30.5, y + 23.5))
        )
        wanted = centroid(seen)
        reach = int(np.ptp(seen, axis=0).max() / 2) + 12
        errors.append(weighed(light, wanted, reach) - wanted)
    assert np.abs(errors).max() < 0.01
    assert np.abs(np.mean(errors, axis=0)).max() < 0.003


def test_printed_squares_are_seen_where_they_are() -> None:
    rig = random_rig(13)
    drawing = np.zeros((840, 1188), np.float32)
    squares = [(x, y) for x in range(100, 1050, 150) for y in range(60, 750, 130)]
    for x, y in squares:
        drawing[y : y + 60, x : x + 80] = 0.8
    sheet = Sheet(drawing, 4.0, (790.0, 440.0), 0.3, scale=1.002)
    white = np.full((1080, 1920), 255, np.uint8)
    light = table_light(rig, white, (sheet,), plain_cloth(0.0), DARK_ROOM)
    errors = []
    for x, y in squares:
        own = outline(x / 4, y / 4, (x + 80) / 4, (y + 60) / 4) * [1, -1]
        seen = photo_points(rig, mapped(table_from_sheet(sheet), own))
        wanted = centroid(seen)
        reach = int(np.ptp(seen, axis=0).max() / 2) + 8
        errors.append(weighed(light, wanted, reach) - wanted)
    assert np.abs(errors).max() < 0.01


def test_light_and_levels_are_one_another_s_inverse() -> None:
    levels = np.arange(256, dtype=np.uint8).reshape(16, 16)
    assert (coded(linear(levels)) == levels).all()
    # IEC 61966-2-1: half of full scale is 21.4 % of the light.
    assert linear(np.array([[128]], np.uint8))[0, 0] == pytest.approx(0.2158, abs=1e-3)


def test_a_screen_of_another_size_is_refused() -> None:
    with pytest.raises(CalibrationError, match="1920 x 1080"):
        photograph(small(1), np.zeros((720, 1280), np.uint8), 1)


def test_a_hand_hides_and_a_lamp_glares() -> None:
    rig = small(2)
    white = np.full((1080, 1920), 255, np.uint8)
    at = photo_points(rig, np.array([[500.0, 400.0], [1000.0, 500.0]])).astype(int)
    plain = table_light(rig, white, (), plain_cloth(0.7), PHONE)
    hidden = table_light(
        rig, white, (), plain_cloth(0.7),
        replace(PHONE, hand=(500.0, 400.0), glare=((1000.0, 500.0, 40.0, 2.0),)),
    )  # fmt: skip
    assert hidden[at[0][1], at[0][0]] < 0.6 * plain[at[0][1], at[0][0]]
    assert hidden[at[1][1], at[1][0]] > plain[at[1][1], at[1][0]] + 1.5


def test_a_print_repeats_over_the_table() -> None:
    rig = small(4)
    stripes = np.zeros((10, 40), np.float32)
    stripes[:, :20] = 0.8
    white = np.full((1080, 1920), 255, np.uint8)
    light = table_light(rig, white, (), Cloth(stripes, 0.5), DARK_ROOM)
    # Stripes of 40 mm: bright at x = 20 + 80 k, dark at 60 + 80 k.
    for x in (420.0, 820.0, 1140.0):
        bright, dark = photo_points(rig, np.array([[x, 450.0], [x + 40.0, 450.0]])).astype(int)
        assert light[bright[1], bright[0]] > 10 * light[dark[1], dark[0]]


def test_a_raised_sheet_stands_where_its_height_puts_it() -> None:
    rig = random_rig(6)
    drawing = np.zeros((400, 400), np.float32)
    drawing[150:250, 150:250] = 0.8
    sheet = Sheet(drawing, 4.0, (900.0, 500.0), height=20.0)
    white = np.full((1080, 1920), 255, np.uint8)
    light = table_light(rig, white, (sheet,), plain_cloth(0.0), DARK_ROOM)
    own = outline(37.5, 37.5, 62.5, 62.5) * [1, -1]
    space = surface_points(rig, mapped(table_from_sheet(sheet), own), 20.0)
    seen = photo_points(rig, space)
    wanted = centroid(seen)
    flat = centroid(photo_points(rig, space[:, :2]))
    assert np.hypot(*(wanted - flat)) > 5.0
    found = weighed(light, wanted, int(np.ptp(seen, axis=0).max() / 2) + 8)
    assert np.abs(found - wanted).max() < 0.02
