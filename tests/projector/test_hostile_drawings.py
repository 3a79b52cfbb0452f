"""Drawings made to keep a reader busy: one clear line, little time, less than 1 GB.

The command runs in a process of its own, whose processor time and memory are measured with those
of the process that it starts.
"""

import io
import os
import random
import subprocess
import sys
import zlib
from pathlib import Path

import ezdxf
import pytest

from tests.projector.test_import_command import SVG, pdf

CHANCE = random.Random(3)
NESTED = "".join(f'<g id="a{k}">' + f'<use href="#a{k - 1}"/>' * 10 + "</g>" for k in range(1, 12))
START = '<defs><path id="a0" d="M0 0h9v9z" stroke="red"/>'


def scribble(count: int) -> str:
    return " ".join(
        f"L{CHANCE.uniform(0, 500):.2f} {CHANCE.uniform(0, 500):.2f}" for _ in range(count)
    )


def dxf(draw) -> bytes:
    made = ezdxf.new("R2000", units=4)
    draw(made)
    target = io.StringIO()
    made.write(target)
    return target.getvalue().encode()


def blocks(made) -> None:
    made.blocks.new("B0").add_line((0, 0), (1, 0))
    for k in range(1, 15):
        block = made.blocks.new(f"B{k}")
        for number in range(10):
            block.add_blockref(f"B{k - 1}", (number, 0))
    made.modelspace().add_blockref("B14", (0, 0))


def packed(times: int) -> bytes:
    packing = zlib.compressobj(1)
    stream = b"".join(packing.compress(b" " * 1_000_000) for _ in range(900)) + packing.flush()
    for _ in range(times - 1):
        stream = zlib.compress(stream, 1)
    filters = b"/FlateDecode " * times
    parts = [
        b"<< /Type /Catalog /Pages 2 0 R >>", b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 500 500] /Contents 4 0 R >>",
        b"<< /Length %d /Filter [%s] >>\nstream\n" % (len(stream), filters) + stream
        + b"\nendstream",
    ]  # fmt: skip
    body = b"".join(b"%d 0 obj\n" % n + part + b"\nendobj\n" for n, part in enumerate(parts, 1))
    return b"%PDF-1.4\n" + body + b"trailer << /Root 1 0 R >>\n"


CASES = {
    "copies of copies": lambda: SVG.format(
        "", f'{START}{NESTED}</defs><use href="#a11"/>'
    ).encode(),
    "clips of copies": lambda: SVG.format(
        "", f'{START}{NESTED}</defs><clipPath id="c"><use href="#a11"/></clipPath>'
        '<path clip-path="url(#c)" d="M0 0h99v99" stroke="red"/>'
    ).encode(),
    "a chain of clips": lambda: SVG.format(
        "", "".join(f'<clipPath id="c{k}"><path clip-path="url(#c{k + 1})" d="M0 0h9v9z"/>'
                    "</clipPath>" for k in range(3000))
        + '<path clip-path="url(#c0)" d="M0 0h99v99" stroke="red"/>'
    ).encode(),
    "a scribble": lambda: SVG.format(
        'width="500mm" height="500mm" viewBox="0 0 500 500"',
        f'<path fill="none" stroke="red" d="M0 0 {scribble(150_000)}Z"/>',
    ).encode(),
    "many strokes": lambda: SVG.format(
        'width="500mm" height="500mm" viewBox="0 0 500 500"',
        '<g fill="none" stroke="red">' + '<path d="M0 0H100V100H0Z"/>' * 60_000 + "</g>",
    ).encode(),
    "blocks of blocks": lambda: dxf(blocks),
    "an array": lambda: dxf(lambda made: (
        made.blocks.new("B").add_line((0, 0), (1, 0)),
        made.modelspace().add_blockref("B", (0, 0), {"column_count": 30_000, "row_count": 30_000,
                                                     "column_spacing": 1, "row_spacing": 1}),
    )),
    "a packed gigabyte": lambda: packed(1),
    "packed twice": lambda: packed(2),
    "a size without measure": lambda: pdf(b"0 0 m 9 9 l S").replace(
        b"/MediaBox", b"/UserUnit 99999999 /MediaBox"
    ),
}  # fmt: skip


MEASURED = """
import os, pathlib, resource
from projector.__main__ import main
try:
    main()
finally:
    # The kernel counts a new process as large as the one it came of: its own peak stands here.
    status = pathlib.Path("/proc/self/status").read_text()
    own = int(status.split("VmHWM:")[1].split()[0])
    others = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    pathlib.Path(os.environ["PEAK"]).write_text(str(max(own, others)))
"""
"""The program, which leaves its greatest memory and that of its own children, kB, in a file."""


@pytest.mark.skipif(sys.platform != "linux", reason="no such measures there")
@pytest.mark.parametrize("name", CASES)
def test_a_drawing_made_to_harm_ends_in_one_line(name: str, tmp_path: Path) -> None:
    file = tmp_path / "drawing"
    file.write_bytes(CASES[name]())
    said, peak = tmp_path / "said", tmp_path / "peak"
    with said.open("wb") as told:
        child = subprocess.Popen(
            [sys.executable, "-c", MEASURED, "import", str(file), "--look"],
            stdout=subprocess.DEVNULL, stderr=told,
            env={**os.environ, "SDL_VIDEODRIVER": "dummy", "PEAK": str(peak)},
        )  # fmt: skip
        _, status, used = os.wait4(child.pid, 0)  # of this child alone, not of all before it
        child.returncode = os.waitstatus_to_exitcode(status)
    lines = said.read_text().strip().splitlines()
    assert child.returncode == 2 and len(lines) == 1, lines
    assert str(file) in lines[0] and len(lines[0]) < 400
    assert used.ru_utime + used.ru_stime < 5.0  # processor time: a crowded machine does not count
    assert int(peak.read_text()) * 1024 < 1_000_000_000
