"""Pieces that overlap or reach off the cloth, told anew at every step of a drag.

Only what a moved piece could have changed is looked at again, so that it costs the same for a lay
of three pieces and of a hundred.
"""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from projector.cloth.clearance import usable_area
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout, Placement
from projector.cloth.shapes import moved_shape
from projector.stage.outlines import outlines

__all__ = ["Clash", "Clashes"]

LONG = 100_000.0


@dataclass(frozen=True, slots=True, eq=False)
class Clash:
    """What a layout does that cannot be cut.

    Parameters
    ----------
    wrong
        Indices of placements that overlap another or reach off the usable cloth.
    areas
        What lies twice, or off the cloth: cloth frame, mm.
    """

    wrong: frozenset[int] = frozenset()
    areas: tuple[shapely.Geometry, ...] = ()


class Clashes:
    """Finds the clashes of one layout after another; remembers what the last one had."""

    def __init__(self) -> None:
        self._layout: Layout | None = None
        self._clash = Clash()
        self._shapes: list[shapely.Polygon] = []
        self._tree = shapely.STRtree([])
        self._stale: set[int] = set()
        self._pairs: dict[tuple[int, int], shapely.Geometry] = {}
        self._off: dict[int, shapely.Geometry] = {}
        self._cloth: Cloth | None = None
        self._usable: shapely.Geometry = shapely.Point()

    def of(self, layout: Layout) -> Clash:
        """The clashes of a layout."""
        before = self._layout
        if layout is before:
            return self._clash
        changed = _changed(before, layout)
        self._layout = layout
        if changed is None or len(self._stale | changed) > 8:
            self._begin(layout)
            changed = set(range(len(layout.placements)))
        else:
            for index in changed:
                self._shapes[index] = _inner(layout, layout.placements[index])
            self._stale |= changed
        if changed:
            self._look(layout, changed)
            areas = (*self._pairs.values(), *self._off.values())
            pairs = {index for pair in self._pairs for index in pair}
            self._clash = Clash(frozenset(pairs | set(self._off)), areas)
        return self._clash

    def _begin(self, layout: Layout) -> None:
        self._shapes = [_inner(layout, placement) for placement in layout.placements]
        self._tree = shapely.STRtree(self._shapes)
        self._stale, self._pairs, self._off = set(), {}, {}
        if layout.cloth != self._cloth:
            self._cloth = layout.cloth
            self._usable = usable_area(layout.cloth, layout.cloth.length or LONG)
            shapely.prepare(self._usable)

    def _look(self, layout: Layout, changed: set[int]) -> None:
        self._pairs = {
            pair: area for pair, area in self._pairs.items() if not changed.intersection(pair)
        }
        for index in sorted(changed):
            shape = self._shapes[index]
            if shapely.covers(self._usable, shape):
                self._off.pop(index, None)
            else:
                self._off[index] = shapely.difference(shape, self._usable)
            near = {int(i) for i in self._tree.query(shape)} - self._stale
            for other in (near | self._stale) - {index}:
                pair = (min(index, other), max(index, other))
                if pair not in self._pairs and shapely.intersects(shape, self._shapes[other]):
                    self._pairs[pair] = shapely.intersection(shape, self._shapes[other])


def _changed(before: Layout | None, layout: Layout) -> set[int] | None:
    """Which placements differ, in the order of the layout; None when more than those do."""
    if (
        before is None
        or before.pieces is not layout.pieces
        or before.cloth is not layout.cloth
        or len(before.placements) != len(layout.placements)
    ):
        return None
    pairs = zip(before.placements, layout.placements, strict=True)
    return {index for index, (old, new) in enumerate(pairs) if old is not new}


def _inner(layout: Layout, placement: Placement) -> shapely.Polygon:
    inner = outlines(layout)[placement.piece].inner
    return moved_shape(inner, placement.cloth_from_piece)
