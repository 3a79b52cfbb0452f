"""The map from measurements on the table itself: least squares over the map's own parameters.

The four anchors are free; the projector's lens, which a handful of measurements cannot tell, is
held by what is believed of it, and so enters the error.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from calibration.beliefs import KEYSTONE_SD, PROJECTOR_LENS_SD
from calibration.errors import CalibrationError
from calibration.homography import Array
from calibration.table_map import TableMap, Term, even_term, parameters, with_parameters

__all__ = ["Fit", "Predicted", "fitted_map", "scale_term", "similar_map", "with_terms"]

Q1_SD, Q2_SD, ACROSS_SD, DOWN_SD, *DECENTRED_SD = PROJECTOR_LENS_SD
HELD = 1e-6
LENS_SD = np.array(
    [Q1_SD, Q2_SD, HELD, HELD]
    + [
        float(np.hypot(Q1_SD * sd, own))
        for sd, own in zip((ACROSS_SD, DOWN_SD), DECENTRED_SD, strict=True)
    ]
    + [HELD] * len(KEYSTONE_SD)
)
"""With the centre held in the middle, where it would else have no effect on a lens not yet known,
and the number d, which is -q1 c for a centre c, in its place. A keystone correction is held, too:
it shows through the lens alone."""
STEPS = 40
TOLD_TRUST = 4.0
"""Degrees of freedom that the told error of the measurements counts for beside their residuals."""

Predicted = Callable[[TableMap], tuple[Array, Array]]
"""What a map predicts for k measurements, (k,), mm, and its slopes (k, m) with the parameters."""


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """A fitted map: `residuals` (k,), measured less predicted, mm; `slopes` (k, m); `covariance`
    (m, m) of all parameters, without motions that nothing tells; `chi_square` with its `freedom`.
    """

    table_map: TableMap
    residuals: Array
    slopes: Array
    covariance: Array
    chi_square: float
    freedom: int


def fitted_map(start: TableMap, predicted: Predicted, measured: Array, error: float) -> Fit:
    """The map that explains measurements (k,), mm, each with standard deviation `error`.

    Gauss and Newton's steps of least length, so that a rigid motion of the whole, which lengths do
    not tell, is left alone; halved until they improve. The lens has its beliefs as measurements.

    Raises `CalibrationError` when no map explains them.
    """
    values = parameters(start)
    spread = np.concatenate([np.full(8, 1.0), LENS_SD])
    table_map, cost = start, np.inf
    residuals, slopes = measured, np.zeros((len(measured), len(values)))
    step, share = np.zeros(len(values)), 1.0
    for _ in range(STEPS):
        try:
            candidate = with_parameters(start, values + share * step)
            foreseen, new_slopes = predicted(candidate)
            new_cost = _cost(measured - foreseen, error, values + share * step)
        except CalibrationError:
            if not np.isfinite(cost):
                raise
            new_cost = np.inf
        if not new_cost <= cost * (1 + 1e-12):
            share /= 2.0
            if share < 1e-6:
                break
            continue
        gained = cost - new_cost
        values = values + share * step
        table_map, cost, residuals, slopes = candidate, new_cost, measured - foreseen, new_slopes
        if gained < 1e-9 * (1.0 + cost):
            break
        system = np.vstack([slopes / error, np.diag(1.0 / spread)[8:]]) * spread
        wanted = np.concatenate([residuals / error, -values[8:] / LENS_SD])
        step, share = spread * np.linalg.lstsq(system, wanted, rcond=1e-10)[0], 1.0
    system = np.vstack([slopes / error, np.diag(1.0 / spread)[8:]]) * spread
    inverse = np.linalg.pinv(system, rcond=1e-10) * spread[:, None]
    rank = int(np.linalg.matrix_rank(system, tol=1e-8 * np.linalg.norm(system, 2)))
    return Fit(table_map, residuals, slopes, inverse @ inverse.T, 2.0 * cost,
               len(system) - rank)  # fmt: skip


def _cost(residuals: Array, error: float, values: Array) -> float:
    return 0.5 * float(((residuals / error) ** 2).sum() + ((values[8:] / LENS_SD) ** 2).sum())


def with_terms(fit: Fit, name: str, error: float, extra: tuple[Term, ...]) -> TableMap:
    """The fitted map with its terms: the measurements by `name`, the lens, and others."""
    weighted = fit.slopes / error
    from_data = fit.covariance @ (weighted.T @ weighted) @ fit.covariance
    pull = np.zeros(len(fit.covariance))
    pull[8:] = 1.0 / LENS_SD**2
    from_lens = (fit.covariance * pull) @ fit.covariance
    # Residuals larger than was told enlarge the error; but few of them tell little of it.
    inflated = max(1.0, (TOLD_TRUST + fit.chi_square) / (TOLD_TRUST + fit.freedom))
    terms = (
        even_term(name, from_data * inflated),
        even_term("projector lens", from_lens),
        *extra,
    )
    return replace(fit.table_map, terms=terms)


def scale_term(table_map: TableMap, name: str, sd: float) -> tuple[Term, ...]:
    """The error of a common scale of standard deviation `sd`; none when it is 0."""
    if not sd > 0.0:
        return ()
    anchors = parameters(table_map)[:8].reshape(4, 2)
    way = np.zeros(len(table_map.parameter_names))
    way[:8] = ((anchors - anchors.mean(axis=0)) * sd).ravel()
    return (Term(name, np.outer(way, way)),)


def similar_map(screen_size: tuple[int, int], scale: float) -> TableMap:
    """A map without keystone, `scale` mm a pixel, the lit area's near left corner at the origin."""
    height = screen_size[1]
    near = scale * (height - 0.5)
    return TableMap(
        np.array([[scale, 0.0, scale * 0.5], [0.0, -scale, near], [0.0, 0.0, 1.0]]), screen_size
    )
