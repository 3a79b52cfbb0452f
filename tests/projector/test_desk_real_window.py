"""The desk in a real window under Xvfb, worked with xdotool as by a hand."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from importlib.resources import files
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from calibration.table_map import table_points
from calibration.tape import TEN_LENGTHS, lit_marks
from projector.cloth.yardage import used_length
from projector.desk.areas import framed
from projector.desk.cloth_figure import cloth_scale
from projector.desk.controls import Figure
from projector.desk.desk_page import page_items
from projector.desk.sessions import session_of
from projector.desk.table_part import TablePart
from projector.desk.view import Known, View
from projector.files.job import read_job
from projector.files.table import read_table
from projector.job import layout_of, pieces_of
from projector.settings import Settings
from projector.stage.moves import middle_of
from tests.projector.test_desk_table import on_table

pytestmark = pytest.mark.skipif(
    not all(shutil.which(name) for name in ("Xvfb", "xdotool", "import")),
    reason="needs Xvfb, xdotool and ImageMagick",
)
SCREEN = (1280, 720)


class Hand:
    """A mouse and a keyboard on a display that the desk fills, so that places agree."""

    def __init__(self, number: str, folder: Path) -> None:
        self.folder = folder
        self.world = {
            **os.environ, "DISPLAY": f":{number}", "SDL_VIDEODRIVER": "x11",
            "SHEARLIGHT_SETTINGS": str(folder / "settings.yaml"),
        }  # fmt: skip
        self.desk: subprocess.Popen[bytes] | None = None

    def do(self, *words: str, pause: float = 0.12) -> None:
        subprocess.run(["xdotool", *words], env=self.world, check=True, timeout=20)
        time.sleep(pause)

    def open(self, job: Path) -> None:
        size = f"{SCREEN[0]}x{SCREEN[1]}"
        command = [sys.executable, "-m", "projector", "desk", str(job), "--window", size]
        self.desk = subprocess.Popen(command, env=self.world, stdout=subprocess.DEVNULL)
        deadline = time.monotonic() + 90.0
        while time.monotonic() < deadline:
            time.sleep(0.5)
            if self.shot().mean() > 100.0:  # the page is pale, an empty display black
                time.sleep(1.5)
                return
        raise AssertionError("the desk did not open")

    def shot(self) -> np.ndarray:
        command = ["import", "-window", "root", "-depth", "8", "gray:-"]
        seen = subprocess.run(command, env=self.world, capture_output=True, timeout=20).stdout
        return np.frombuffer(seen, np.uint8)

    def at(self, place: tuple[float, float]) -> tuple[str, str]:
        return str(round(place[0])), str(round(place[1]))

    def click(self, place: tuple[float, float], pause: float = 0.35) -> None:
        self.do("mousemove", *self.at(place))
        self.do("click", "1", pause=pause)

    def drag(self, places: list[tuple[float, float]], button: str = "1") -> None:
        self.do("mousemove", *self.at(places[0]), "mousedown", button)
        for (x, y), (end_x, end_y) in pairwise(places):
            for part in (0.25, 0.5, 0.75, 1.0):
                to = (x + part * (end_x - x), y + part * (end_y - y))
                self.do("mousemove", *self.at(to), pause=0.08)
        self.do("mouseup", button, pause=0.4)

    def type(self, place: tuple[float, float], text: str) -> None:
        self.click(place, pause=0.2)
        self.do("key", "ctrl+a")
        self.do("type", "--delay", "15", text)
        self.do("key", "Return", pause=0.4)

    def quit(self) -> None:
        assert self.desk is not None
        self.do("key", "ctrl+q")
        assert self.desk.wait(40) == 0


@pytest.fixture
def hand(tmp_path: Path) -> Iterator[Hand]:
    read, write = os.pipe()
    screen = f"{SCREEN[0]}x{SCREEN[1]}x24"
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(write), "-screen", "0", screen, "-nolisten", "tcp"],
        pass_fds=(write,),
        stderr=subprocess.DEVNULL,
    )
    os.close(write)
    made = Hand(os.read(read, 16).decode().strip(), tmp_path)
    try:
        yield made
    finally:
        if made.desk is not None and made.desk.poll() is None:
            made.desk.kill()
        server.terminate()
        server.wait(10)
        os.close(read)


def places(job: Path, view: View) -> dict[str, tuple[float, float]]:
    """The middle of every control of a place, in the window."""
    session, _ = session_of(read_job(job))
    known = Known(settings=Settings(), displays=(SCREEN,))
    items = page_items(view, session, known, framed(SCREEN))
    return {
        key: (item.area.x + item.area.width / 2, item.area.y + item.area.height / 2)
        for item in items
        if (key := getattr(item, "key", ""))
    }


def test_draft_search_drag_turn_tape_quit_and_find_all_of_it_again(
    hand: Hand, tmp_path: Path
) -> None:
    job = tmp_path / "choir.yaml"
    text = (files("projector.demonstration") / "choir.yaml").read_text(encoding="utf-8")
    job.write_text(text.replace("folded: yes", "folded: no"), encoding="utf-8")
    first = read_job(job)
    hand.open(job)

    # A measurement, and the lift by its slider's track.
    body = places(job, View(place="draft"))
    hand.type(body["value:body.bust"], "86 cm")
    hand.click(body["group:sleeve"])
    sleeve = places(job, View(place="draft", group="sleeve"))
    hand.type(sleeve["value:style.lift"], "0.6")

    # A lay, a search for a shorter one, a piece dragged along and one turned.
    hand.click(body["place:cloth"])
    cloth = places(job, View(place="cloth"))
    hand.click(cloth["lay:rest"], pause=6.0)
    hand.click(cloth["search:begin"], pause=8.0)
    hand.click(cloth["search:begin"], pause=1.0)  # where Stop stands now
    hand.quit()
    laid = read_job(job)
    assert laid.wearers[0].body.bust == 860.0 and laid.style.lift == pytest.approx(0.6)
    before = layout_of(laid, pieces_of(laid))
    assert len(before.placements) == len(before.pieces) == 6

    hand.open(job)
    hand.click(body["place:cloth"])
    session, _ = session_of(laid)
    items = page_items(
        View(place="cloth"), session, Known(settings=Settings(), displays=(SCREEN,)), framed(SCREEN)
    )
    figure = next(item for item in items if isinstance(item, Figure))
    fit = cloth_scale(figure.content, figure.area.size, framed(SCREEN).scale)
    last = max(
        range(6), key=lambda k: middle_of(before, before.placements[k]).x
    )  # nothing lies beyond it
    middle = middle_of(before, before.placements[last])
    x, y = fit.pixels([(middle.x, middle.y)])[0] + (figure.area.x, figure.area.y)
    hand.drag([(x, y), (x + 40, y)])
    hand.do("key", "t")
    hand.do("key", "c")

    # Tape: ten lengths between lit marks, as the closed form of the projector has them.
    hand.click(body["place:table"])
    hand.click(places(job, View(place="table"))["route:tape"])
    part = TablePart(route="tape", step=0, display=0)
    steps = [
        places(job, View(place="table").with_part(part_now))
        for part_now in (part, TablePart(route="tape", step=1, display=0))
    ]
    hand.click(steps[0]["step:on"])
    marks = on_table(lit_marks(SCREEN))
    for number, (a, b) in enumerate(TEN_LENGTHS):
        length = float(np.hypot(*(marks[b] - marks[a])))
        hand.type(steps[1][f"taped:{number}"], f"{length:.1f}")
    hand.click(steps[1]["step:on"])
    lengths = tuple((pair, 1.0) for pair in TEN_LENGTHS)
    found = TablePart(route="tape", step=2, display=0, lengths=lengths)
    hand.click(places(job, View(place="table").with_part(found))["marks:find"], pause=3.0)
    keep = hand.shot().reshape(SCREEN[1], SCREEN[0])
    assert keep.std() > 10.0
    hand.click(_keep_place(), pause=2.0)
    hand.quit()

    after = read_job(job)
    placed = layout_of(after, pieces_of(after)).placements
    assert placed[last].cut and not before.placements[last].cut
    assert placed[last].cloth_from_piece.dx > before.placements[last].cloth_from_piece.dx + 50.0
    turn = placed[last].cloth_from_piece.angle - before.placements[last].cloth_from_piece.angle
    assert abs(turn) == pytest.approx(np.radians(5.0), abs=1e-9)
    kept = table_points(read_table(tmp_path / "table.yaml"), lit_marks(SCREEN))
    for a, b in TEN_LENGTHS:
        true = float(np.hypot(*(marks[b] - marks[a])))
        assert float(np.hypot(*(kept[b] - kept[a]))) == pytest.approx(true, abs=1.0)

    # Opened again, everything is there.
    hand.open(job)
    hand.quit()
    again = read_job(job)
    assert (again.wearers, again.style, again.lays) == (after.wearers, after.style, after.lays)
    assert used_length(layout_of(again, pieces_of(again))) > 0.0 and first.style != again.style


def _keep_place() -> tuple[float, float]:
    """Where "Use this map" stands once a map was found."""
    from projector.desk.areas import columns, cut_bottom, cut_left, cut_right, inset
    from projector.desk.table_place import _cautions_height

    frame = framed(SCREEN)
    _, upper = cut_bottom(frame.body, _cautions_height(frame), frame.px(10))
    _, right = cut_left(upper, frame.px(400), frame.px(12))
    lower, _ = cut_bottom(inset(right, frame.px(12), frame.px(10)), frame.px(46), frame.px(8))
    keep, _ = columns(cut_right(lower, frame.px(340))[0], 2, frame.px(8))
    return keep.x + keep.width / 2, keep.y + keep.height / 2
