"""By tape alone: marks are lit, the worker measures between them, and lengths make the map.

Lengths tell the map but for a rigid motion of the whole table, which costs a cutter nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import numpy.typing as npt

from calibration.errors import CalibrationError
from calibration.homography import Array
from calibration.map_fit import Fit, fitted_map, scale_term, similar_map, with_terms
from calibration.places import grid_points
from calibration.table_map import TableMap, table_points
from calibration.uncertainty import free_covariance, moves

__all__ = ["TEN_LENGTHS", "Length", "Taped", "lit_marks", "solve"]

FEWEST = 5
"""A map has eight numbers, and a rigid motion takes three of them."""
SLIP = 12.0
"""Fall of chi-square when one length is left out, beyond which it is a slip: one in 2000."""
DOUBT = 2.0
"""Lengths whose leaving out helps nearly as much are named together."""
CONTRADICTION = 15.0
"""Tape errors that the lengths together may miss by before nothing is believed."""
TAPE_SCALE_SD = 0.0001
"""A tape of class II may be wrong by 0.3 + 0.2 L mm, L in m (Directive 2014/32/EU, annex X)."""
TEN_LENGTHS = (
    (0, 2), (6, 8), (0, 6), (2, 8),  # sides
    (0, 8), (2, 6),  # diagonals
    (3, 5), (1, 7),  # midlines
    (4, 0), (4, 2),  # from the centre to the far corners: to the sides a slip could not be told
)  # fmt: skip
"""Pairs of `lit_marks` to measure, in this order."""


@dataclass(frozen=True, slots=True)
class Length:
    """A taped length, mm, between two marks, by their indices."""

    first: int
    second: int
    length: float


@dataclass(frozen=True, slots=True, eq=False)
class Taped:
    """A map from lengths.

    Parameters
    ----------
    table_map
        Near left corner of the lit area about the origin, near edge about along x.
    residuals
        Taped less fitted, (k,), mm, of every length.
    suspects
        Indices of lengths, the most suspect first. One alone is a slip and is left out of the map;
        of several, one is a slip and the lengths cannot tell which: measure them again.
    next_length
        The two marks between which a further length would lessen the error most; None when all are
        measured.
    next_gain
        By what part it would lessen the mean variance over the lit area.
    """

    table_map: TableMap
    residuals: Array
    suspects: tuple[int, ...]
    next_length: tuple[int, int] | None
    next_gain: float


def lit_marks(screen_size: tuple[int, int], inset: float = 0.04) -> Array:
    """Nine marks to light, (9, 2), pixels, row by row from the far left: corners, middles of the
    sides and centre, `inset` of the screen in from its edges, at whole pixels."""
    width, height = screen_size
    x = np.round(np.array([inset, 0.5, 1.0 - inset]) * (width - 1))
    y = np.round(np.array([inset, 0.5, 1.0 - inset]) * (height - 1))
    return grid_points(x, y)


def solve(
    marks_px: npt.ArrayLike,
    lengths: Sequence[Length | tuple[int, int, float]],
    screen_size: tuple[int, int],
    tape_error: float = 0.5,
    tape_scale_sd: float = TAPE_SCALE_SD,
) -> Taped:
    """The map from lit marks (n, 2), pixels, and lengths between them.

    Parameters
    ----------
    marks_px
        Screen points, origin at the centre of the first pixel, y down.
    lengths
        `Length` or (first, second, mm), five or more, over four marks or more.
    tape_error
        Of one length, standard deviation, mm, both ends together.
    tape_scale_sd
        Of the tape itself, as a part of every length.

    Raises
    ------
    CalibrationError
        Too few lengths, a mark that is not there, or lengths that no map can have.

    Notes
    -----
    The picture is taken to be seen from above as it is on the screen, not mirrored.
    """
    marks = np.atleast_2d(np.asarray(marks_px, dtype=np.float64))
    taped = [part if isinstance(part, Length) else Length(*part) for part in lengths]
    _check(marks, taped, tape_error)
    everything = _fit(marks, taped, screen_size, tape_error)
    fit, suspects = everything, _suspects(marks, taped, screen_size, tape_error, everything)
    if len(suspects) == 1:
        rest = [part for index, part in enumerate(taped) if index != suspects[0]]
        fit = _fit(marks, rest, screen_size, tape_error)
    residuals = (
        np.array([part.length for part in taped]) - _foreseen(fit.table_map, marks, taped)[0]
    )
    kept = [index for index in range(len(taped)) if suspects[:1] != (index,)]
    rms = float(np.sqrt((residuals[kept] ** 2).mean()))
    if rms > CONTRADICTION * tape_error:
        raise CalibrationError(
            f"the lengths contradict one another by {rms:.0f} mm rms, wanted about "
            f"{tape_error:g} mm; check which marks were measured"
        )
    extra = scale_term(fit.table_map, "scale of the tape", tape_scale_sd)
    table_map = with_terms(fit, "reading of the tape", tape_error, extra)
    pair, gain = _next(table_map, fit, marks, taped, tape_error)
    return Taped(table_map, residuals, suspects, pair, gain)


def _check(marks: Array, lengths: Sequence[Length], tape_error: float) -> None:
    if not tape_error > 0.0:
        raise CalibrationError(f"tape error: found {tape_error}, wanted mm above 0")
    for number, part in enumerate(lengths, 1):
        if not (0 <= part.first < len(marks) and 0 <= part.second < len(marks)):
            raise CalibrationError(
                f"length {number}: found marks {part.first} and {part.second}, "
                f"wanted 0 to {len(marks) - 1}"
            )
        if part.first == part.second or not 0.0 < part.length < 1e5:
            raise CalibrationError(
                f"length {number}: found {part.length:g} mm from mark {part.first} to "
                f"{part.second}, wanted a length between two marks"
            )
        if np.array_equal(marks[part.first], marks[part.second]):
            raise CalibrationError(
                f"length {number}: marks {part.first} and {part.second} are lit at one place"
            )
    pairs = {frozenset((part.first, part.second)) for part in lengths}
    if len(pairs) < FEWEST:
        raise CalibrationError(
            f"found {len(pairs)} lengths, wanted {FEWEST} or more; measure the four sides and "
            "both diagonals"
        )


def _foreseen(
    table_map: TableMap, marks_px: Array, lengths: Sequence[Length]
) -> tuple[Array, Array]:
    first, second = ([getattr(part, end) for part in lengths] for end in ("first", "second"))
    table, slopes = table_points(table_map, marks_px), moves(table_map, marks_px)
    way = table[second] - table[first]
    size = np.hypot(way[:, 0], way[:, 1])
    along = way / np.maximum(size, 1e-9)[:, None]
    return size, np.einsum("ni,nim->nm", along, slopes[second] - slopes[first])


def _fit(
    marks_px: Array, lengths: Sequence[Length], screen_size: tuple[int, int], tape_error: float
) -> Fit:
    ends = np.array([[part.first, part.second] for part in lengths])
    measured = np.array([part.length for part in lengths])
    apart = np.hypot(*(marks_px[ends[:, 1]] - marks_px[ends[:, 0]]).T)
    start = similar_map(screen_size, float(np.median(measured / apart)))
    fit = fitted_map(start, lambda found: _foreseen(found, marks_px, lengths), measured, tape_error)
    # Lengths and beliefs of the lens are the rows; five numbers of the map are told by lengths.
    if np.linalg.matrix_rank(fit.slopes[:, :8] / tape_error, tol=1e-3) < FEWEST:
        raise CalibrationError(
            "these lengths leave the map loose; measure the four sides and both diagonals"
        )
    return fit


def _suspects(
    marks_px: Array,
    lengths: Sequence[Length],
    screen_size: tuple[int, int],
    tape_error: float,
    everything: Fit,
) -> tuple[int, ...]:
    if len(lengths) <= FEWEST or everything.chi_square < SLIP:
        return ()
    falls = np.zeros(len(lengths))
    for index in range(len(lengths)):
        rest = [part for other, part in enumerate(lengths) if other != index]
        try:
            fit = _fit(marks_px, rest, screen_size, tape_error)
        except CalibrationError:
            continue
        falls[index] = everything.chi_square - fit.chi_square
    if falls.max() < SLIP:
        return ()
    order = np.argsort(-falls)
    return tuple(int(index) for index in order if falls[index] > falls.max() - DOUBT)


def _next(
    table_map: TableMap,
    fit: Fit,
    marks_px: Array,
    lengths: Sequence[Length],
    tape_error: float,
) -> tuple[tuple[int, int] | None, float]:
    """The pair that lessens the mean variance most: ``C - C j j' C / (s^2 + j' C j)``."""
    done = {frozenset((part.first, part.second)) for part in lengths}
    pairs = [pair for pair in combinations(range(len(marks_px)), 2) if frozenset(pair) not in done]
    if not pairs:
        return None, 0.0
    width, height = table_map.screen_size
    grid = grid_points(np.linspace(0, width - 1, 9), np.linspace(0, height - 1, 7))
    field = moves(table_map, grid).reshape(grid.size, -1)
    covariance = free_covariance(table_map, fit.covariance)
    _, slopes = _foreseen(table_map, marks_px, [Length(a, b, 1.0) for a, b in pairs])
    told = covariance @ slopes.T
    gains = ((field @ told) ** 2).sum(axis=0)
    gains = gains / (tape_error**2 + np.einsum("nm,mn->n", slopes, told))
    whole = float(np.einsum("im,mk,ik->", field, covariance, field))
    best = int(np.argmax(gains))
    return pairs[best], float(gains[best] / whole)
