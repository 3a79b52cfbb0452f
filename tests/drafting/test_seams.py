"""Walking seams, against hand computation."""

import dataclasses
import math

import pytest

from drafting.curves import Cubic, Line
from drafting.draft import draft
from drafting.edge import Edge
from drafting.errors import DraftingError
from drafting.marks import Notch
from drafting.piece import Piece
from drafting.plane import Point
from drafting.seams import HEADINGS, Run, Seam, table_of, walk_finding, walked, walked_all
from drafting.style import Style
from tests.drafting.known_pieces import MEDIUM


def block(name: str, width: float, height: float, lean: float = 0.0, notch: float = 50.0) -> Piece:
    """A block whose right side leans outward going up by `lean` mm."""
    points = [Point(0, 0), Point(width, 0), Point(width + lean, height), Point(0, height)]
    edges = tuple(
        Edge(edge, (Line(a, b),), 10.0)
        for edge, a, b in zip(
            ("bottom", "side", "top", "left"), points, [*points[1:], points[0]], strict=True
        )
    )
    return Piece(name, edges, (Notch("side", notch, "double", "middle"),))


SIDE = Seam("side", (Run("a", "side"),), (Run("b", "side"),))


def test_equal_sides_fit() -> None:
    walk = walked((block("a", 100, 200), block("b", 80, 200)), SIDE)
    assert (walk.first, walk.second, walk.apart) == (200.0, 200.0, 0.0)
    assert walk.fits and walk.notches == (("middle", 0.0),)
    assert walk_finding(walk).severity == "fine"


def test_unequal_sides_and_misplaced_notches_are_told() -> None:
    walk = walked((block("a", 100, 200), block("b", 80, 197, notch=52.0)), SIDE)
    assert walk.apart == pytest.approx(3.0) and not walk.fits
    assert walk.notches[0][1] == pytest.approx(-2.0)
    assert walk_finding(walk).severity == "stop"


def test_leans_that_cancel_run_smoothly_and_others_do_not() -> None:
    high = math.sqrt(200.0**2 - 20.0**2)
    smooth = walked((block("a", 100, high, 20.0), block("b", 80, high, -20.0)), SIDE)
    assert smooth.fits and smooth.start_bend == pytest.approx(0.0, abs=1e-12)
    peaked = walked((block("a", 100, high, 20.0), block("b", 80, high, 20.0)), SIDE)
    assert abs(peaked.start_bend or 0.0) == pytest.approx(2 * math.asin(0.1))  # by hand
    assert not peaked.fits and walk_finding(peaked).severity == "warning"


def test_ease_is_kept_and_spreads_the_notches() -> None:
    seam = dataclasses.replace(SIDE, ease=6.0)
    pieces = block("a", 100, 206, notch=103.0), block("b", 80, 200, notch=100.0)
    walk = walked(pieces, seam)
    assert walk.fits and walk.notches[0][1] == pytest.approx(0.0)


def test_a_side_may_be_a_chain_walked_backward() -> None:
    pieces = block("a", 100, 200), block("b", 80, 150)
    chain = Seam(
        "corner",
        (Run("a", "bottom"), Run("a", "side")),
        (Run("b", "top", True), Run("b", "side", True)),
        ease=70.0,
        smooth_start=False,
        smooth_end=False,
    )
    walk = walked(pieces, chain)
    assert (walk.first, walk.second) == (300.0, 230.0) and walk.apart == 0.0
    assert walk.start_bend is None


def test_a_curve_is_walked_by_its_arc_length() -> None:
    # A cubic quarter circle of radius 100: 157.10166980738558 mm by SciPy's quad.
    k = 400 / 3 * (math.sqrt(2) - 1)
    quarter = Cubic(Point(100, 0), Point(100, k), Point(k, 100), Point(0, 100))
    legs = (Line(Point(0, 100), Point(0, 0)), Line(Point(0, 0), Point(100, 0)))
    fan = Piece("fan", (Edge("side", (quarter,)), Edge("rest", legs)))
    strip = block("strip", 40, 157.10166980738558)
    seam = Seam("rim", (Run("fan", "side"),), (Run("strip", "side"),), 0.0, False, False)
    assert abs(walked((fan, strip), seam).apart) < 1e-6


def test_every_seam_of_a_draft_fits_and_reads_as_a_table() -> None:
    made = draft(MEDIUM, Style())
    rows = table_of(walked_all(made.pieces, made.seams))
    assert [row[0] for row in rows] == ["overarm", "underarm", "side"]
    assert all(len(row) == len(HEADINGS) and row[-1] == "fits" for row in rows)


def test_a_missing_piece_is_named() -> None:
    with pytest.raises(DraftingError, match=r"names piece 'b'; the pieces are a"):
        walked((block("a", 100, 200),), SIDE)
    with pytest.raises(DraftingError, match="only one side"):
        Seam("side", (), (Run("a", "side"),))
