"""The row along the fold against closed forms."""

import pytest
import shapely

from projector.cloth.fold_row import fold_row


def test_blocks_add_up_and_wedges_nest() -> None:
    blocks = [[shapely.box(0, 0, size, 100)] for size in (30, 50, 20)]
    assert fold_row(blocks) == pytest.approx(100.0, abs=0.15)
    # A trapezium 100 at the fold and 300 at the top beside a triangle 200 at the fold.
    wide = shapely.Polygon([(0, 0), (100, 0), (300, 200), (0, 200)])
    narrow = shapely.Polygon([(0, 0), (200, 0), (200, 200)])
    assert fold_row([[wide], [narrow]]) == pytest.approx(300.0, abs=0.15)
    # A T keeps its neighbour off the fold by the length of its arm; 48 heights see all of it.
    tee = shapely.Polygon([(40, 0), (60, 0), (60, 100), (100, 100), (100, 200), (0, 200),
                           (0, 100), (40, 100)])  # fmt: skip
    assert fold_row([[tee], [tee]]) == pytest.approx(200.0, abs=0.15)
