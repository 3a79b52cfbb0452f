"""The table's place of the desk: routes against a projector that is known in closed form."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pygame
import pytest

from calibration.record import Record
from calibration.tape import TEN_LENGTHS, lit_marks
from projector.desk.mark_routes import known_marks
from projector.desk.projected import ProjectedWindow
from projector.desk.table_part import TablePart
from projector.desk.view import View
from projector.desk.window import DeskWindow
from projector.files.table import read_table, write_record
from projector.printed_bars import PrintedBars
from projector.stage.session import Session
from tests.projector.choir import hall_map
from tests.projector.desk_play import Step, click, desk_with, key, play, typed, wait

pytestmark = pytest.mark.usefixtures("null_driver")

# Screen from table of a projector that hangs a little crooked: a plain homography, written out.
SCREEN_FROM_TABLE = np.array([[1.15, 0.06, 260.0], [0.03, -1.2, 980.0], [2e-5, 1e-5, 1.0]])


def lit(table: np.ndarray) -> np.ndarray:
    rows = np.column_stack([table, np.ones(len(table))]) @ SCREEN_FROM_TABLE.T
    return np.asarray(rows[:, :2] / rows[:, 2:])


def on_table(screen_px: np.ndarray) -> np.ndarray:
    rows = (
        np.column_stack([screen_px, np.ones(len(screen_px))]) @ np.linalg.inv(SCREEN_FROM_TABLE).T
    )
    return np.asarray(rows[:, :2] / rows[:, 2:])


def screen_size() -> tuple[int, int]:
    width, height = pygame.display.get_desktop_sizes()[0]
    return width, height


def with_part(part: TablePart) -> View:
    return View(place="table").with_part(part)


def test_crosshairs_on_known_marks_become_the_map_that_is_kept(choir: Path, tmp_path: Path) -> None:
    desk, session = desk_with(choir)
    part = TablePart(route="hand", step=2, display=0, mat=(900.0, 600.0))
    places = lit(known_marks(part))
    part = replace(part, places=tuple((float(x), float(y)) for x, y in places))
    desk.view = with_part(part)
    end = play(desk, session, wait, *click("marks:find"), wait, *click("found:keep"), wait)
    kept = read_table(tmp_path / "table.yaml")
    x, y = np.meshgrid([50.0, 450.0, 850.0], [40.0, 300.0, 560.0])
    inside = np.column_stack([x.ravel(), y.ravel()])
    from calibration.table_map import screen_points

    assert np.abs(screen_points(kept, inside) - lit(inside)).max() < 0.5
    assert desk.errands.table_map is not None and end.table_from_cloth.dx != 0.0
    assert str(tmp_path / "table.yaml") in (tmp_path / "settings.yaml").read_text()


def test_taped_lengths_become_a_map_of_the_true_lengths(choir: Path, tmp_path: Path) -> None:
    desk, session = desk_with(choir)
    marks = on_table(lit_marks(screen_size()))
    lengths = [float(np.hypot(*(marks[b] - marks[a]))) for a, b in TEN_LENGTHS]
    desk.view = with_part(TablePart(route="tape", step=1, display=0))
    steps = [step for number, length in enumerate(lengths)
             for step in typed(f"taped:{number}", f"{length:.1f} mm")]  # fmt: skip
    play(desk, session, wait, *steps, *click("step:on"), *click("marks:find"), wait,
         *click("found:keep"), wait)  # fmt: skip
    from calibration.table_map import table_points

    kept = read_table(tmp_path / "table.yaml")
    found = table_points(kept, lit_marks(screen_size()))
    for first in range(9):
        for second in range(first):
            true = np.hypot(*(marks[first] - marks[second]))
            assert np.hypot(*(found[first] - found[second])) == pytest.approx(true, abs=1.0)


def test_a_crosshair_is_nudged_by_tenths_of_a_pixel(choir: Path) -> None:
    desk, session = desk_with(choir)
    desk.view = with_part(TablePart(route="hand", step=1, display=0))
    seen: list[tuple[float, float]] = []

    def look(desk: object, session: Session) -> None:
        part: TablePart = view_of().part(TablePart)
        seen.append(part.places[0] if part.places else (0.0, 0.0))

    def view_of() -> View:
        return desk.view

    play(desk, session, wait, *click("stride:0.1"), *click("nudge:right"), look,
         key(pygame.K_RIGHT), wait, key(pygame.K_DOWN), wait, look)  # fmt: skip
    assert seen[1][0] - seen[0][0] == pytest.approx(0.1, abs=1e-6)
    assert seen[1][1] - seen[0][1] == pytest.approx(0.1, abs=1e-6)


def test_too_few_lengths_are_told(choir: Path) -> None:
    desk, session = desk_with(choir)
    lengths = (((0, 2), 900.0), ((6, 8), 905.0))
    desk.view = with_part(TablePart(route="tape", step=2, display=0, lengths=lengths))
    play(desk, session, wait, *click("marks:find"), wait)
    assert desk.view.tone == "stop" and "lengths" in desk.view.message


def test_the_cautions_are_on_the_place(choir: Path) -> None:
    from projector.desk.controls import Words

    desk, session = desk_with(choir)
    for route in ("", "camera", "hand", "tape"):
        desk.view = with_part(TablePart(route=route))
        desk.show(session)
        text = " ".join(item.text for item in desk._items if isinstance(item, Words))
        for word in ("safety cable", "beam", "ladder", "licensed practice"):
            assert word in text
    desk.close()


@pytest.mark.parametrize(
    ("route", "shown"), [("by hand", "hand"), ("tape", "tape"), ("", "camera")]
)
def test_a_fresh_calibration_accepted_on_the_stage_opens_the_guide(
    choir: Path, tmp_path: Path, route: str, shown: str
) -> None:
    class ClosedStage:
        open = False

    write_record(tmp_path / "old.yaml", Record(hall_map((1280, 720)), route))
    desk, session = desk_with(choir)
    desk.errands._take_table(tmp_path / "old.yaml")
    desk.errands._stage = ClosedStage()  # type: ignore[assignment]
    desk.view = View(place="draft")
    end = play(desk, replace(session, wants_calibration=True), wait, wait)
    part = desk.view.part(TablePart)
    assert (desk.view.place, part.route, part.step) == ("table", shown, 0)
    assert "calibrate again" in desk.view.message and not end.wants_calibration


def test_keys_pressed_over_the_lit_crosshairs_are_heard_too(choir: Path) -> None:
    desk, session = desk_with(choir)
    desk.view = with_part(TablePart(route="hand", step=1, display=0, stride=1.0))
    seen: list[tuple[float, float]] = []

    def pressed(code: int) -> Step:
        def step(desk: DeskWindow, session: Session) -> None:
            (lit_window,) = (w for w in desk.errands.windows if isinstance(w, ProjectedWindow))
            pygame.event.post(
                pygame.event.Event(pygame.KEYDOWN, key=code, mod=0, window=lit_window._window)
            )

        return step

    def look(desk: DeskWindow, session: Session) -> None:
        part = desk.view.part(TablePart)
        seen.append(part.places[0] if part.places else (0.0, 0.0))

    def dark(desk: DeskWindow, session: Session) -> None:
        assert not any(isinstance(window, ProjectedWindow) for window in desk.errands.windows)

    play(desk, session, wait, *click("marks:light"), wait, *click("nudge:right"), look,
         pressed(pygame.K_RIGHT), wait, look, pressed(pygame.K_ESCAPE), wait, dark)  # fmt: skip
    assert seen[1][0] - seen[0][0] == pytest.approx(1.0, abs=1e-6)


def test_both_bars_of_the_sheet_are_typed_and_wrong_ones_change_nothing(choir: Path) -> None:
    desk, session = desk_with(choir)
    desk.view = with_part(TablePart(route="camera", step=0, display=0))
    play(desk, session, wait, *typed("bar", "199.6 x 149.8"), wait)
    assert desk.view.part(TablePart).bars == PrintedBars(199.6, 149.8)
    desk, session = desk_with(choir)
    desk.view = with_part(TablePart(route="camera", step=0, display=0))
    play(desk, session, wait, *typed("bar", "150"), wait)
    assert desk.view.part(TablePart).bars == PrintedBars()
    assert "199.6x149.8" in desk.view.message
