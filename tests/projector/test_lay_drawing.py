"""The drawing of a lay covers what the lay covers, by shapely, and says its length."""

import pytest
import shapely

from drafting.drawing import Polyline, Words
from projector.cloth.autolayout import arrange
from projector.cloth.lay_drawing import lay_drawing
from projector.cloth.shapes import placed_shape
from projector.cloth.yardage import used_length
from projector.demonstration import demonstration_job
from projector.job import layout_of, pieces_of


def test_pieces_are_drawn_where_they_lie() -> None:
    job = demonstration_job()
    layout = arrange(layout_of(job, pieces_of(job)), 3)
    drawing = lay_drawing(layout, job.name)
    layers = {layer.name: layer.marks for layer in drawing.layers}
    filled = [m for m in layers["pieces"] if isinstance(m, Polyline) and m.fill]
    assert len(filled) == len(layout.placements)
    for mark, placement in zip(filled, layout.placements, strict=True):
        drawn = shapely.Polygon([(p.x, p.y) for p in mark.points])
        assert drawn.symmetric_difference(placed_shape(layout, placement)).area < 300.0  # mm2
    words = [m for m in layers["pieces"] if isinstance(m, Words)]
    for mark, placement in zip(words, layout.placements, strict=True):
        inside = placed_shape(layout, placement).contains(shapely.Point(mark.point.x, mark.point.y))
        assert inside and mark.text == placement.piece
    caption = next(m for m in layers["caption"] if isinstance(m, Words))
    said = float(caption.text.split("; ")[1].split(" m used")[0])
    assert said == pytest.approx(used_length(layout) / 1000, abs=0.006)
