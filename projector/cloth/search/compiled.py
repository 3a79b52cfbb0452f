"""Inner loops compiled to machine code, and kept on disk so that they are compiled once."""

from __future__ import annotations

from collections.abc import Callable
from typing import ParamSpec, TypeVar, cast

import numba

__all__ = ["compiled"]

P = ParamSpec("P")
R = TypeVar("R")


def compiled(function: Callable[P, R]) -> Callable[P, R]:
    """The function compiled on its first call; strict IEEE order, so that runs repeat exactly."""
    return cast(Callable[P, R], numba.njit(cache=True, error_model="numpy")(function))
