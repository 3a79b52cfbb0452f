"""Careful lays by hand of the choir's tunics in three sizes with facings, in whole mm.

Folded, 150 cm wide. Everything has its fold, so that everything lies in one row, a garment after
the other. Hems lie against hems, as they are straight; necks face each other, as between two
shoulders that slope away there is room at the fold for the facings, back facing in the back neck,
front facing in the front neck's own curve. Each piece was pushed along the fold until it touched.

Flat, 160 cm wide. Opened out the pieces are wider than half the cloth, so that they lie by turns
at the near and the far selvage, backs with their necks to the cut end and fronts away from it: each
body lies in the corner below the sleeve of the one before it. Facings lie in corners left free.

Place and trade practice only: nothing here comes from a search.
"""

from __future__ import annotations

import math
from dataclasses import replace

from drafting.piece import Piece
from drafting.plane import Motion
from projector.cloth.cloth import Cloth
from projector.cloth.layout import Layout, Placement
from projector.job import pieces_of
from tests.projector.choir import choir_job

__all__ = ["faced_choir", "flat_by_hand", "folded_by_hand"]

FOLDED = Cloth(width=1500.0)
FLAT = Cloth(width=1600.0, folded=False)
TO_THE_RIGHT = (
    ("back S", 280), ("back facing S", 369), ("front facing S", 532),
    ("back M", 1968), ("back facing M", 2057), ("front facing M", 2222),
    ("back L", 3703), ("back facing L", 3792), ("front facing L", 3958),
)  # fmt: skip
TO_THE_LEFT = (("front S", 1408), ("front M", 3143), ("front L", 4923))
"""Folded: which way the neck points, and how far from the cut end the waist lies, mm."""
OPENED_LEFT = (
    ("back L", 483, 553), ("back M", 1941, 538), ("back S", 3349, 526),
    ("front facing L", 488, 1400), ("front facing M", 666, 1400), ("front facing S", 843, 1400),
    ("back facing L", 1583, 200), ("back facing M", 1681, 200), ("back facing S", 1778, 200),
)  # fmt: skip
OPENED_RIGHT = (("front L", 1043, 1047), ("front M", 2501, 1062), ("front S", 3537, 1074))
"""Flat: the same, and how far from the near selvage the centre lies, mm."""


def faced_choir() -> tuple[Piece, ...]:
    """The demonstration job's pieces with neck facings 6 cm deep."""
    job = choir_job()
    return pieces_of(replace(job, style=replace(job.style, neck_facing=60.0)))


def folded_by_hand() -> Layout:
    """The lay on folded cloth."""
    placements = [Placement(n, 0, Motion(math.pi / 2, x, 0.0)) for n, x in TO_THE_LEFT]
    placements += [Placement(n, 0, Motion(-math.pi / 2, x, 0.0, True)) for n, x in TO_THE_RIGHT]
    return Layout(FOLDED, faced_choir(), tuple(placements))


def flat_by_hand() -> Layout:
    """The lay on flat cloth."""
    placements = [Placement(n, 0, Motion(math.pi / 2, x, y)) for n, x, y in OPENED_LEFT]
    placements += [Placement(n, 0, Motion(-math.pi / 2, x, y)) for n, x, y in OPENED_RIGHT]
    return Layout(FLAT, faced_choir(), tuple(placements))
