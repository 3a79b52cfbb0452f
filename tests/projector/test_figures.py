"""The figures for machines, recomputed from themselves by SciPy."""

from __future__ import annotations

import json

import numpy as np
import pytest
from scipy.integrate import quad

from projector.figures import FLATNESS, piece_figures
from tests.projector.test_job_file import pocket


def figures() -> dict:
    return json.loads(json.dumps(piece_figures(pocket()), allow_nan=False))


def test_lengths_agree_with_quadrature_of_the_control_points() -> None:
    for edge in figures()["edges"]:
        total = 0.0
        for segment in edge["segments"]:
            points = np.array(segment["points"])
            if segment["kind"] == "line":
                total += float(np.hypot(*(points[1] - points[0])))
            else:
                first = 3.0 * np.diff(points, axis=0)

                def speed(t: float, first: np.ndarray = first) -> float:
                    weights = np.array([(1 - t) ** 2, 2 * t * (1 - t), t * t])
                    return float(np.hypot(*(weights @ first)))

                total += quad(speed, 0.0, 1.0)[0]
        assert edge["length"] == pytest.approx(total, abs=1e-4)
        flat = np.array(edge["flattened"])
        chords = float(np.hypot(*np.diff(flat, axis=0).T).sum())
        assert chords == pytest.approx(total, abs=FLATNESS * len(flat))


def test_nothing_of_the_piece_is_left_out() -> None:
    plain = figures()
    assert plain["grain"] == {"start": [100.0, 50.0], "end": [100.0, 450.0]}
    notch = plain["notches"][0]
    across = np.subtract(notch["on_cutting_line"], notch["on_seam_line"])
    assert np.hypot(*across) == pytest.approx(10.0)  # the allowance
    assert plain["drills"][0]["point"] == [80.0, 90.0]
    assert plain["lines"][0]["name"] == "waist"
    assert plain["fold_edge"] == "centre"
    low = np.min(plain["cutting_line"], axis=0)
    assert low == pytest.approx([0.0, -40.0])  # the fold and the hem
