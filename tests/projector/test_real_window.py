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

import pytest

from calibration.record import to_plain
from calibration.table_map import screen_points
from drafting.plane import Motion
from projector.files.job import read_job
from projector.job import layout_of, pieces_of
from projector.stage.moves import middle_of
from projector.stage.sections import lit_window, section_step
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
    table.write_text(json.dumps(to_plain(table_map)), encoding="utf-8")
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
        before = layout_of(read_job(job), stage_job.pieces).placements
        middle = middle_of(layout_of(read_job(job), stage_job.pieces), before[0])
        at = on_table(middle)
        x, y = (round(float(v)) for v in screen_points(table_map, [(at.x, at.y)])[0])
        stage = opened()
        hand("mousemove", str(x), str(y), "mousedown", "1")
        for step in (10, 20, 30):
            hand("mousemove", str(x + step), str(y))
        hand("mouseup", "1")
        hand("key", "t")
        hand("key", "Next")
        hand("key", "c")
        hand("key", "q")
        assert stage.wait(30) == 0
        after = layout_of(read_job(job), stage_job.pieces).placements
        assert after[0].cut and not before[0].cut
        moved = after[0].cloth_from_piece
        assert abs(moved.angle - before[0].cloth_from_piece.angle) > 0.08
        assert after[1:] == before[1:]
        stage = opened()
        hand("key", "q")
        assert stage.wait(30) == 0
        assert layout_of(read_job(job), stage_job.pieces).placements == after
        step = section_step(table_map)
        assert -read_job(job).lays[0].lies.dx == pytest.approx(step, abs=1e-3)
    finally:
        server.terminate()
        server.wait(10)
        os.close(read)
