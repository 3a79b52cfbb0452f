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
from projector.paper_outline import paper_outline
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


def test_printed_cloth_is_outlined_with_its_print_and_without_its_shadow() -> None:
    """Blue cloth with red and green patches that run over its edge, on a dark table, in a shadow.

    Colours are in light (linear) and are coded by sRGB (IEC 61966-2-1), written out here.
    """
    random = np.random.default_rng(5)
    corners = np.array(
        [(260.0, 180.0), (1130.0, 120.0), (1240.0, 640.0), (700.0, 820.0), (210, 600)]
    )
    cloth, table = shapely.Polygon(corners), np.array([0.05, 0.06, 0.07])
    rows, columns = np.mgrid[0:960, 0:1440]
    inside = np.zeros(rows.shape, np.uint8)
    cv2.fillPoly(inside, [np.rint(corners * 16).astype(np.int32)], 1, shift=4)
    light = np.tile(table, (*rows.shape, 1))
    print_ = np.tile([0.50, 0.40, 0.19], (*rows.shape, 1))
    for number, along in enumerate(np.linspace(0.0, 1.0, 14)[:-1]):
        middle = shapely.line_interpolate_point(cloth.exterior, along, normalized=True)
        near = np.hypot(columns - middle.x, rows - middle.y) < 45.0
        print_[near] = ([0.02, 0.02, 0.35], [0.03, 0.26, 0.04])[number % 2]
    shadow = cv2.GaussianBlur(np.roll(inside, (14, 18), (0, 1)).astype(np.float64), (0, 0), 6.0)
    light *= (1.0 - 0.5 * shadow)[..., None]
    light = np.where(inside[..., None] > 0, print_, light)
    light = cv2.GaussianBlur(light, (0, 0), 1.0)
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    photo = np.clip(255 * coded + random.normal(0, 2.0, light.shape), 0, 255).astype(np.uint8)
    found = shapely.Polygon(paper_outline(photo, coloured=True)).buffer(0)
    assert cloth.buffer(2.0).covers(found)
    assert found.buffer(2.0).covers(cloth)
    alone = shapely.Polygon(paper_outline(photo)).buffer(0)
    assert not alone.buffer(10.0).covers(cloth)  # one colour only does not tell what the cloth is


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
