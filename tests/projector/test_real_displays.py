"""The projector is set to another size while pieces are lit, on a real display that can change."""

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
from projector.files.job import read_job
from tests.projector.choir import hall_map

pytestmark = pytest.mark.skipif(
    not all(shutil.which(name) for name in ("Xvfb", "Xephyr", "xrandr", "xdotool", "import")),
    reason="needs Xvfb, Xephyr, xrandr, xdotool and ImageMagick",
)
SCREEN, OTHER = (1024, 768), (640, 480)


def test_another_resolution_lights_no_piece_until_it_is_set_back(tmp_path: Path) -> None:
    job, table = tmp_path / "choir.yaml", tmp_path / "table.json"
    text = (files("projector.demonstration") / "choir.yaml").read_text(encoding="utf-8")
    job.write_text(text, encoding="utf-8")
    table.write_text(json.dumps(to_plain(Record(hall_map(SCREEN)))), encoding="utf-8")
    outer, first = _server("Xvfb", ["-screen", "0", "1600x1200x24"], {})
    inner, number = _server(
        "Xephyr", ["-screen", f"{SCREEN[0]}x{SCREEN[1]}", "-resizeable"], {"DISPLAY": f":{first}"}
    )
    world = {**os.environ, "DISPLAY": f":{number}", "SDL_VIDEODRIVER": "x11"}
    try:
        command = [sys.executable, "-m", "projector", "light", str(job), "--table", str(table)]
        stage = subprocess.Popen(command, env=world, stdout=subprocess.DEVNULL)
        lit = _until(lambda: _coloured(_shown(world, SCREEN)), lambda n: n > 500)
        assert lit > 500
        _hand(world, "key", "Tab")
        _hand(world, "key", "Right")  # a change to be kept
        _set(world, OTHER)
        time.sleep(3.0)  # displays are looked at every second
        assert _until(lambda: _coloured(_shown(world, OTHER)), lambda n: n == 0) == 0
        assert _shown(world, OTHER).max() > 200  # it says why
        _hand(world, "key", "c")  # which is not done blindly
        _set(world, SCREEN)
        assert _until(lambda: _coloured(_shown(world, SCREEN)), lambda n: n > 500) > 500
        _hand(world, "key", "q")
        assert stage.wait(30) == 0
        kept = read_job(job).lays[0].placements
        assert kept and not any(placement.cut for placement in kept)
    finally:
        for server in (inner, outer):
            server.terminate()
            server.wait(10)


def _server(
    name: str, options: list[str], world: dict[str, str]
) -> tuple[subprocess.Popen[bytes], str]:
    read, write = os.pipe()
    server = subprocess.Popen(
        [name, "-displayfd", str(write), *options, "-nolisten", "tcp"],
        pass_fds=(write,),
        stderr=subprocess.DEVNULL,
        env={**os.environ, **world},
    )
    os.close(write)
    with os.fdopen(read, encoding="ascii") as told:
        return server, told.readline().strip()


def _hand(world: dict[str, str], *words: str) -> None:
    subprocess.run(["xdotool", *words], env=world, check=True, timeout=20)
    time.sleep(0.3)


def _set(world: dict[str, str], size: tuple[int, int]) -> None:
    subprocess.run(
        ["xrandr", "-s", f"{size[0]}x{size[1]}"],
        env=world,
        check=True,
        timeout=20,
        stderr=subprocess.DEVNULL,
    )


def _shown(world: dict[str, str], size: tuple[int, int]) -> np.ndarray:
    """What is on the screen, (height, width, 3)."""
    command = ["import", "-window", "root", "-crop", f"{size[0]}x{size[1]}+0+0", "rgb:-"]
    raw = subprocess.run([*command[:-1], "-depth", "8", command[-1]], env=world,
                         capture_output=True, timeout=20).stdout  # fmt: skip
    return np.frombuffer(raw, np.uint8).reshape(size[1], size[0], 3).astype(int)


def _coloured(shown: np.ndarray) -> int:
    """How many pixels have a colour, as lines have and the words of a trouble have not."""
    return int((shown.max(axis=2) - shown.min(axis=2) > 100).sum())


def _until(count, fits, seconds: float = 40.0) -> int:  # type: ignore[no-untyped-def]
    end = time.monotonic() + seconds
    found = -1
    while time.monotonic() < end:
        try:
            found = count()
        except ValueError:  # the display is between two sizes
            found = -1
        if found >= 0 and fits(found):
            return found
        time.sleep(0.5)
    return found
