"""Motions and points against complex numbers, which turn and mirror the plane too."""

import cmath
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drafting.errors import DraftingError
from drafting.plane import Motion, Point, distance

lengths = st.floats(-5000, 5000)
angles = st.floats(-7, 7)
points = st.builds(Point, lengths, lengths)
motions = st.builds(Motion, angles, lengths, lengths, st.booleans())


def close(a: Point, b: Point) -> bool:
    return distance(a, b) < 1e-6


@given(motions, points)
def test_motion_is_that_of_complex_numbers(motion: Motion, point: Point) -> None:
    z = complex(point.x, point.y)
    if motion.mirrored:
        z = -z.conjugate()  # x -> -x
    z = z * cmath.exp(1j * motion.angle) + complex(motion.dx, motion.dy)
    assert close(motion(point), Point(z.real, z.imag))


@given(motions, motions, points)
def test_product_does_the_right_one_first(second: Motion, first: Motion, point: Point) -> None:
    assert close((second @ first)(point), second(first(point)))


@given(motions, points)
def test_inverse_undoes(motion: Motion, point: Point) -> None:
    assert close(motion.inverse(motion(point)), point)
    assert close((motion @ motion.inverse)(point), point)


def test_quarter_turns_are_exact() -> None:
    assert Motion(math.pi / 2)(Point(3.0, 7.0)) == Point(-7.0, 3.0)


def test_not_a_number_is_refused() -> None:
    with pytest.raises(DraftingError, match="not finite"):
        Point(math.nan, 0.0)
