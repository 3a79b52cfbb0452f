"""The commands that inform a choice: measures, lifts over cloth and movement, sizes."""

import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from drafting.measures import MEASURES
from projector.cli import app
from projector.errors import ProjectorError

CHOIR = str(Path(__file__).resolve().parents[2] / "projector/demonstration/choir.yaml")


def run(*words: str) -> str:
    done = CliRunner().invoke(app, list(words))
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    assert done.exit_code == 0, done.output
    return done.output


def test_measures_are_explained_and_estimates_marked() -> None:
    plain = json.loads(run("measures", "--size", "92/168", "--json"))
    assert set(plain["measures"]) == set(MEASURES)
    body = plain["body"]
    assert body["bust"] == 920.0 and "bust" not in body["estimated"]
    # ANSUR II women: residual of the neck base on bust and stature 14.0 mm.
    assert body["estimated"]["neck"]["plus_minus"] == pytest.approx(14.0, abs=0.05)
    shown = run("measures", "--size", "92/168")
    assert re.search(r"neck +37\.\d +14 \S+ +estimated ± 1\.4 cm", shown)
    assert "nape" in run("measures")


def test_lifts_are_compared_and_plotted(tmp_path: Path) -> None:
    plain = json.loads(run("lifts", CHOIR, "--wearer", "M", "--json", "--out", str(tmp_path)))
    rows = plain["lifts"]
    assert [row["lift"] for row in rows] == sorted(row["lift"] for row in rows)
    assert rows[0]["rises"][-1] > rows[-1]["rises"][-1]
    # Neck to hem and the overarm's rise are on the cloth at the least; two pieces on one fold.
    assert all(row["length"] > 2 * 240.0 for row in rows)
    for name in ("movement.svg", "yardage.svg"):
        text = (tmp_path / name).read_text(encoding="utf-8")
        assert text.startswith("<?xml") and "lift" in text
    with pytest.raises(ProjectorError, match="no wearer"):
        run("lifts", CHOIR, "--wearer", "nobody")


def test_sizes_are_graded_and_nested(tmp_path: Path) -> None:
    words = ("grade", CHOIR, "--busts", "84,92,100", "--out", str(tmp_path))
    plain = json.loads(run(*words, "--json"))
    assert plain["sizes"] == ["84/168", "92/168", "100/168"]
    half = next(row for row in plain["growth"] if row["measure"] == "block: half width")
    assert half["steps"] == pytest.approx([40.0, 40.0])  # half of 80 mm of bust
    nest = (tmp_path / "back-nested.svg").read_text(encoding="utf-8")
    assert all(size in nest for size in plain["sizes"])
    assert "block: half width" in run("grade", CHOIR, "--wearers")
    with pytest.raises(ProjectorError, match="whole centimetres"):
        run("grade", CHOIR, "--busts", "M,L")
