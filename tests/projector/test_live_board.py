"""Lighting boards one after the other before a still camera, against the truth of the rig."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from calibration.board import printed_board
from calibration.record import from_plain
from calibration.rig import Rig, photo_points, true_table_points
from calibration.rig_camera import WEBCAM
from calibration.rig_scenes import random_rig
from calibration.rig_surface import board_sheet
from calibration.sighting import Printed
from projector import camera, live_board
from projector.cli import app
from projector.desk import lamp
from projector.errors import ProjectorError
from projector.live_board import live_sight
from tests.calibration.truth import off
from tests.projector.live_rig import LiveRig

SCREEN = (1280, 720)
HELD = replace(WEBCAM, jpeg=None)


def table(seed: int, paper: str = "A3") -> tuple[Rig, LiveRig]:
    rig = random_rig(seed, camera="webcam", screen_size=SCREEN)
    coarse = {
        "photo_size": (1280, 720),
        "focal_px": rig.camera.focal_px / 1.5,
        "centre_px": tuple(part / 1.5 for part in rig.camera.centre_px),
    }
    rig = replace(rig, camera=replace(rig.camera, **coarse))
    middle = true_table_points(rig, np.array([[639.5, 359.5]]))[0]
    sheet = board_sheet(printed_board(paper), paper, (float(middle[0]), float(middle[1])), 0.1)
    return rig, LiveRig(rig, HELD, (sheet,), 0.6)


def test_boards_lit_over_a_printed_one_are_seen_to_a_part_of_a_pixel() -> None:
    rig, live = table(311)
    seen = live_sight(live, live, SCREEN, (Printed("A3", printed_board("A3")),)).sight
    assert len(live.lit) == 7  # white, then three boards and their inverses
    truly = photo_points(rig, true_table_points(rig, seen.screen_px))
    assert np.median(np.hypot(*(seen.photo_px - truly).T)) < 0.1
    assert len(seen.screen_px) > 240
    assert len(seen.references) == 1


def test_a_plain_board_is_read_over_a_printed_one() -> None:
    rig, live = table(312)
    seen = live_sight(live, live, SCREEN, (Printed("A3", printed_board("A3")),), plain=True).sight
    truly = photo_points(rig, true_table_points(rig, seen.screen_px))
    assert np.median(np.hypot(*(seen.photo_px - truly).T)) < 0.1
    assert len(seen.references) == 1


def test_the_command_lights_the_boards_and_finds_the_map(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rig, live = table(313)
    monkeypatch.setattr(camera, "camera_frames", lambda source: live)
    monkeypatch.setattr(lamp, "ProjectedLamp", lambda display: live)
    told = CliRunner().invoke(
        app,
        ["calibrate", "--camera", "0", "--display", "1", "--shots", "1", "--paper", "A3", "--json",
         "--pictures", str(tmp_path)],
        input="\n",
    )  # fmt: skip
    assert told.exit_code == 0, told.output
    plain = json.loads(told.stdout[told.stdout.index("{") :])
    plain.pop("figures")
    found = from_plain(plain).table_map
    assert found.screen_size == SCREEN
    # One webcam picture of one A3 board: a weak map.
    assert np.quantile(off(found, rig), 0.95) < 1.5
    assert (tmp_path / "corners-1.png").exists()


class _Still:
    """A camera whose picture never changes, or never comes."""

    def __init__(self, level: int | None) -> None:
        self._level = level

    def read(self) -> np.ndarray | None:
        return None if self._level is None else np.full((90, 160, 3), self._level, np.uint8)

    def release(self) -> None:
        pass

    def light(self, image: np.ndarray) -> None:
        pass

    def wait(self) -> None:
        pass


@pytest.mark.parametrize(
    ("level", "words"), [(None, "no picture"), (0, "black"), (120, "did not follow the light")]
)
def test_a_camera_that_sees_nothing_of_it_is_told(
    level: int | None, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(live_board, "PATIENCE", 0.3)
    still = _Still(level)
    with pytest.raises(ProjectorError, match=words):
        live_sight(still, still, SCREEN, ())
