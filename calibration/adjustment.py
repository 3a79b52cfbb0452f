"""Robust least squares over the blocks of a scene: Gauss and Newton's steps, damped, with priors.

Sum over corners of Huber's loss of ``|residual| / noise``, plus the squares of every prior.
Each block touches a few columns only, so that the normal equations are gathered block by block
and nothing large is ever made.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calibration.errors import CalibrationError
from calibration.evidence import PhotoSight
from calibration.homography import Array
from calibration.scene import Block, Scene, blocks, moved

__all__ = ["Adjusted", "Judgement", "Priors", "adjusted", "information", "told_judgement"]

HUBER = 2.5
"""Multiples of the noise beyond which a corner pulls no harder (distance, not each coordinate)."""

LEAST_DAMPING, MOST_DAMPING = 1e-12, 1e9
LEAST_GAIN = 1e-3
"""A fall of the cost that is no reason for a further step: a move of a few hundredths of a standard
deviation."""

Kept = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Priors:
    """What is known beforehand of each unknown: `mean` and `sd`, (count,); infinite when nothing,
    0 when it is fixed."""

    mean: Array
    sd: Array

    @property
    def known(self) -> Kept:
        """Which unknowns are held, though not fixed, (count,)."""
        return np.isfinite(self.sd) & (self.sd > 0.0)

    @property
    def pull(self) -> Array:
        """How much each counts in the normal equations, ``1 / sd^2`` or 0, (count,)."""
        pull = np.zeros(len(self.sd))
        pull[self.known] = 1.0 / self.sd[self.known] ** 2
        return pull


@dataclass(frozen=True, slots=True, eq=False)
class Judgement:
    """How the corners of each block count: their noise, pixels, and which are kept."""

    noise_px: tuple[float, ...]
    kept: tuple[Kept, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Adjusted:
    """A scene at its best, with the blocks there and the cost (half the sum of losses)."""

    scene: Scene
    blocks: tuple[Block, ...]
    cost: float
    steps: int


def information(
    found: Sequence[Block], judgement: Judgement, count: int
) -> tuple[list[Array], Array, float]:
    """Normal matrices (count, count) of each block, the gradient (count,) and the cost."""
    matrices, gradient, cost = [], np.zeros(count), 0.0
    for block, noise, kept in zip(found, judgement.noise_px, judgement.kept, strict=True):
        size = np.hypot(*block.residuals.T) / noise
        weight = np.where(kept, HUBER / np.maximum(size, HUBER), 0.0)
        loss = np.where(size <= HUBER, 0.5 * size**2, HUBER * (size - 0.5 * HUBER))
        cost += float(loss[kept].sum())
        root = np.sqrt(np.repeat(weight, 2)) / noise
        rows = block.slopes.reshape(-1, len(block.columns)) * root[:, None]
        matrix = np.zeros((count, count))
        matrix[np.ix_(block.columns, block.columns)] = rows.T @ rows
        matrices.append(matrix)
        gradient[block.columns] += rows.T @ (block.residuals.ravel() * root)
    return matrices, gradient, cost


def adjusted(
    scene: Scene,
    photos: Sequence[PhotoSight],
    priors: Priors,
    judgement: Judgement | None = None,
    free: Kept | None = None,
    most_steps: int = 60,
) -> Adjusted:
    """The scene moved to where the cost is least.

    Steps are damped (Levenberg and Marquardt) until the cost falls by less than `LEAST_GAIN`.
    `free` (count,) holds all other unknowns still. Raises `CalibrationError` when the start is no
    scene at all.
    """
    open_ = (priors.sd > 0.0) & (np.ones(len(priors.sd), bool) if free is None else free)
    damping, harder, steps = 1e-3, 2.0, 0
    here = tuple(blocks(scene, photos))
    judged = judgement or told_judgement(here)
    matrix, gradient, cost = _system(scene, here, judged, priors)
    while steps < most_steps and damping < MOST_DAMPING:
        steps += 1
        step, system = np.zeros(len(gradient)), None
        try:
            step = _step(matrix, gradient, open_, damping)
            there = moved(scene, step)
            next_blocks = tuple(blocks(there, photos))
            system = _system(there, next_blocks, judged, priors)
        except (CalibrationError, FloatingPointError, np.linalg.LinAlgError):
            pass
        gained = -np.inf if system is None else cost - system[2]
        promised = float(step @ (gradient - 0.5 * matrix @ step))
        if system is None or not gained > 0.0:
            if system is not None and promised < LEAST_GAIN:
                break
            damping, harder = damping * harder, 2.0 * harder
            continue
        scene, here, (matrix, gradient, cost) = there, next_blocks, system
        damping = max(damping * _eased(gained / promised), LEAST_DAMPING)
        harder = 2.0
        if gained < LEAST_GAIN:
            break
    return Adjusted(scene, here, cost, steps)


def _step(matrix: Array, gradient: Array, open_: Kept, damping: float) -> Array:
    part = matrix[np.ix_(open_, open_)]
    scale = np.sqrt(np.maximum(np.diag(part), 1e-300))
    scaled = part / scale[:, None] / scale + damping * np.eye(len(scale))
    step = np.zeros(len(gradient))
    step[open_] = np.linalg.solve(scaled, gradient[open_] / scale) / scale
    return step


def _eased(kept_promise: float) -> float:
    """By what the damping changes after a step that fell by this part of what it promised
    (Nielsen, Damping parameter in Marquardt's method, IMM-REP-1999-05; from memory)."""
    return max(1.0 / 6.0, 1.0 - (2.0 * kept_promise - 1.0) ** 3)


def told_judgement(found: Sequence[Block]) -> Judgement:
    """The noise that was told beforehand, and every corner kept."""
    return Judgement(
        tuple(block.noise_px for block in found),
        tuple(np.ones(len(block.residuals), bool) for block in found),
    )


def _system(
    scene: Scene, found: Sequence[Block], judgement: Judgement, priors: Priors
) -> tuple[Array, Array, float]:
    matrices, gradient, cost = information(found, judgement, len(scene.values))
    pull, off = priors.pull, np.where(priors.known, priors.mean - scene.values, 0.0)
    matrix = sum(matrices, np.diag(pull))
    return matrix, gradient + pull * off, cost + 0.5 * float((pull * off**2).sum())
