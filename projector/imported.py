"""Pieces out of what was read of a file: stated in full, by conventional layers, or as outlines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from drafting.exchange.completing import Said, completed
from drafting.exchange.layered_pieces import layered_pieces
from drafting.exchange.linework import Linework
from drafting.exchange.outlines import Outline
from drafting.exchange.stated_pieces import stated_pieces
from drafting.piece import Piece
from projector.errors import ProjectorError

__all__ = ["imported_pieces"]

_OF_OUTLINES = {"line", "allowance", "edge", "notch", "grain"}


def imported_pieces(
    read: Linework, picked: Sequence[Outline], said: Said, given: frozenset[str], afresh: bool
) -> tuple[tuple[Piece, ...], tuple[str, ...]]:
    """The pieces, and what was taken for granted.

    Parameters
    ----------
    picked
        The outlines to take when the file states no pieces.
    said
        What the worker says of them.
    given
        Which options she gave ("count", "cloth", ...); they overrule the file.
    afresh
        Take the outlines as plain lines whatever else the file says.

    Raises `ProjectorError` for options that a stated piece has no use for.
    """
    stated = () if afresh else stated_pieces(read)
    if stated:
        useless = sorted(_OF_OUTLINES & given)
        if useless:
            raise ProjectorError(
                f"the file states its pieces in full, so that --{useless[0]} changes nothing; "
                "leave it out, or take the bare outlines with --afresh"
            )
        if "name" in given and len(stated) > 1:
            raise ProjectorError(
                f"the file states {len(stated)} pieces; one --name does not do for them"
            )
        return tuple(_told(piece, said, given) for piece in stated), ()
    layered = () if afresh else layered_pieces(read, said)
    if layered:
        told = dict.fromkeys(line for one in layered for line in one.told)
        return tuple(_told(one.piece, said, given - {"name"}) for one in layered), tuple(told)
    made = tuple(
        completed(each, said if len(picked) == 1 else replace(said, name=f"{said.name} {k}"))
        for k, each in enumerate(picked, 1)
    )
    return made, ()


def _told(piece: Piece, said: Said, given: frozenset[str]) -> Piece:
    """The piece with what the worker says herself."""
    return replace(
        piece,
        name=said.name if "name" in given else piece.name,
        size=said.size if "size" in given else piece.size,
        count=said.count if "count" in given else piece.count,
        paired=said.paired if "paired" in given else piece.paired,
        cloth=said.cloth if "cloth" in given else piece.cloth,
    )
