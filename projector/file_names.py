"""Names of files made of what the worker wrote: nothing that file systems mind, no two the same."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from drafting.piece import Piece

__all__ = ["apart", "file_names", "plain_name"]

LONGEST = 50
"""Letters; file systems take 255 bytes, and a letter may have four."""


def plain_name(text: str) -> str:
    """Letters, digits, hyphens and underlines only, so that it leads into no other folder."""
    plain = "".join(c if c.isalnum() or c in "-_" else "-" for c in text)
    return plain[:LONGEST] or "unnamed"


def apart(names: Iterable[str]) -> tuple[str, ...]:
    """The same names, those that came before with a number: "A+" and "A-" are both "A-".

    Large and small letters count as the same, as some file systems hold them.
    """
    taken: set[str] = set()
    made = []
    for name in names:
        number, own = 1, name
        while own.casefold() in taken:
            number += 1
            own = f"{name}-{number}"
        taken.add(own.casefold())
        made.append(own)
    return tuple(made)


def file_names(pieces: Sequence[Piece]) -> tuple[str, ...]:
    """A name for the file of each piece, without its ending."""
    return apart(plain_name("-".join(filter(None, (piece.name, piece.size)))) for piece in pieces)
