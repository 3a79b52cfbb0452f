"""Bars of cloth, as long as the cloth is much."""

from __future__ import annotations

import pytest

from drafting.drawing import Polyline, Words
from projector.cloth.advice import Choice, cheapest
from projector.cloth.advice_drawing import WIDTH, advice_drawing


def test_bars_are_as_the_cloth_and_words_tell_what_does_not_fit() -> None:
    drawing = advice_drawing(
        (
            Choice("as it is", 4440.0, 4500.0, 6.0, 0.48),
            Choice("90 cm wide", None, None, None, None),
            Choice("with a centre seam", 2930.0, 3000.0, 3.0, 0.75),
        ),
        "ways to cut",
    )
    marks = drawing.layers[0].marks
    bars = [m for m in marks if isinstance(m, Polyline) and m.fill is not None]
    long = [max(p.x for p in bar.points) - min(p.x for p in bar.points) for bar in bars]
    assert long == pytest.approx([WIDTH, WIDTH / 2])
    assert bars[0].fill != bars[1].fill
    assert "does not fit" in [m.text for m in marks if isinstance(m, Words)]


def test_the_cheapest_width_is_the_one_of_least_area_if_it_is_less_than_now() -> None:
    now = Choice("as it is", 4440.0, 4500.0, 6.75, 0.48)
    narrow = Choice("115 cm wide", 4440.0, 4500.0, 5.175, 0.6)
    none = Choice("90 cm wide", None, None, None, None)
    seam = Choice("with a centre seam", 2930.0, 3000.0, 4.5, 0.75)
    wide = Choice("160 cm wide", 4440.0, 4500.0, 7.2, 0.45)
    assert cheapest((now, none, narrow, wide, seam)) == narrow
    assert cheapest((now, none, wide, seam)) is None
    assert cheapest(()) is None and cheapest((now,)) is None
