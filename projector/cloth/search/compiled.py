"""Inner loops compiled to machine code, and kept on disk so that they are compiled once."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import ParamSpec, TypeVar, cast

import numba

__all__ = ["compiled", "kept"]

P = ParamSpec("P")
R = TypeVar("R")


def _shelf() -> Path:
    """Where machine code is kept: a directory of its own for every state of these files.

    By itself numba compiles anew only what changed in the same file, though what is called from
    other files is built in, too.
    """
    here = Path(__file__).resolve().parent
    sources = hashlib.sha256(b"".join(path.read_bytes() for path in sorted(here.glob("*.py"))))
    return here / "__pycache__" / f"compiled-{sources.hexdigest()[:16]}"


# Where this cannot be written, numba takes a directory of the user's instead.
numba.config.CACHE_DIR = str(_shelf())


def compiled(function: Callable[P, R]) -> Callable[P, R]:
    """The function compiled on its first call; strict IEEE order, so that runs repeat exactly."""
    return cast(Callable[P, R], numba.njit(cache=True, error_model="numpy")(function))


def kept() -> bool:
    """Whether machine code of these very files is on the shelf."""
    return any(Path(numba.config.CACHE_DIR).rglob("*.nbi"))
