"""Laying from the desk: the search for a shorter lay in its process, tidying, laying the rest."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace
from threading import Event

import shapely
from shapely.affinity import translate

from projector.cloth import search_process
from projector.cloth.autolayout import arrange
from projector.cloth.clearance import missing, usable_area, violations
from projector.cloth.fitting import too_large
from projector.cloth.layout import Layout, piece_of
from projector.cloth.shapes import lies_on_fold, placed_shape
from projector.cloth.tidying import tidied as slid_home
from projector.cloth.yardage import lower_bound, used_length
from projector.desk.sessions import FAULTS
from projector.desk.view import Search
from projector.errors import ProjectorError
from projector.stage.commands import Replace

__all__ = ["Laying", "check_room", "rest_laid", "tidied"]

LONGEST = 60.0
"""Seconds a search may take."""


class Laying:
    """The search under way, if there is one. Every better lay becomes one `Replace`.

    All that a search finds is undone in one step. When the lay is changed by hand meanwhile the
    search ends, and what was done by hand stays.
    """

    def __init__(self) -> None:
        self.before: Layout | None = None
        self._search: search_process.Search | None = None
        self._begun = 0.0
        self._latest: Layout | None = None
        self._held: frozenset[tuple[str, int]] = frozenset()
        self._progress: Search | None = None
        self._workers = ThreadPoolExecutor(1, "rest")
        self._rest: tuple[Layout, Future[Layout]] | None = None
        self._left = Event()

    @property
    def progress(self) -> Search | None:
        """How far the search is; None when there is none."""
        return self._progress

    @property
    def busy(self) -> bool:
        """Whether something is searched for or laid."""
        return self._progress is not None or self._rest is not None

    def lay_rest(self, layout: Layout) -> None:
        """Lay what is missing beside what lies; the windows do not wait for it."""
        self._left.set()
        self._left = left = Event()
        self._rest = layout, self._workers.submit(rest_laid, layout, left.is_set)

    def begin(self, layout: Layout) -> None:
        """Search for a lay shorter than this one; cut pieces stay as locked ones do."""
        self.stop()
        self.before = self._latest = layout
        cut = [placed for placed in layout.placements if placed.cut and not placed.locked]
        self._held = frozenset((placed.piece, placed.copy) for placed in cut)
        fixed = tuple(replace(p, locked=p.locked or p.cut) for p in layout.placements)
        # Where pieces may be tilted, that comes last and takes its time.
        seconds = 0.75 * LONGEST if layout.cloth.tilt else LONGEST
        self._search = search_process.begin(replace(layout, placements=fixed), seconds=seconds)
        self._begun = time.monotonic()
        self._progress = Search(0.0, LONGEST)

    def stop(self) -> None:
        """End the search; the shortest lay that was shown stays."""
        if self._search is not None:
            self._search.stop()
        self._search, self._progress, self._rest = None, None, None
        self._left.set()  # nobody waits for the rest any more, at the end of the program least

    def news(self, layout: Layout) -> tuple[tuple[Replace, ...], str]:
        """What was found or laid since it was last asked, and what to tell of it."""
        if self._rest is not None:
            return self._rest_news(layout, *self._rest)
        if self._search is None or self._progress is None:
            return (), ""
        if layout != self._latest:
            self.stop()
            return (), "the search ended, as the lay was changed by hand"
        news = self._search.poll()
        elapsed = time.monotonic() - self._begun
        length = None if math.isinf(news.length) else news.length
        # Told in tenths: the page is made anew for every change of it.
        self._progress = Search(round(elapsed, 1), LONGEST, length, round(news.quiet, 1))
        found: tuple[Replace, ...] = ()
        if news.layout is not None:
            better = self._released(news.layout, layout)
            found = (Replace(better, None, fresh=self._latest == self.before),)
            self._latest = better
        ended = not news.running or elapsed > LONGEST
        message = news.failure
        if ended and not message:
            message = self._ended(news.quiet)
        if ended:
            self.stop()
        return found, message if ended or news.failure else ""

    def _rest_news(
        self, now: Layout, begun: Layout, laid: Future[Layout]
    ) -> tuple[tuple[Replace, ...], str]:
        if now == begun and not laid.done():
            return (), ""
        self._rest = None
        if now != begun:
            self._left.set()
            return (), "the rest was not laid, as the lay was changed by hand"
        fault = laid.exception()
        if isinstance(fault, FAULTS):
            return (), str(fault)
        return (Replace(laid.result()),), "the rest is laid"

    def _ended(self, quiet: float) -> str:
        """How much shorter the lay has become, and for how long nothing shorter was found."""
        if self._latest == self.before or self._latest is None or self.before is None:
            if self.before is None or not missing(self.before):
                return "the search has ended; it found no shorter lay"
            return "the search has ended: no place for all pieces; take more or wider cloth"
        now, then = used_length(self._latest) / 1000, used_length(self.before) / 1000
        instead = f" instead of {then:.2f} m" if self.before.placements else ""
        return f"the search has ended: {now:.2f} m{instead}, none shorter for {quiet:.0f} s"

    def _released(self, found: Layout, before: Layout) -> Layout:
        """The lay that was found on the cloth and pieces of the session, cut pieces unlocked."""
        placements = tuple(
            replace(p, locked=False, cut=True) if (p.piece, p.copy) in self._held else p
            for p in found.placements
        )
        return Layout(before.cloth, before.pieces, placements)


def check_room(layout: Layout) -> None:
    """Raises `ProjectorError` where a piece is larger than the cloth, or no lay can be as short."""
    cloth = layout.cloth
    if not missing(layout):  # what lies there already has room
        return
    large = too_large(layout)
    if large:
        more = f" (and {len(large) - 1} more)" if len(large) > 1 else ""
        raise ProjectorError(
            f"{large[0]}{more}: take a larger cloth than {cloth.name!r}, lay it flat, or do what "
            "the findings in Draft advise"
        )
    bound = lower_bound(layout)
    if cloth.length is not None and bound.length > cloth.length + 1.0:
        raise ProjectorError(
            f"{cloth.name!r} is {cloth.length / 1000:.2f} m long, and its pieces need at least "
            f"{bound.length / 1000:.2f} m: take more or wider cloth, lay it flat, or cut fewer"
        )


def rest_laid(layout: Layout, stopped: Callable[[], bool] = lambda: False) -> Layout:
    """The lay with what was missing laid beside what lies, which stays."""
    lying = {(p.piece, p.copy): p for p in layout.placements}
    fixed = tuple(replace(placed, locked=True) for placed in layout.placements)
    whole = arrange(replace(layout, placements=fixed), budget=4, stopped=stopped)
    placements = tuple(lying.get((p.piece, p.copy), p) for p in whole.placements)
    return replace(layout, placements=placements)


def tidied(layout: Layout, chosen: int | None) -> Layout:
    """The lay with the chosen piece slid out of overlap and snugly to its neighbours.

    Without one, every loose piece is pushed towards the cut end, then towards the fold, unless
    that would break a rule that the lay keeps now, such as the match of stripes.
    """
    if chosen is not None and chosen < len(layout.placements):
        return slid_home(layout, chosen)
    pushed = _pushed(layout)
    return layout if len(violations(pushed)) > len(violations(layout)) else pushed


def _pushed(layout: Layout) -> Layout:
    """Each goes as far as it stays clear of the rest and on the cloth; a piece that is not clear
    to begin with stays where it is. Locked and cut pieces stay, and so does the grain."""
    cloth = layout.cloth
    placements = list(layout.placements)
    shapes = [placed_shape(layout, placed) for placed in placements]
    reach = cloth.length or max((shape.bounds[2] for shape in shapes), default=0.0) + 1.0
    area = shapely.buffer(usable_area(cloth, reach), 1e-6, join_style="mitre")
    for index in sorted(range(len(placements)), key=lambda i: shapes[i].bounds[0]):
        placed = placements[index]
        if placed.locked or placed.cut:
            continue
        others = shapely.union_all([s for i, s in enumerate(shapes) if i != index])
        ways = [(-1.0, 0.0)]
        if not lies_on_fold(piece_of(layout, placed), cloth):
            ways += [(0.0, -1.0), (-1.0, 0.0)]
        for x, y in ways:
            far = _free_way(shapes[index], others, area, x, y)
            shapes[index] = translate(shapes[index], far * x, far * y)
            motion = placements[index].cloth_from_piece
            motion = replace(motion, dx=motion.dx + far * x, dy=motion.dy + far * y)
            placements[index] = replace(placements[index], cloth_from_piece=motion)
    return replace(layout, placements=tuple(placements))


def _free_way(
    shape: shapely.Polygon, others: shapely.Geometry, area: shapely.Geometry, x: float, y: float
) -> float:
    """How far a shape may go in a direction, mm, to a twentieth of one."""

    def clear(far: float) -> bool:
        there = translate(shape, far * x, far * y)
        return bool(shapely.covers(area, there)) and not shapely.intersects(others, there)

    done, step = 0.0, 64.0
    while step > 0.05:
        if clear(done + step):
            done += step
        else:
            step /= 2
    return done
