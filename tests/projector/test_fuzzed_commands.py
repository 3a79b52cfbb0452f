"""Random command lines: exit code 0, 1 or 2 with plain lines, whatever the words."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import pytest
import typer
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from projector.cli import app
from tests.readers import OWN, READERS

QUICK = settings(
    deadline=None, derandomize=True, max_examples=8, database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)  # fmt: skip
STAYING = {"help", "camera", "patience", "display"}
"""Options that light a window and stay, or look at the machine."""
OPENING = {"light", "rehearse"}
"""With sound files these open a window and stay, or compute for long: they get unsound ones. The
desk, which opens whatever it is given, has its own tests."""
WORDS = (
    "", " ", "0", "-1", "1", "3", "nan", "inf", "1e400", "9" * 40, "M", "main", "A4", "Letter",
    "10 cm", "-3 cm", "1/0 in", "1280x720", "0x0", "99999999x99999999", "745,380,1175,700", "1,2,3",
    "seam", "cutting", "free", "1=hem 3 cm", "0=fold", "svg", "dxf", "pdf", "json", "lay", "\u202e",
    "<script>", "../../x", "a\nb", "'", "%s", "{0}", "~", "$HOME", "-", "--", "92/168", "cm", "in",
)  # fmt: skip
FILES = (
    "choir.yaml", "broken.yaml", "empty.yaml", "none.yaml", "folder", "photo.jpg", "broken.jpg",
    "front.svg", "front.dxf", "front.pdf", "table.yaml", "lengths.yaml", "mat.yaml", "new.png",
    "missing/new.pdf", "photo.jpg/below", "new.svg",
)  # fmt: skip
PATHS = {
    "job", "into", "out", "table", "file", "photo", "photos", "picture", "pictures", "lit", "fresh",
}  # fmt: skip
COMMANDS: dict[str, Any] = typer.main.get_command(app).commands  # type: ignore[attr-defined]


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with one of everything; each test begins with the same."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SHEARLIGHT_SETTINGS", str(tmp_path / "settings.yaml"))
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    (tmp_path / "folder").mkdir()
    sound = {
        "choir.yaml": b"shearlight_job: 1\nname: choir\nwearers:\n- name: M\n  body: {bust: 94 cm, "
        b"waist: 78 cm, hip: 102 cm, height: 166 cm}\nstyle: {front_lower: 55 mm}\n",
        "broken.yaml": b"shearlight_job: 1\nname: [\n",
        "empty.yaml": b"",
        "photo.jpg": READERS["image"].sound()[0],
        "broken.jpg": READERS["image"].sound()[0][:100],
        "front.svg": READERS["SVG"].sound()[0],
        "front.dxf": READERS["DXF"].sound()[0],
        "front.pdf": READERS["PDF"].sound()[0],
        "table.yaml": READERS["record"].sound()[0],
        "lengths.yaml": READERS["lengths"].sound()[0],
        "mat.yaml": READERS["crosshairs"].sound()[0],
    }
    for name, content in sound.items():
        (tmp_path / name).write_bytes(content)
    return tmp_path


def words_for(name: str, chance: random.Random) -> list[str]:
    """A command line that looks like one: known options, and words of about their kind."""
    words = [name]
    for part in COMMANDS[name].params:
        if part.param_type_name == "argument":
            words += [_word(part, name, chance) for _ in range(chance.choice((0, 1, 1, 1, 2)))]
        elif chance.random() < 0.25 and part.name not in STAYING:
            words.append(chance.choice(part.opts))
            if not part.is_bool_flag:
                words.append(_word(part, name, chance))
    if name == "lay":
        words += ["--budget", "0"]
    return words


def _word(part: Any, name: str, chance: random.Random) -> str:
    if part.name in PATHS and chance.random() < 0.9:
        word = chance.choice(FILES)
        return "broken.yaml" if name in OPENING and word == "choir.yaml" else word
    if part.name == "seconds":  # of real time
        return "0.2"
    return chance.choice(WORDS)


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", sorted(set(COMMANDS) - {"desk"}))
@QUICK
@given(seed=st.integers(0, 2**32))
def test_any_command_line_ends_in_plain_words(name: str, seed: int, shop: Path) -> None:
    words = words_for(name, random.Random(seed))
    if name == "rehearse":
        words += ["--out", "photo.jpg/below"]
    ended = CliRunner().invoke(app, words, input="")
    error = ended.exception
    assert error is None or isinstance(error, (SystemExit, OSError, *OWN)), (words, error)
    assert ended.exit_code in (0, 1, 2), words
