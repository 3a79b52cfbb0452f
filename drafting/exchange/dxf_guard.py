"""Whether a DXF file may be read at all: not too long, and no copies of copies without end."""

from __future__ import annotations

from typing import Any

from drafting.errors import DraftingError
from drafting.exchange.limits import check_size

__all__ = ["BINARY_DXF", "guarded_blocks", "guarded_text", "looks_like_dxf"]

BINARY_DXF = b"AutoCAD Binary DXF"
"""What a binary file begins with (DXF reference)."""

MOST_LINES = 1_000_000
"""Lines of text; some 3 s of reading. A hundred flattened pieces have about 300,000."""
MOST_ENTITIES = 50_000
DEEPEST = 20


def looks_like_dxf(content: bytes) -> bool:
    """Whether the bytes begin as a DXF file does, in text or binary form."""
    return content.startswith(BINARY_DXF) or b"SECTION" in content[:20_000]


def guarded_text(content: bytes) -> None:
    """Raise `DraftingError`, one line, for a file that is too long or no DXF at all."""
    check_size(content)
    lines = content.count(b"\n")
    if lines > MOST_LINES:
        raise DraftingError(
            f"{lines} lines are more than {MOST_LINES}; keep only the pieces wanted"
        )
    if not looks_like_dxf(content):
        raise DraftingError("not readable as DXF: no section begins in it")


def guarded_blocks(document: Any) -> None:
    """Raise `DraftingError`, one line, when the inserts unfold to too much or never end."""
    known: dict[str, int] = {}
    total = _weight(document.modelspace(), document, known, ())
    if total > MOST_ENTITIES:
        raise DraftingError(
            f"its blocks, inserted as often as the file asks, are {min(total, 10**9)} entities or "
            f"more, wanted at most {MOST_ENTITIES}"
        )


def _weight(layout: Any, document: Any, known: dict[str, int], above: tuple[str, ...]) -> int:
    if len(above) > DEEPEST:
        raise DraftingError(f"blocks inside blocks go deeper than {DEEPEST} levels")
    total = 0
    for entity in layout:
        total += 1
        if entity.dxftype() != "INSERT":
            continue
        name = str(entity.dxf.name)
        if name in above:
            raise DraftingError(f"block {name!r:.40} holds itself, which has no end")
        if name not in known and name in document.blocks:
            known[name] = _weight(document.blocks.get(name), document, known, (*above, name))
        total += known.get(name, 0) * max(1, entity.mcount)
    return total
