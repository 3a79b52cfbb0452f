"""What each lift costs and gives: width and length of cloth, and how far the hem rises."""

from __future__ import annotations

from dataclasses import dataclass, replace

from drafting.cloth_width import reach_of
from drafting.draft import draft
from drafting.drawing import Drawing
from drafting.errors import DraftingError
from drafting.movement import rise_over_lift
from drafting.plots import Series, plot
from projector.cloth.autolayout import arrange
from projector.cloth.yardage import used_length
from projector.errors import ProjectorError
from projector.job import Job, Wearer, layout_of, pieces_of

__all__ = ["LIFTS", "LiftChoice", "lift_choices", "movement_plot", "yardage_plot"]

LIFTS = (0.0, 0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875, 1.0)
ANGLES_DEG = (45.0, 60.0, 75.0, 90.0)


@dataclass(frozen=True, slots=True)
class LiftChoice:
    """One lift: half width the pieces need, length of cloth, hem rise by `ANGLES_DEG`, mm.

    `length` is None where the pieces do not fit the cloth at this lift.
    """

    lift: float
    reach: float
    length: float | None
    rises: tuple[float, ...]


def lift_choices(job: Job, wearer: Wearer, budget: int = 3) -> tuple[LiftChoice, ...]:
    """The style of the job at each of `LIFTS` for one wearer, alone on the job's first cloth.

    `budget` is that of the automatic lay. A lift at which the style cannot be drafted is left
    out. Raises `DraftingError` where there is none left.
    """
    alone = replace(job, wearers=(wearer,), pieces=(), lays=())
    choices = []
    fault: DraftingError | None = None
    for lift in LIFTS:
        style = replace(job.style, lift=lift)
        try:
            made = draft(wearer.body, style, wearer.name, wearer.block)
        except DraftingError as error:
            fault = error
            continue
        reach = max(reach_of(p) for p in made.pieces if p.fold_edge is not None)
        (rises,) = rise_over_lift(wearer.body, made.block, style, (lift,), ANGLES_DEG)
        lifted = replace(alone, style=style)
        choices.append(LiftChoice(lift, reach, _length(lifted, budget), rises))
    if not choices and fault is not None:
        raise fault
    return tuple(choices)


def _length(job: Job, budget: int) -> float | None:
    try:
        return used_length(arrange(layout_of(job, pieces_of(job)), 0, budget))
    except ProjectorError:
        return None


def movement_plot(choices: tuple[LiftChoice, ...], title: str, lift: float) -> Drawing:
    """Hem rise in mm over lift, a line for each angle of the arm; the style's lift is marked."""
    series = [
        Series(
            f"arm at {angle:.0f} degrees",
            tuple((choice.lift, choice.rises[number]) for choice in choices),
        )
        for number, angle in enumerate(ANGLES_DEG)
    ]
    return plot(
        title, "lift: 0 lowest useful, 1 horizontal", "hem rises, mm (estimate)", series, lift
    )


def yardage_plot(choices: tuple[LiftChoice, ...], title: str, lift: float) -> Drawing:
    """Length of cloth in cm over lift, of those lifts that fit its width.

    Raises `DraftingError` where none does.
    """
    points = tuple((c.lift, c.length / 10) for c in choices if c.length is not None)
    if not points:
        raise DraftingError("style.lift: no lift fits the width of the cloth; shorten the sleeve")
    series = [Series("length", points)]
    return plot(title, "lift: 0 lowest useful, 1 horizontal", "cloth, cm", series, lift)
