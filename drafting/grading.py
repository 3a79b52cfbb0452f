"""One style over a run of sizes: how each measure grows from size to size.

Every size is drafted afresh for its own body, so that a grade is what the method gives, not a
figure from a table. The drafts share their origin: centre on x = 0, waist on y = 0.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

from drafting.armhole import armhole_length, neckline_length
from drafting.body import Body
from drafting.draft import Draft, draft
from drafting.edge import edge_length
from drafting.errors import DraftingError
from drafting.finding import Finding
from drafting.piece import edge_named, seam_polygon
from drafting.sizes import standard_body
from drafting.style import Style

__all__ = ["Growth", "graded", "growth_findings", "growth_of", "run_of_sizes"]

STEADY = 0.05
"""Two sizes that differ by less than this, mm, are taken as equal."""


@dataclass(frozen=True, slots=True)
class Growth:
    """A measure over the sizes of a run: its values in mm (area in square decimetres)."""

    measure: str
    values: tuple[float, ...]

    @property
    def steps(self) -> tuple[float, ...]:
        """From each size to the next."""
        return tuple(b - a for a, b in pairwise(self.values))


def run_of_sizes(busts_cm: tuple[int, ...], height_cm: int) -> dict[str, Body]:
    """Standard bodies of these bust classes at one height, by their names.

    Raises `DraftingError` for a class or a height that is not standard, or an empty run.
    """
    names = [f"{bust}/{height_cm}" for bust in busts_cm]
    run = {name: standard_body(name) for name in names}
    if not run:
        raise DraftingError("a run needs at least one size")
    return run


def graded(style: Style, bodies: Mapping[str, Body]) -> tuple[Draft, ...]:
    """The style drafted for each body, in the order given.

    Raises `DraftingError`, naming the size, where it cannot be.
    """
    drafts = []
    for name, body in bodies.items():
        try:
            drafts.append(draft(body, style, name))
        except DraftingError as error:
            raise DraftingError(f"size {name}: {error}") from error
    return tuple(drafts)


def growth_of(drafts: tuple[Draft, ...]) -> tuple[Growth, ...]:
    """How body, block and pieces grow; a measure that a size has not is left out of the table."""
    rows = [_measures(made) for made in drafts]
    shared = [name for name in rows[0] if all(name in row for row in rows)] if rows else []
    return tuple(Growth(name, tuple(row[name] for row in rows)) for name in shared)


def _measures(made: Draft) -> dict[str, float]:
    back, front = made.pieces[0], made.pieces[1]
    block, plan = made.block, made.plan
    values = {
        "bust": made.body.bust,
        "waist": made.body.waist,
        "hip": made.body.hip,
        "block: half width": block.back.underarm.x + block.front.underarm.x,
        "block: armhole depth": block.back.centre_neck.y - block.back.underarm.y,
        "block: armhole": armhole_length(block.back) + armhole_length(block.front),
        "block: neckline": neckline_length(block),
        "back length to the waist": block.back.centre_neck.y,
        "side seam from the centre": plan.side_waist.x,
    }
    for edge in back.edges:
        if edge.role not in ("fold", "neckline"):
            values[edge.name] = edge_length(edge)
    values["back neckline"] = edge_length(edge_named(back, "neckline"))
    values["front neckline"] = edge_length(edge_named(front, "neckline"))
    values["area of back and front, dm²"] = sum(
        2 * seam_polygon(piece, 0.1).area / 1e4 for piece in (back, front)
    )
    return values


def growth_findings(growths: tuple[Growth, ...], sizes: tuple[str, ...]) -> tuple[Finding, ...]:
    """Whether each measure grows, or shrinks, all along the run; where not, at which size."""
    return tuple(_monotone(growth, sizes) for growth in growths)


def _monotone(growth: Growth, sizes: tuple[str, ...]) -> Finding:
    steps = growth.steps
    rising = growth.values[-1] >= growth.values[0]
    wrong = [
        number for number, step in enumerate(steps) if (step < -STEADY if rising else step > STEADY)
    ]
    way = "grows" if rising else "shrinks"
    finding = Finding(
        "fine",
        f"growth of {growth.measure}",
        f"{growth.values[0]:.1f} to {growth.values[-1]:.1f}",
        f"{way} from every size to the next",
    )
    if not wrong:
        return finding
    at = wrong[0]
    return replace(
        finding,
        severity="warning",
        measured=f"{steps[at]:+.1f} from {sizes[at]} to {sizes[at + 1]}",
        advice="Look at the nest there. A figure fixed for all sizes (sleeve, wrist_width) may be "
        "the cause: words such as sleeve_to follow each body; or measure again.",
    )
