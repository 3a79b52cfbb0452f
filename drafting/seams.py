"""Seams: which edges are sewn together, and what walking them along each other shows.

A seam is declared, never guessed. Walking it compares the lengths of its two sides with the ease
that is wanted, the contour across its ends, and every pair of notches of the same name.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from drafting.edge import Edge, edge_length, tangent_along
from drafting.errors import DraftingError
from drafting.finding import Finding
from drafting.piece import Piece, edge_named, notches_of

__all__ = [
    "HEADINGS",
    "Run",
    "Seam",
    "Walk",
    "run_length",
    "table_of",
    "walk_finding",
    "walked",
    "walked_all",
]

LENGTH_TOLERANCE = 0.1
"""Sides of a seam may differ by this much from the ease wanted, mm."""

ANGLE_TOLERANCE = math.radians(0.5)
"""The contour across the end of a seam may bend by this much."""


@dataclass(frozen=True, slots=True)
class Run:
    """One edge of one piece as it is walked; `backward` from its end to its start."""

    piece: str
    edge: str
    backward: bool = False


@dataclass(frozen=True, slots=True)
class Seam:
    """Two chains of edges that are sewn together from their starts to their ends.

    Parameters
    ----------
    name
        What the worker calls it.
    first, second
        Edges in the order they are walked; both chains begin at the same end of the seam.
    ease
        How much longer `first` is wanted than `second`, mm: eased in, or the band stretched.
    smooth_start, smooth_end
        Whether the contour runs smoothly across that end once the seam is sewn.
    """

    name: str
    first: tuple[Run, ...]
    second: tuple[Run, ...]
    ease: float = 0.0
    smooth_start: bool = True
    smooth_end: bool = True

    def __post_init__(self) -> None:
        if not self.name:
            raise DraftingError("a seam needs a name")
        if not (self.first and self.second):
            raise DraftingError(f"seam {self.name!r} has only one side")
        if not math.isfinite(self.ease):
            raise DraftingError(f"seam {self.name!r}: ease {self.ease} is not finite")


@dataclass(frozen=True, slots=True)
class Walk:
    """What walking one seam showed, mm and radians.

    `apart` is first - second - ease. `start_bend` and `end_bend` are how far the contour is from
    running straight across that end; None where no smooth contour is wanted. `notches` holds the
    name of every notch on both sides and how far its places are apart along the seam.
    """

    seam: Seam
    first: float
    second: float
    apart: float
    start_bend: float | None
    end_bend: float | None
    notches: tuple[tuple[str, float], ...]

    @property
    def fits(self) -> bool:
        """Whether the seam can be sewn as it is: 0.1 mm in length, 0.5 degrees across its ends."""
        bends = (bend for bend in (self.start_bend, self.end_bend) if bend is not None)
        return (
            abs(self.apart) <= LENGTH_TOLERANCE
            and all(abs(bend) <= ANGLE_TOLERANCE for bend in bends)
            and all(abs(apart) <= LENGTH_TOLERANCE for _, apart in self.notches)
        )


def run_length(pieces: Sequence[Piece], runs: Iterable[Run]) -> float:
    """Length of a chain of edges on the seam line, mm."""
    return sum(edge_length(_edge(pieces, run)) for run in runs)


def walked(pieces: Sequence[Piece], seam: Seam) -> Walk:
    """Walk one seam of a garment. Raises `DraftingError` when a piece or an edge is missing."""
    first, second = run_length(pieces, seam.first), run_length(pieces, seam.second)
    start = _bend(pieces, seam.first[0], seam.second[0], False) if seam.smooth_start else None
    end = _bend(pieces, seam.first[-1], seam.second[-1], True) if seam.smooth_end else None
    return Walk(seam, first, second, first - second - seam.ease, start, end, _met(pieces, seam))


def walked_all(pieces: Sequence[Piece], seams: Iterable[Seam]) -> tuple[Walk, ...]:
    """Walk every seam."""
    return tuple(walked(pieces, seam) for seam in seams)


def walk_finding(walk: Walk) -> Finding:
    """The walk as a cutter would say it."""
    wanted = "equal" if not walk.seam.ease else f"{walk.seam.ease:.1f} mm apart for ease"
    advice = ""
    if abs(walk.apart) > LENGTH_TOLERANCE:
        advice = "Redraw the longer one: seams that differ will twist."
    elif not all(abs(apart) <= LENGTH_TOLERANCE for _, apart in walk.notches):
        advice = "Set the notches again by walking the seam from its start."
    elif not walk.fits:
        advice = "Reshape the edges at its ends: the contour would show a peak or a dip."
    return Finding(
        "fine" if walk.fits else "stop" if abs(walk.apart) > LENGTH_TOLERANCE else "warning",
        f"seam {walk.seam.name}",
        f"{walk.first:.1f} and {walk.second:.1f} mm",
        wanted,
        advice,
    )


HEADINGS = ("seam", "sewn", "mm", "to", "mm", "ease", "off by", "bend at ends", "notches, off", "")


def table_of(walks: Iterable[Walk]) -> tuple[tuple[str, ...], ...]:
    """Rows of text under `HEADINGS`, one a seam: lengths in mm, bends in degrees."""
    return tuple(_row(walk) for walk in walks)


def _row(walk: Walk) -> tuple[str, ...]:
    bends = [
        "-" if bend is None else f"{abs(math.degrees(bend)):.1f}°"
        for bend in (walk.start_bend, walk.end_bend)
    ]
    worst = max((abs(apart) for _, apart in walk.notches), default=None)
    return (
        walk.seam.name,
        _named(walk.seam.first),
        f"{walk.first:.1f}",
        _named(walk.seam.second),
        f"{walk.second:.1f}",
        f"{walk.seam.ease:.1f}",
        f"{walk.apart:+.2f}".replace("-0.00", "+0.00"),
        ", ".join(bends),
        "none" if worst is None else f"{len(walk.notches)}, {worst:.2f}",
        "fits" if walk.fits else "does not fit",
    )


def _named(runs: Sequence[Run]) -> str:
    return " + ".join(f"{run.piece} {run.edge}" for run in runs)


def _piece(pieces: Sequence[Piece], name: str) -> Piece:
    for piece in pieces:
        if piece.name == name:
            return piece
    known = ", ".join(piece.name for piece in pieces)
    raise DraftingError(f"a seam names piece {name!r}; the pieces are {known}")


def _edge(pieces: Sequence[Piece], run: Run) -> Edge:
    return edge_named(_piece(pieces, run.piece), run.edge)


def _inner_angle(piece: Piece, name: str, at_end: bool) -> float:
    """The angle inside the piece at one end of an edge, radians in [0, 2 pi)."""
    edge = edge_named(piece, name)
    place = piece.edges.index(edge)
    if at_end:
        before, after = edge, piece.edges[(place + 1) % len(piece.edges)]
    else:
        before, after = piece.edges[place - 1], edge
    into, out = tangent_along(before, edge_length(before)), tangent_along(after, 0.0)
    return math.pi - math.atan2(into.cross(out), into.dot(out))


def _bend(pieces: Sequence[Piece], first: Run, second: Run, at_end: bool) -> float:
    """How far the two inner angles are from a straight or a full turn, whichever is nearer.

    Two corners that meet at the rim of the garment make a straight angle; where the seam runs
    on into the next one, they make a full turn.
    """
    total = sum(
        _inner_angle(_piece(pieces, run.piece), run.edge, at_end != run.backward)
        for run in (first, second)
    )
    wanted = math.pi if total < 1.5 * math.pi else 2.0 * math.pi
    return total - wanted


def _met(pieces: Sequence[Piece], seam: Seam) -> tuple[tuple[str, float], ...]:
    """Notches of one name on both sides and how far apart they come along the seam.

    The ease is spread evenly, so that a place on the second side is stretched to the first.
    """
    first, second = _places(pieces, seam.first), _places(pieces, seam.second)
    sizes = run_length(pieces, seam.first), run_length(pieces, seam.second)
    spread = sizes[0] / sizes[1] if seam.ease else 1.0
    return tuple(
        (name, place - spread * second[name]) for name, place in first.items() if name in second
    )


def _places(pieces: Sequence[Piece], runs: Iterable[Run]) -> dict[str, float]:
    """Named notches by their distance from the start of the chain, mm."""
    places: dict[str, float] = {}
    reach = 0.0
    for run in runs:
        size = edge_length(_edge(pieces, run))
        for notch in notches_of(_piece(pieces, run.piece)):
            if notch.edge == run.edge and notch.name:
                along = size - notch.along if run.backward else notch.along
                places.setdefault(notch.name, reach + along)
        reach += size
    return places
