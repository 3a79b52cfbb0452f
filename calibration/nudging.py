"""By hand: crosshairs moved onto marks whose places are known, such as a cutting mat's ruling."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calibration.errors import CalibrationError
from calibration.homography import Array, fitted
from calibration.map_fit import Fit, fitted_map, scale_term, with_terms
from calibration.table_map import TableMap, table_points
from calibration.uncertainty import moves

__all__ = ["Nudged", "solve"]

FEWEST = 4
SURE = 16.0
"""Square of a standardised miss, two degrees of freedom, beyond which a mark is a mistake: one in
3000 by chance."""
CONTRADICTION = 12.0
"""Placing errors that the marks together may miss by before nothing is believed."""


@dataclass(frozen=True, slots=True, eq=False)
class Nudged:
    """A map from crosshairs.

    `residuals` (n, 2): where the map puts each crosshair less where the mark is, table mm; of the
    suspects too. `suspects` are indices of marks that contradict the others; they are left out of
    the map. With four marks none can be found, with five hardly; `rms` is over the marks kept.
    """

    table_map: TableMap
    residuals: Array
    suspects: tuple[int, ...]
    rms: float


def solve(
    marks: npt.ArrayLike,
    crosshairs_px: npt.ArrayLike,
    screen_size: tuple[int, int],
    placing_error: float = 0.4,
    scale_sd: float = 0.0,
) -> Nudged:
    """The map from marks (n, 2), table mm, and the crosshairs (n, 2), pixels, nudged onto them.

    Parameters
    ----------
    marks
        x across, y away from the worker; their frame becomes the table's.
    crosshairs_px
        Screen points, origin at the centre of the first pixel, y down; tenths count.
    placing_error
        How well a crosshair is placed, standard deviation, mm, each way.
    scale_sd
        How sure the ruling's own scale is; 0.0002 is a fifth of a millimetre in a metre.

    Raises
    ------
    CalibrationError
        Fewer than four marks, marks on one line, or marks that contradict one another.
    """
    known = np.atleast_2d(np.asarray(marks, dtype=np.float64))
    placed = np.atleast_2d(np.asarray(crosshairs_px, dtype=np.float64))
    if known.shape != placed.shape or known.shape[1] != 2 or len(known) < FEWEST:
        raise CalibrationError(
            f"found {len(known)} marks and {len(placed)} crosshairs, wanted as many of each, "
            f"{FEWEST} or more"
        )
    if not placing_error > 0.0:
        raise CalibrationError(f"placing error: found {placing_error}, wanted mm above 0")
    kept = np.ones(len(known), bool)
    fit = _fit(known, placed, screen_size, placing_error)
    suspects: list[int] = []
    while kept.sum() > FEWEST + 1 and len(suspects) < len(known) // 3:
        worst, size = _worst(fit, np.flatnonzero(kept), placing_error)
        if size < SURE:
            break
        suspects.append(worst)
        kept[worst] = False
        fit = _fit(known[kept], placed[kept], screen_size, placing_error)
    off = table_points(fit.table_map, placed) - known
    rms = float(np.sqrt((off[kept] ** 2).mean()))
    if rms > CONTRADICTION * placing_error:
        raise CalibrationError(
            f"the marks and the crosshairs contradict one another by {rms:.1f} mm rms, wanted "
            f"about {placing_error:g} mm; check their order and the sizes typed"
        )
    extra = scale_term(fit.table_map, "scale of the ruling", scale_sd)
    table_map = with_terms(fit, "placing of the crosshairs", placing_error, extra)
    return Nudged(table_map, off, tuple(sorted(suspects)), rms)


def _fit(
    marks: Array, crosshairs_px: Array, screen_size: tuple[int, int], placing_error: float
) -> Fit:
    start = TableMap(fitted(crosshairs_px, marks), screen_size)

    def predicted(table_map: TableMap) -> tuple[Array, Array]:
        slopes = moves(table_map, crosshairs_px)
        foreseen = table_points(table_map, crosshairs_px).ravel()
        return foreseen, slopes.reshape(len(foreseen), -1)

    return fitted_map(start, predicted, marks.ravel(), placing_error)


def _worst(fit: Fit, kept: npt.NDArray[np.intp], placing_error: float) -> tuple[int, float]:
    """The mark that the others contradict most, and the square of its standardised miss.

    A residual's covariance is that of the placing less what the fit took up (Baarda's test).
    """
    sizes = []
    for index in range(len(kept)):
        rows = slice(2 * index, 2 * index + 2)
        own = fit.slopes[rows]
        spread = placing_error**2 * np.eye(2) - own @ fit.covariance @ own.T
        miss = fit.residuals[rows]
        # What the fit takes up wholly says nothing; a floor keeps rounding from speaking.
        values, axes = np.linalg.eigh(spread)
        part = (axes.T @ miss) ** 2 / np.maximum(values, 0.02 * placing_error**2)
        sizes.append(float(part.sum()))
    worst = int(np.argmax(sizes))
    return int(kept[worst]), sizes[worst]
