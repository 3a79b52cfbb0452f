"""What a careful cutter would notice about a whole job: drafts, cloth width, lays."""

from __future__ import annotations

from drafting.cloth_width import cloth_findings
from drafting.finding import Finding
from projector.cloth.clearance import missing, violations
from projector.cloth.cloth import Cloth, usable_span
from projector.job import Job, cloth_named, drafted, layout_of, pieces_of

__all__ = ["job_findings"]

Group = tuple[str, tuple[Finding, ...]]


def job_findings(job: Job) -> tuple[Group, ...]:
    """Findings with what they are about: each wearer's draft, then each lay.

    Raises `DraftingError` where the style cannot be drafted for a wearer.
    """
    pieces = pieces_of(job)
    cloth_of = {(piece.name, piece.size): piece.cloth for piece in pieces}
    groups: list[Group] = []
    for made in drafted(job):
        cloths = {
            cloth_of[piece.name, piece.size] for piece in made.pieces if piece.fold_edge is not None
        }
        usable = min(usable_half(cloth_named(job, name)) for name in cloths)
        widths = cloth_findings(made, usable)
        groups.append((made.size, (*made.findings, *widths)))
    for lay in job.lays:
        layout = layout_of(job, pieces, lay.cloth)
        faults = tuple(
            Finding("stop", "lay", fault, "a legal lay", "Move the piece, or lay afresh.")
            for fault in violations(layout)
        )
        left = missing(layout)
        if left:
            faults += (
                Finding(
                    "warning",
                    "lay",
                    f"{len(left)} copies not laid",
                    "every copy on the cloth",
                    "Lay the rest before you cut.",
                ),
            )
        fine = Finding("fine", "lay", "no fault", "a legal lay", "")
        groups.append((f"lay on {lay.cloth}", faults or (fine,)))
    return tuple(groups)


def usable_half(cloth: Cloth) -> float:
    """Usable width from the middle of the cloth to its selvage, once it has shrunk, mm."""
    low, high = usable_span(cloth)
    return (high if cloth.folded else (high - low) / 2) * (1.0 - cloth.shrinkage_across)
