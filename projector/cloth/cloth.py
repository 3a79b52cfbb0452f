"""A cloth as it lies ready to be cut.

Cloth frame: millimetres, x along the selvage from the cut end, y across from the fold when it
lies folded, from the near selvage when it lies flat.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from projector.errors import ProjectorError

__all__ = ["CLEAR_OF_FOLD", "COLOURS", "Cloth", "Match", "lay_width", "usable_span"]

CLEAR_OF_FOLD = 3.0
"""A piece cut through both layers keeps this far from the fold, mm: room for the blade (common
practice, no source)."""
LEAST_REPEAT = 1.0
"""mm; finer stripes match by themselves."""
MOST_FLAWS, MOST_CORNERS = 200, 5_000
LEAST_BUFFER = 0.01
"""Mm; a smaller one would be lost in the offsets, which collapse for numbers next to 0."""
MOST_TILT = math.radians(10.0)
"""Beyond this, cloth hangs as if cut on the cross (common practice, no source)."""
COLOURS = ("white", "black", "red", "print")
"""Colours of cloth that the lit lines are chosen for."""


@dataclass(frozen=True, slots=True)
class Match:
    """A point of a piece that has to lie on a main stripe.

    Parameters
    ----------
    piece
        Name of the piece, in every size.
    at
        Name of a notch, taken on the seam line, or of a drill hole of the piece.
    along, across
        Which repeats of the cloth it is matched to.
    """

    piece: str
    at: str
    along: bool = True
    across: bool = True

    def __post_init__(self) -> None:
        if not self.piece or not self.at:
            raise ProjectorError("a match names a piece and a notch or drill hole of it")
        if not (self.along or self.across):
            raise ProjectorError(f"{self.piece!r} at {self.at!r} is matched neither way")


@dataclass(frozen=True, slots=True)
class Cloth:
    """One cloth of a job.

    Parameters
    ----------
    width
        Selvage to selvage, opened out, mm.
    length
        What there is, mm; None for "as much as is needed".
    folded
        Folded lengthwise, selvage on selvage: pieces are cut through two layers.
    one_way
        A nap or a one-way print: every piece points the same way.
    repeat_along, repeat_across
        Stripe or check repeat, mm; 0 for none. `phase_along` and `phase_across` are the
        places of the first main stripe from the origin.
    selvage
        Unusable strip along each selvage, mm.
    shrinkage_along, shrinkage_across
        Part of the length still to be lost in the wash: 0.03 is 3 %.
    outline
        Corner points of a remnant, counter-clockwise, instead of a plain strip.
    flaws
        Polygons to keep clear of, each a tuple of points.
    buffer
        Least distance between two pieces, mm.
    tilt
        How far the worker lets a piece be turned off its grain to save cloth, radians either way.
        Pieces on the fold and pieces matched to stripes keep the grain.
    matches
        Points of pieces that lie on a main stripe. Pieces without one lie anywhere.
    colour
        One of `COLOURS`, as far as the lines lit on it go.
    pieces
        Names of pieces, in every size, that are cut from this cloth whatever they say themselves.
    """

    name: str = "main"
    width: float = 1500.0
    length: float | None = None
    folded: bool = True
    one_way: bool = False
    repeat_along: float = 0.0
    repeat_across: float = 0.0
    phase_along: float = 0.0
    phase_across: float = 0.0
    selvage: float = 12.0
    shrinkage_along: float = 0.0
    shrinkage_across: float = 0.0
    outline: tuple[tuple[float, float], ...] | None = None
    flaws: tuple[tuple[tuple[float, float], ...], ...] = ()
    buffer: float = 0.0
    tilt: float = 0.0
    matches: tuple[Match, ...] = ()
    colour: str = "white"
    pieces: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise ProjectorError("a cloth needs a name; pieces are cut from it by that name")
        if self.colour not in COLOURS:
            raise ProjectorError(
                f"cloth {self.name!r}: colour {self.colour!r}, wanted {', '.join(COLOURS)}"
            )
        if not 0.0 < self.width <= 10_000.0:
            raise ProjectorError(f"cloth {self.name!r}: width {self.width} mm is not a cloth's")
        if self.length is not None and not 0.0 < self.length <= 500_000.0:
            raise ProjectorError(f"cloth {self.name!r}: length {self.length} mm is not a cloth's")
        low, high = usable_span(self)
        if high <= low:
            raise ProjectorError(f"cloth {self.name!r}: selvages leave nothing of its width")
        if self.folded and self.outline is not None:
            raise ProjectorError(f"cloth {self.name!r}: a remnant with an outline lies flat")
        for x, y in self.outline or ():
            if min(x, y) < -0.01:
                raise ProjectorError(
                    f"cloth {self.name!r}: the outline has a corner at ({x:g}, {y:g}); wanted none "
                    "below 0, as x counts from the cut end and y from the near selvage, mm"
                )
        corners = sum(len(each) for each in (self.outline or (), *self.flaws))
        if len(self.flaws) > MOST_FLAWS or corners > MOST_CORNERS:
            raise ProjectorError(
                f"cloth {self.name!r}: {len(self.flaws)} flaws, and {corners} corners of them and "
                f"of the outline; wanted at most {MOST_FLAWS} and {MOST_CORNERS}, so draw them "
                "more coarsely"
            )
        for name in ("repeat_along", "repeat_across"):
            repeat = getattr(self, name)
            if not (repeat == 0.0 or LEAST_REPEAT <= repeat <= 10_000.0):
                raise ProjectorError(
                    f"cloth {self.name!r}: {name} of {repeat:g} mm is not 0 nor from "
                    f"{LEAST_REPEAT:g} mm to 10 m"
                )
        if not (self.buffer == 0.0 or LEAST_BUFFER <= self.buffer <= 200.0):
            raise ProjectorError(
                f"cloth {self.name!r}: buffer {self.buffer} mm is not 0 nor from "
                f"{LEAST_BUFFER:g} to 200 mm"
            )
        if not 0.0 <= self.tilt <= MOST_TILT:
            raise ProjectorError(
                f"cloth {self.name!r}: a tilt of {math.degrees(self.tilt):g} degrees is not from "
                f"0 to {math.degrees(MOST_TILT):g}"
            )
        for match in self.matches:
            self._check_match(match)
        for name in ("shrinkage_along", "shrinkage_across"):
            if not 0.0 <= getattr(self, name) < 0.3:
                raise ProjectorError(
                    f"cloth {self.name!r}: {name} {getattr(self, name)} is not from 0 to 0.3"
                )

    def _check_match(self, match: Match) -> None:
        for axis in ("along", "across"):
            if getattr(match, axis) and not getattr(self, f"repeat_{axis}"):
                raise ProjectorError(
                    f"cloth {self.name!r}: {match.piece!r} is matched {axis}, where the cloth "
                    f"has no repeat; give repeat_{axis}, or match it the other way only"
                )


def lay_width(cloth: Cloth) -> float:
    """Width of the cloth as it lies, mm: half of it when folded."""
    return cloth.width / 2 if cloth.folded else cloth.width


def usable_span(cloth: Cloth) -> tuple[float, float]:
    """Lowest and highest y that pieces may touch, mm. A fold is usable to its very edge."""
    low = 0.0 if cloth.folded else cloth.selvage
    return low, lay_width(cloth) - cloth.selvage
