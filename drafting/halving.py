"""A search by halving: where something stops to hold."""

from __future__ import annotations

from collections.abc import Callable

__all__ = ["narrowed"]


def narrowed(
    holds: Callable[[float], bool], low: float, high: float, step: float
) -> tuple[float, float]:
    """The interval narrowed to at most `step`; `holds` is true at its low end, not at its high.

    `holds` is taken to be true at `low` and false at `high` and is not asked there. Where it
    changes more than once, one of the changes is found.
    """
    while high - low > step:
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low, high
