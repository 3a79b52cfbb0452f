"""`shearlight plates`, read back by general libraries."""

import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pypdf
import pytest
from typer.testing import CliRunner

from projector.cli import app
from projector.errors import ProjectorError

JOB = """shearlight_job: 1
name: Choir
wearers:
- name: M
  body: {bust: 94 cm, waist: 78 cm, hip: 102 cm, height: 166 cm}
style: {lift: 0.4, neck_binding: 12 mm, cuff: 5 cm, join: 30 cm, gusset: 9 cm, band_stretch: 0}
"""


def test_plates_are_written_at_their_scale(tmp_path: Path) -> None:
    job = tmp_path / "job.yaml"
    job.write_text(JOB, encoding="utf-8")
    sizes = []
    for scale in ("half", "quarter"):
        out = tmp_path / scale
        result = CliRunner().invoke(app, ["plates", str(job), "--out", str(out), "--scale", scale])
        assert result.exit_code == 0, result.output
        pages = pypdf.PdfReader(out / "plates.pdf").pages
        plates = sorted(out.glob("plate-*.svg"))
        assert len(pages) == len(plates) == len(list(out.glob("plate-*.png"))) >= 10
        root = ElementTree.parse(plates[0]).getroot()
        assert float(root.get("width", "0").removesuffix("mm")) == pytest.approx(
            float(pages[0].mediabox.width) * 25.4 / 72, abs=0.01
        )
        sizes.append(float(pages[0].mediabox.width))
    assert 0.45 < sizes[1] / sizes[0] < 0.65  # letters shrink less than the drawing


def test_an_unknown_wearer_is_named(tmp_path: Path) -> None:
    job = tmp_path / "job.yaml"
    job.write_text(JOB, encoding="utf-8")
    result = CliRunner().invoke(app, ["plates", str(job), "--wearer", "Q"])
    assert isinstance(result.exception, ProjectorError)
    assert "wearers of the job are M" in str(result.exception)
