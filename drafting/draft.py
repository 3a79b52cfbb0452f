"""From a body and a style to finished pieces."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from drafting.block_checks import block_findings
from drafting.bodice import Block, bodice
from drafting.body import Body
from drafting.checks import findings_of
from drafting.contour import shared_edges
from drafting.curves import Line
from drafting.dolman import Plan, dolman_plan
from drafting.edge import Edge, end_of
from drafting.finding import Finding
from drafting.marking import contour_marks
from drafting.movement import movement_finding
from drafting.neckline import neckline
from drafting.piece import Piece
from drafting.seams import Seam
from drafting.sewing import put_together, seam_findings
from drafting.slips import slips
from drafting.style import Style

__all__ = ["Draft", "contour_pieces", "draft"]


@dataclass(frozen=True, slots=True)
class Draft:
    """Everything computed for one garment of the named size. Back and front come first.

    `seams` declares every pair of edges that are sewn together; `seams.walked_all` walks them.
    """

    body: Body
    style: Style
    block: Block
    plan: Plan
    pieces: tuple[Piece, ...]
    findings: tuple[Finding, ...]
    size: str = ""
    seams: tuple[Seam, ...] = ()


def draft(body: Body, style: Style, size: str = "", block: Block | None = None) -> Draft:
    """Draft all pieces, from a block of the worker's own where one is given.

    Raises `DraftingError` where the style cannot be made for the body.
    """
    block = bodice(body) if block is None else block
    plan = dolman_plan(block, body, style)
    back, front = contour_pieces(body, block, style, size)
    pieces, seams = put_together(back, front, style, body)
    findings = (
        *slips(body),
        *block_findings(block, body),
        *findings_of(body, block, plan, style, (back, front)),
        movement_finding(body, block, plan, style),
        *seam_findings(pieces, seams, style),
    )
    return Draft(body, style, block, plan, pieces, findings, size, seams)


def contour_pieces(body: Body, block: Block, style: Style, size: str = "") -> tuple[Piece, Piece]:
    """Back and front alone, without labels or findings: for searching over styles.

    Raises `DraftingError` where the style cannot be made for the body.
    """
    plan = dolman_plan(block, body, style)
    return (
        _piece("back", block, plan, style, size),
        _piece("front", block, plan, style, size),
    )


def _piece(
    name: Literal["back", "front"], block: Block, plan: Plan, style: Style, size: str
) -> Piece:
    neck = Edge("neckline", neckline(block, plan, style, name), style.neck_allowance, "neckline")
    centre = Edge("centre", (Line(end_of(neck), plan.hem_centre),), 0.0, "fold")
    edges = (*shared_edges(plan, style), neck, centre)
    marks = contour_marks(name, edges, getattr(block, name), plan, style)
    return Piece(name, edges, marks, size=size, fold_edge="centre")
