"""A job file changed by a command, and what is told of it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import typer

from drafting.piece import Piece
from projector.files.opening import changing
from projector.job import Job, with_pieces

__all__ = ["keep_change", "keep_pieces"]


def keep_change(path: Path, change: Callable[[Job], Job]) -> None:
    """Save the changed job; what a crash left of it before is brought back first, and told."""
    with changing(path) as opened:
        for told in opened.told:
            typer.echo(told, err=True)
        opened.note(change(opened.job))


def keep_pieces(path: Path, pieces: tuple[Piece, ...]) -> None:
    """Take pieces from elsewhere into the job, and tell of each."""
    keep_change(path, lambda job: with_pieces(job, pieces))
    for piece in pieces:
        marks = "1 mark" if len(piece.marks) == 1 else f"{len(piece.marks)} marks"
        typer.echo(f"{piece.name}: {len(piece.edges)} edges, {marks}; kept in {path}")
