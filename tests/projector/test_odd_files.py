"""What is no ordinary file, or points elsewhere, or commands the terminal: one line, at once."""

from __future__ import annotations

import io
import json
import os
import random
import struct
import subprocess
import sys
import zlib
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from typer.testing import CliRunner

from drafting.exchange.reading import linework_of
from projector.cli import app
from projector.errors import ProjectorError
from projector.file_reading import read_linework
from projector.files.job import job_from_text, job_text, read_job
from projector.files.journal import journal_path
from projector.files.marks import read_crosshairs, read_lengths
from projector.files.opening import OpenJob, new_job
from projector.files.reading import read_bytes, read_text
from projector.files.settings import read_settings
from projector.files.table import read_record
from projector.job import Job
from projector.photo import read_photo
from tests.projector.choir import choir_job
from tests.readers import OWN, READERS

ROOT = Path(__file__).resolve().parents[2]
READING = (
    read_job, read_record, read_lengths, read_crosshairs, read_settings, read_photo, read_linework,
    OpenJob,
)  # fmt: skip
posix = pytest.mark.skipif(os.name != "posix", reason="files of POSIX")


@posix
@pytest.mark.timeout(20)
@pytest.mark.parametrize("read", READING, ids=lambda read: read.__name__)
@pytest.mark.parametrize("kind", ["pipe", "device", "folder", "loop", "nothing", "\0"])
def test_no_reader_waits_for_what_is_no_file(read, kind: str, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "given"
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "device":
        path = Path("/dev/zero")
    elif kind == "folder":
        path.mkdir()
    elif kind == "loop":
        path.symlink_to(path)
    elif kind == "\0":
        path = tmp_path / "\0"
    if read is read_settings and kind in ("nothing", "loop", "\0"):
        assert read(path) == read_settings(tmp_path / "none")  # the usual ones
        return
    with pytest.raises(ProjectorError) as caught:
        read(path)
    assert "\n" not in str(caught.value) and str(path.parent) in str(caught.value)
    if kind in ("pipe", "device") and read is not OpenJob:
        assert "a pipe or device; wanted a" in str(caught.value)


def test_no_more_is_read_than_was_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "large"
    with path.open("wb") as file:
        file.truncate(3_000_000_000)  # a hole: it takes no room
    with pytest.raises(ProjectorError, match="3000 MB are more than the 32 MB a job file may have"):
        read_text(path, "job file")
    path.write_bytes(b"x" * 1000)
    assert read_bytes(path, 1000) == b"x" * 1000
    with pytest.raises(ProjectorError):
        read_bytes(path, 999)


@posix
@pytest.mark.parametrize("content", [None, b"", b"precious\n"])
@pytest.mark.parametrize("beside", ["journal", "held"])
def test_nothing_is_written_through_a_link_beside_the_job(
    beside: str, content: bytes | None, choir: Path, tmp_path: Path
) -> None:
    target = tmp_path / "elsewhere"
    if content is not None:
        target.write_bytes(content)
    choir.with_name(f".{choir.name}.{beside}").symlink_to(target)
    with pytest.raises(ProjectorError) as caught:
        OpenJob(choir).close()
    assert "\n" not in str(caught.value) and "link" in str(caught.value)
    assert (target.read_bytes() if target.exists() else None) == content


@posix
def test_a_job_kept_elsewhere_is_private_and_goes_through_no_link(tmp_path: Path) -> None:
    new_job(tmp_path / "kept.yaml", Job("choir"), private=True)
    assert (tmp_path / "kept.yaml").stat().st_mode & 0o777 == 0o600
    (tmp_path / "link.yaml").symlink_to(tmp_path / "target")
    with pytest.raises(ProjectorError, match="there is a file of this name"):
        new_job(tmp_path / "link.yaml", Job("choir"), private=True)
    assert not (tmp_path / "target").exists()


FORGED = (
    '{"a":' + "[" * 100_000 + "]" * 100_000 + "}", '{"a":' + "[" * 900 + "]" * 900 + "}",
    '{"lays":[1]}', '{"lays":null}', '{"lays":"abc"}', '{"lays":[{}]}', '{"lays":{"cloth":3}}',
    '{"lays":[{"cloth":[1]}]}', '{"notes":' + "9" * 5000 + "}", '{"name":NaN}', '{"wearers":3}',
    '{"name":"\\ud800"}', '{"notes":"\\u001b[2J"}', '{"zzz":3}', '{"saving":[1]}', "[1,2]",
    '{"shearlight_job":99}', '{"cloths":null}', '{"name":null}', '{"style":{"lift":1e999}}',
)  # fmt: skip


@pytest.mark.parametrize("entry", FORGED, ids=range(len(FORGED)))
def test_a_journal_forged_with_right_checksums_loses_nothing_and_crashes_nothing(
    entry: str, choir: Path
) -> None:
    opened = OpenJob(choir)
    before = opened.job
    opened._held.close()  # as a crash would
    line = b"%08x %s\n" % (zlib.crc32(entry.encode()), entry.encode())
    with journal_path(choir).open("ab") as journal:
        journal.write(line)
    again = OpenJob(choir)
    assert job_from_text(job_text(again.job)) == again.job
    assert all("\n" not in told for told in again.told)
    if again.job != before:  # what may be believed: a name, or notes
        assert again.job.wearers == before.wearers and again.told
    again.close()


@pytest.mark.parametrize("stray", ["\x1b[31m", "\a", "\x7f", "\x9b2J", "\ud800", "\r"])
def test_commands_to_the_terminal_are_no_part_of_a_name(stray: str) -> None:
    name = json.dumps(f"M{stray}")
    with pytest.raises(ProjectorError, match=r"job\.yaml:2:\d+ .*[Cc]haracter .*"):
        job_from_text(f"shearlight_job: 1\nname: {name}\n", "job.yaml")
    # What came into a job in another way is saved without them, and opens again.
    assert job_from_text(job_text(Job(f"M{stray}", notes="a\n\tb"))).name in ("M", "M[31m", "M2J")


def test_names_in_drawings_command_no_terminal() -> None:
    made = ezdxf.new("R2010", units=4)
    outline = [(0, 0), (200, 0), (200, 300), (0, 300)]
    made.modelspace().add_lwpolyline(outline, close=True, dxfattribs={"layer": "front\x1b[2J"})
    stream = io.StringIO()
    made.write(stream)
    assert "\x1b" in stream.getvalue()
    read = linework_of(stream.getvalue().encode())
    assert {stroke.layer for stroke in read.strokes} == {"front[2J"}


@pytest.mark.filterwarnings("ignore")
def test_names_that_look_like_markup_are_shown_as_they_stand(tmp_path: Path) -> None:
    job = choir_job()
    wearers = (replace(job.wearers[0], name="[/] [bold]"),)
    cloths = (replace(job.cloths[0], name="[/b] [red]"),)
    path = tmp_path / "job.yaml"
    path.write_text(job_text(Job("[/]", wearers, job.style, cloths)))
    (tmp_path / "[").mkdir()
    (tmp_path / "[" / "].jpg").write_bytes(READERS["image"].sound()[0])
    for words in (
        ["lay", str(path), "--budget", "0"],
        ["lifts", str(path)],
        ["check", str(path)],
        ["draft", str(path)],
        ["calibrate", str(tmp_path / "[" / "].jpg")],
    ):
        done = CliRunner().invoke(app, words)
        error = done.exception
        assert error is None or isinstance(error, (SystemExit, *OWN)), (words, error)
        if words[0] == "lifts":
            assert "[/] [bold], cloth for her alone" in done.output


def png(width: int, height: int, packed: bytes) -> bytes:
    def part(kind: bytes, content: bytes) -> bytes:
        total = struct.pack(">I", zlib.crc32(kind + content))
        return struct.pack(">I", len(content)) + kind + content + total

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    parts = part(b"IHDR", head) + part(b"IDAT", packed) + part(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + parts


@pytest.mark.parametrize(
    ("size", "said"),
    [((30_000, 30_000), "30000 x 30000 pixels"), ((60_000, 1), "60000 x 1 pixels"),
     ((2**31 - 1, 2**31 - 1), "photograph"), ((640, 480), "not a photograph")],
)  # fmt: skip
def test_a_small_picture_that_unfolds_into_gigabytes(
    size: tuple[int, int], said: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "photo.png"
    path.write_bytes(png(*size, zlib.compress(b"\0" * 1000)))
    with pytest.raises(ProjectorError, match=said) as caught:
        read_photo(path)
    assert "\n" not in str(caught.value)
    assert capfd.readouterr().err == ""  # nor do the libraries of pictures say anything


@pytest.mark.filterwarnings("ignore::UserWarning:PIL")
def test_notes_in_a_photograph_may_be_spoilt_in_any_way(tmp_path: Path) -> None:
    sound = READERS["image"].sound()[0]
    path = tmp_path / "photo.jpg"
    chance = random.Random(8)
    start = sound.index(b"Exif")
    (size,) = struct.unpack(">H", sound[start - 2 : start])  # of the notes, these two bytes too
    for _ in range(200):
        spoilt = bytearray(sound)
        for _ in range(3):
            spoilt[start + 6 + chance.randrange(size - 8)] = chance.randrange(256)
        path.write_bytes(spoilt)
        assert read_photo(path).image.shape == (120, 160, 3)


@pytest.mark.parametrize(
    "value",
    ["2001-99-99", "!!timestamp x", "!!bool x", "!!int x", "!!float x", "9" * 5000, "!!set [a]",
     "!!omap [a]", "!!pairs [a]", "!!binary =", "{[a]: b}", ".nan", "[" * 5000, "!!python/name:os"],
    ids=range(14),
)  # fmt: skip
def test_values_of_odd_kinds_in_a_record_are_one_line(value: str, tmp_path: Path) -> None:
    path = tmp_path / "table.yaml"
    path.write_text(f"version: {value}\n")
    with pytest.raises(ProjectorError) as caught:
        read_record(path)
    assert "\n" not in str(caught.value) and str(path) in str(caught.value)
    assert len(str(caught.value)) < 600


HIJACKED = (
    "projector/__init__", "drafting/__init__", "multiprocessing/__init__", "numpy", "json", "yaml",
    "pickle", "socket", "copy", "struct", "numba", "shapely", "ezdxf", "click", "sitecustomize",
)  # fmt: skip


def called(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """The installed command, called in a folder: its own folder is first in the path, not that."""
    command = folder.parent / "bin" / "command.py"
    command.parent.mkdir(exist_ok=True)
    command.write_text(
        f"import sys\nsys.path.insert(1, {str(ROOT)!r})\n"
        "if __name__ == '__main__':\n    from projector.__main__ import main\n    main()\n"
    )
    surroundings = {k: v for k, v in os.environ.items() if not k.startswith("PYTHON")}
    return subprocess.run(
        [sys.executable, str(command), *words], cwd=folder, env=surroundings,
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip


@pytest.mark.parametrize("words", [["import", "front.svg", "--look"], ["lay", "choir.yaml"]])
def test_code_in_the_folder_of_a_job_is_never_run(words: list[str], tmp_path: Path) -> None:
    """Every process of the program takes its modules from where it is installed."""
    folder = tmp_path / "sent by a stranger"
    folder.mkdir()
    for name in HIJACKED:
        module = folder / f"{name}.py"
        module.parent.mkdir(exist_ok=True)
        module.write_text("open('hijacked', 'a').write(__name__)\n")
    (folder / "choir.yaml").write_text(job_text(choir_job()))
    (folder / "front.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm" viewBox="0 0 90 90">'
        '<path d="M9 9H80V80H9Z" stroke="red"/></svg>'
    )
    done = called(folder, *words)
    assert not (folder / "hijacked").exists(), (folder / "hijacked").read_text()
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("name", ["ezdxf.ini", ".numba_config.yaml"])
def test_settings_of_libraries_in_the_folder_of_a_job_are_not_obeyed(
    name: str, tmp_path: Path
) -> None:
    folder = tmp_path / "work"
    folder.mkdir()
    (folder / name).write_text("[core\nx: [\n")
    done = called(folder, "measures")
    assert done.returncode == 2 and len(done.stderr.splitlines()) == 1
    assert name in done.stderr and "rename it" in done.stderr


@posix
def test_a_name_that_is_no_text_is_told_all_the_same(tmp_path: Path) -> None:
    folder = tmp_path / "work"
    folder.mkdir()
    (folder / "choir.yaml").write_text(job_text(choir_job()))
    done = called(folder, "write", "choir.yaml", "--as", "json", "--out", os.fsdecode(b"\xff"))
    assert done.returncode == 0 and "\\udcff" in done.stdout, done.stderr


def test_a_command_with_a_control_character_is_one_plain_line(tmp_path: Path) -> None:
    folder = tmp_path / "work"
    folder.mkdir()
    done = called(folder, "check", "a\n\x1b[31mb.yaml")
    assert done.returncode == 2 and len(done.stderr.splitlines()) == 1
    assert "\x1b" not in done.stderr
