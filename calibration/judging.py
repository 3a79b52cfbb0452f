"""How noisy each board's corners are, which are mistakes, and what error the map has from where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from calibration.adjustment import Adjusted, Judgement, Priors, information
from calibration.beliefs import causes
from calibration.homography import Array
from calibration.scene import map_of
from calibration.table_map import TableMap, even_term, parameters, with_parameters

__all__ = ["blended", "evidence", "judged", "map_with_terms"]

GROSS = 5.0
"""Multiples of the noise beyond which a corner is a mistake and is left out."""
BOARD_TRUST, POOL_TRUST = 4.0, 10.0
"""Degrees of freedom: of a board's own noise against that of all boards, and of that against the
noise told beforehand."""
MEDIAN_TRUST = 0.7
"""What a median tells, beside a mean of as many (about ln 2, for two degrees of freedom)."""
LEAST_LEFT, LEAST_JUDGED = 1e-3, 0.1
"""Parts of the degrees of freedom: a board that the fit meets exactly tells next to no noise, and
none of its corners can be called a mistake by rounding."""
MEDIAN_SQUARE = 2.0 * np.log(2.0)
"""Median of a chi-square with two degrees of freedom."""


def judged(found: Adjusted, priors: Priors, before: Judgement) -> Judgement:
    """The noise of each board by its residuals, and the corners that are no mistakes.

    A board's variance is its mean square over the degrees of freedom that the fit left it, drawn
    towards that of all boards, and this to what was told. Corners `GROSS` times as far off as the
    noise are left out; those that were left out before may come back.
    """
    matrices, _, _ = information(found.blocks, before, len(found.scene.values))
    inverse = _inverse(matrices, priors)
    told = np.array([block.noise_px for block in found.blocks])
    left = np.empty(len(told))  # part of the degrees of freedom that the fit did not use up
    for index, (matrix, block) in enumerate(zip(matrices, found.blocks, strict=True)):
        used = float(np.einsum("ij,ji->", inverse, matrix))
        left[index] = np.clip(1.0 - used / (2.0 * len(block.residuals)), LEAST_LEFT, 1.0)
    squares = [
        (block.residuals**2).sum(axis=1) / noise**2
        for block, noise in zip(found.blocks, told, strict=True)
    ]
    freedom = np.array([2.0 * len(own) for own in squares]) * left
    sums = [len(own) * float(np.median(own)) / MEDIAN_SQUARE * 2.0 for own in squares]
    rough = _drawn(MEDIAN_TRUST * np.array(sums), MEDIAN_TRUST * freedom)
    kept = tuple(
        own <= GROSS**2 * variance * max(part, LEAST_JUDGED)
        for own, variance, part in zip(squares, rough, left, strict=True)
    )
    sums = [float(own[good].sum()) for own, good in zip(squares, kept, strict=True)]
    freedom = np.array([2.0 * good.sum() for good in kept]) * left
    fine = _drawn(np.array(sums), freedom)
    noise = tuple(float(value) for value in told * np.sqrt(fine))
    return Judgement(noise, kept)


def _drawn(sums: Array, freedom: Array) -> Array:
    """Variances from sums of squares with their degrees of freedom (n,), each drawn towards the
    whole, and this towards 1, what was told."""
    pool = (POOL_TRUST + sums.sum()) / (POOL_TRUST + freedom.sum())
    # A board of four corners has no noise of its own to show; that others are found better than was
    # told is no reason to trust it more.
    pool = max(pool, 1.0)
    out: Array = (BOARD_TRUST * pool + sums) / (BOARD_TRUST + freedom)
    return out


def _inverse(matrices: Sequence[Array], priors: Priors) -> Array:
    """The covariance of all unknowns; those that are fixed have none."""
    matrix = sum(matrices, np.diag(priors.pull))
    free = np.flatnonzero(priors.sd > 0.0)
    part = matrix[np.ix_(free, free)]
    scale = 1.0 / np.sqrt(np.maximum(np.diag(part), 1e-300))
    out = np.zeros_like(matrix)
    # A pseudo-inverse: what nothing tells (a mirror's twist of no corner) must not blow up.
    inverse = np.linalg.pinv(part * scale[:, None] * scale, rcond=1e-14, hermitian=True)
    out[np.ix_(free, free)] = inverse * scale[:, None] * scale
    return out


def evidence(found: Adjusted, priors: Priors, judgement: Judgement) -> float:
    """How well these beliefs explain the corners: the logarithm of their probability, less a
    constant (Laplace's approximation). Comparable for the same corners and noise only.
    """
    matrices, _, _ = information(found.blocks, judgement, len(priors.sd))
    free = np.flatnonzero(priors.sd > 0.0)
    matrix = sum(matrices, np.diag(priors.pull))[np.ix_(free, free)]
    scale = np.sqrt(np.maximum(np.diag(matrix), 1e-300))
    _, log_size = np.linalg.slogdet(matrix / scale[:, None] / scale)
    volume = 0.5 * log_size + np.log(scale).sum() + np.log(priors.sd[priors.known]).sum()
    return float(-found.cost - volume)


def map_with_terms(found: Adjusted, priors: Priors, judgement: Judgement) -> TableMap:
    """The map with its covariance split by cause.

    With the normal matrix ``A = sum of A_i`` over causes, the covariance is ``A^-1``, which is
    the sum of ``A^-1 A_i A^-1``: the part that errors of cause `i` alone bring about.
    """
    layout = found.scene.layout
    count = len(found.scene.values)
    matrices, _, _ = information(found.blocks, judgement, count)
    inverse = _inverse(matrices, priors)
    rows = inverse[layout.table_map]
    terms = [even_term("corners", rows @ sum(matrices, np.zeros((count, count))) @ rows.T)]
    for name, columns in causes(layout).items():
        own = [c for c in columns if priors.known[c]]
        part = rows[:, own] / priors.sd[own]
        if own and np.abs(part).max() > 0.0:
            terms.append(even_term(name, part @ part.T))
    bare = map_of(found.scene)
    return TableMap(bare.table_from_screen, bare.screen_size, bare.lens, bare.bow, tuple(terms))


def blended(maps: Sequence[TableMap], weights: Array) -> TableMap:
    """The average of maps of one kind by their weights, with the mean of their errors.

    How far they are apart counts as an error of the projector's lens.
    """
    values = np.array([parameters(table_map) for table_map in maps])
    mean = weights @ values
    apart = values - mean
    count = values.shape[1]
    sums = {"projector lens": np.einsum("k,ki,kj->ij", weights, apart, apart)}
    for table_map, weight in zip(maps, weights, strict=True):
        for term in table_map.terms:
            sums[term.name] = (
                sums.get(term.name, np.zeros((count, count))) + weight * term.covariance
            )
    terms = tuple(even_term(name, covariance) for name, covariance in sums.items())
    return replace(with_parameters(maps[int(np.argmax(weights))], mean), terms=terms)
