"""A remnant photographed on the lit table becomes a cloth, against the shape that lies there."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest
import shapely
from typer.testing import CliRunner

from calibration.record import Record
from calibration.rig_scenes import random_rig
from projector.cli import app
from projector.errors import ProjectorError
from projector.files.job import read_job, write_job
from projector.files.table import write_record
from projector.job import Job
from projector.remnant import INSIDE, remnant
from tests.projector.paper_scenes import paper_scene, shapes, true_map


def test_a_remnant_in_a_photograph_becomes_a_cloth_of_the_job(tmp_path: Path) -> None:
    rig = random_rig(91_020, projector_lens=0.0)
    shape = next(each for each in shapes() if each.name == "L")
    scene = paper_scene(rig, shape, 6, 0.7, 0.2)
    cv2.imwrite(str(tmp_path / "cloth.png"), scene.photo)
    cv2.imwrite(str(tmp_path / "lit.png"), scene.lit)
    write_record(tmp_path / "table.yaml", Record(true_map(rig), "tape"))
    job = tmp_path / "choir.yaml"
    write_job(job, Job("Choir"))
    seen = ["--table", str(tmp_path / "table.yaml"), "--lit", str(tmp_path / "lit.png")]
    words = ["trace", str(tmp_path / "cloth.png"), *seen, "--remnant", "offcut", "--into", str(job)]
    told = CliRunner().invoke(app, words)
    assert told.exit_code == 0, told.output
    cloth = next(each for each in read_job(job).cloths if each.name == "offcut")
    assert cloth.outline is not None and not cloth.folded
    found = shapely.Polygon(cloth.outline)
    true = shape.body.buffer(-INSIDE, join_style="mitre")
    left, low, _, _ = true.bounds
    placed = shapely.transform(true, lambda points: points - [left, low])
    # Notches that are cut into the shape count as edge, so that corners of the two differ there.
    assert found.difference(placed.buffer(1.5)).area < 1.0
    assert found.symmetric_difference(placed).area / placed.area < 0.02
    again = CliRunner().invoke(app, words)
    assert again.exit_code == 0 and [c.name for c in read_job(job).cloths].count("offcut") == 1


def test_the_outline_is_nowhere_outside_the_cloth() -> None:
    turns = np.linspace(0, 2 * np.pi, 400)[:-1]
    waves = 200 + 20 * np.cos(7 * turns)
    points = np.column_stack([50.0 + 300 * np.cos(turns), 90.0 + waves * np.sin(turns)])
    made = remnant(points, "offcut")
    assert made.outline is not None
    inner = shapely.Polygon(points).buffer(-INSIDE)
    placed = shapely.transform(inner, lambda p: p - np.array(inner.bounds[:2]))
    found = shapely.Polygon(made.outline)
    # The corner it is measured from may itself be half a millimetre coarse.
    assert placed.buffer(0.55).covers(found)
    assert found.area == pytest.approx(inner.area, rel=0.005)


def test_a_scrap_is_refused() -> None:
    with pytest.raises(ProjectorError, match="nothing to cut"):
        remnant([(0, 0), (20, 0), (20, 20), (0, 20)], "scrap")
