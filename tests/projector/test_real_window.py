"""The stage in a real window under Xvfb, worked with xdotool as by a hand."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import time
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from calibration.record import Record, to_plain
from calibration.table_map import screen_points, table_points
from drafting.plane import Motion, Point
from projector.files.job import read_job
from projector.job import layout_of, pieces_of
from projector.stage.moves import middle_of
from projector.stage.outlines import outlines
from projector.stage.sections import crosses, lit_window, section_step
from tests.projector.choir import hall_map

pytestmark = pytest.mark.skipif(
    not all(shutil.which(name) for name in ("Xvfb", "xdotool", "import")),
    reason="needs Xvfb, xdotool and ImageMagick",
)
SCREEN = (960, 540)


def test_drag_turn_page_tick_quit_and_find_all_of_it_again(tmp_path: Path) -> None:
    job, table = tmp_path / "choir.yaml", tmp_path / "table.json"
    text = (files("projector.demonstration") / "choir.yaml").read_text(encoding="utf-8")
    job.write_text(text.replace("folded: yes", "folded: no"), encoding="utf-8")
    table_map = hall_map(SCREEN)
    table.write_text(json.dumps(to_plain(Record(table_map))), encoding="utf-8")
    read, write = os.pipe()
    screen = f"{SCREEN[0]}x{SCREEN[1]}x24"
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(write), "-screen", "0", screen, "-nolisten", "tcp"],
        pass_fds=(write,),
        stderr=subprocess.DEVNULL,
    )
    os.close(write)
    number = os.read(read, 16).decode().strip()
    world = {**os.environ, "DISPLAY": f":{number}", "SDL_VIDEODRIVER": "x11"}

    def hand(*words: str) -> None:
        subprocess.run(["xdotool", *words], env=world, check=True, timeout=20)
        time.sleep(0.15)

    def opened() -> subprocess.Popen[bytes]:
        command = [sys.executable, "-m", "projector", "light", str(job), "--table", str(table)]
        stage = subprocess.Popen(command, env=world, stdout=subprocess.DEVNULL)
        deadline = time.monotonic() + 90.0
        shot = ["import", "-window", "root", "-depth", "8", "gray:-"]
        while time.monotonic() < deadline:  # until something is lit
            time.sleep(0.5)
            if any(subprocess.run(shot, env=world, capture_output=True, timeout=20).stdout):
                time.sleep(1.0)
                return stage
        stage.kill()
        raise AssertionError("the stage lit nothing")

    try:
        stage = opened()
        low_x, low_y, _, _ = lit_window(table_map)
        on_table = Motion(0.0, low_x + 30.0, low_y + 30.0)
        first = read_job(job)
        hand("key", "Tab")  # the first piece; then one nudge, so that the lay is written
        hand("key", "Right")
        stage_job = layout_of(first, pieces_of(first))
        hand("key", "q")
        assert stage.wait(30) == 0
        lay = layout_of(read_job(job), stage_job.pieces)
        before = lay.placements
        # The piece nearest to the cut end, which the first section lights.
        chosen = min(range(len(before)), key=lambda index: middle_of(lay, before[index]).x)
        at = on_table(middle_of(lay, before[chosen]))
        x, y = (round(float(v)) for v in screen_points(table_map, [(at.x, at.y)])[0])
        stage = opened()
        hand("mousemove", str(x), str(y), "mousedown", "1")
        for step in (10, 20, 30):
            hand("mousemove", str(x + step), str(y))
        hand("mouseup", "1")
        hand("key", "t")
        hand("key", "Next")
        hand("key", "c")
        # The cloth was slid a little askew: two crosses onto two chalk marks.
        marks = crosses(table_map, lay.cloth, on_table, True)
        slid = on_table @ Motion(0.0, -section_step(table_map), 0.0)
        chalk_px = []
        hand("key", "x")
        for mark, (dx, dy) in zip(marks, ((6, -5), (-3, 4)), strict=True):
            there = slid(mark)
            u, v = screen_points(table_map, [(there.x, there.y)])[0]
            chalk_px.append((round(float(u)) + dx, round(float(v)) + dy))
            hand("mousemove", *map(str, chalk_px[-1]), "click", "1")
        hand("key", "q")
        assert stage.wait(30) == 0
        after = layout_of(read_job(job), stage_job.pieces).placements
        assert after[chosen].cut and not before[chosen].cut
        moved = after[chosen].cloth_from_piece
        assert abs(moved.angle - before[chosen].cloth_from_piece.angle) > 0.08
        others = [index for index in range(len(before)) if index != chosen]
        assert [after[index] for index in others] == [before[index] for index in others]
        stage = opened()
        shot = ["import", "-window", "root", "-depth", "8", "rgb:-"]
        shown = subprocess.run(shot, env=world, capture_output=True, timeout=20).stdout
        hand("key", "q")
        assert stage.wait(30) == 0
        assert layout_of(read_job(job), stage_job.pieces).placements == after
        # The rigid motion of two points, by complex numbers: turn by the angle between the lines.
        old = [complex(p.x, p.y) for p in map(slid, marks)]
        new = [complex(*row) for row in table_points(table_map, chalk_px)]
        turn = (new[1] - new[0]) / (old[1] - old[0])
        turn /= abs(turn)
        lies = read_job(job).lays[0].lies
        for point in (Point(0.0, 0.0), Point(3000.0, 0.0), Point(3000.0, 1400.0)):
            straight = slid(point)
            expected = sum(new) / 2 + turn * (complex(straight.x, straight.y) - sum(old) / 2)
            found = (on_table @ lies)(point)
            assert abs(complex(found.x, found.y) - expected) < 0.01
        # And reopened, the lines are lit there: along the cutting line of a piece not yet cut.
        picture = np.frombuffer(shown, np.uint8).reshape(SCREEN[1], SCREEN[0], 3)
        lit = 0
        for index in others:
            placement = after[index]
            rim = outlines(lay)[placement.piece].shape.exterior
            motion = on_table @ lies @ placement.cloth_from_piece
            along = [rim.interpolate(share, normalized=True) for share in np.linspace(0, 1, 60)]
            places = [motion(Point(p.x, p.y)) for p in along]
            for u, v in screen_points(table_map, [(p.x, p.y) for p in places]):
                column, row = round(u), round(v)
                if 3 < column < SCREEN[0] - 3 and 3 < row < SCREEN[1] - 3:
                    assert picture[row - 2 : row + 3, column - 2 : column + 3].max() > 100
                    lit += 1
        assert lit > 30
    finally:
        server.terminate()
        server.wait(10)
        os.close(read)
