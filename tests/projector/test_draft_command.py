"""The draft command: figures an outsider can recompute, and one clear line for bad input."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

GOOD = (
    "shearlight_job: 1\nname: tunic\nwearers:\n- name: M\n"
    "  body: {bust: 92 cm, waist: 30 in, hip: 100 cm, height: 165 cm}\nstyle: {lift: 0}\n"
)


def run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "projector", "draft", *words], capture_output=True, text=True
    )


def test_figures_and_pieces(tmp_path: Path) -> None:
    file = tmp_path / "singer.yaml"
    file.write_text(GOOD)
    done = run(str(file), "--json", "--out", str(tmp_path / "pieces"))
    assert done.returncode == 0, done.stderr
    (figures,) = json.loads(done.stdout)["drafts"]
    assert figures["body"]["waist"] == pytest.approx(762.0)  # 30 in of 25.4 mm
    # Lowest lift passes 15 mm above the halfway shoulder tip: common practice, no source.
    neck, tip, wrist = (figures["plan"][n] for n in ("neck_point", "shoulder_tip", "overarm_wrist"))
    slope = (tip[1] + 15 - neck[1]) / (tip[0] - neck[0])
    assert (wrist[1] - neck[1]) / (wrist[0] - neck[0]) == pytest.approx(slope)
    assert {p.name for p in (tmp_path / "pieces").iterdir()} == {"back-M.svg", "front-M.svg"}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (GOOD.replace("92 cm", "92 mm"), 'body.bust: 92 mm is below 600 mm; did you mean "92 cm"?'),
        (GOOD.replace("waist", "wast"), "wast"),
        (GOOD.replace("lift: 0", "lift: 3"), "style.lift"),
        (GOOD.replace("lift: 0", "wrist_hem: 40 mm"), "40 is not from 0 to 25"),
        (GOOD.replace("hip: 100 cm, ", ""), "hip"),
        (GOOD.replace("lift: 0", "neck_stretch: 3"), "style.neck_stretch"),
        ("wearers: [", "singer.yaml"),
    ],
)
def test_bad_input_is_one_line_with_its_place(tmp_path: Path, text: str, said: str) -> None:
    file = tmp_path / "singer.yaml"
    file.write_text(text)
    done = run(str(file))
    assert done.returncode == 2
    assert said in done.stderr and "Traceback" not in done.stderr
    assert done.stderr.splitlines()[0].startswith(f"{file}:")


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    done = run(str(tmp_path / "nobody.yaml"))
    assert done.returncode == 2 and "nobody.yaml" in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_nobody_of_that_name_is_one_line(tmp_path: Path) -> None:
    file = tmp_path / "singer.yaml"
    file.write_text(GOOD)
    done = run(str(file), "--wearer", "XL")
    assert done.returncode == 2 and "wearers of the job are M" in done.stderr
