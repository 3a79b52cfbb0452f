"""The steps by which the plan is drawn, each with a sentence, its new lines and new points."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from drafting.armhole import armhole, block_neckline
from drafting.bodice import HalfBlock
from drafting.contour import has_curve, shared_edges
from drafting.curves import Line, Segment
from drafting.dolman import is_cap
from drafting.draft import Draft
from drafting.neck_figures import neck_figures
from drafting.neckline import neckline
from drafting.plane import Point, distance

__all__ = ["Chain", "Step", "plan_steps"]

Look = Literal["guide", "back", "front", "contour"]
Chain = tuple[Look, tuple[Segment, ...]]


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the construction.

    `sentence` names points of the plan in braces, which the plate writes as their numbers.
    `points` are the names of those that are new; `chains` the new lines.
    """

    title: str
    sentence: str
    points: tuple[str, ...] = ()
    chains: tuple[Chain, ...] = ()


def plan_steps(made: Draft) -> tuple[Step, ...]:
    """The steps from the two blocks to the finished contour, with the figures of this draft."""
    steps = [_blocks(made), _halfway(made), _range_of_lift(made), _lift(made)]
    if not is_cap(made.plan):
        steps.append(_wrist(made))
    steps.append(_corner(made))
    if not is_cap(made.plan):
        steps.append(_underarm(made))
    if has_curve(made.plan):
        steps.append(_curve(made))
    return (*steps, _hem(made), _neck(made))


def _through(*points: Point) -> tuple[Segment, ...]:
    return tuple(Line(a, b) for a, b in pairwise(points) if a != b)


def _cm(size: float) -> str:
    return f"{size / 10:.1f} cm".replace(".0 cm", " cm")


def _half(half: HalfBlock) -> tuple[Segment, ...]:
    centre = Point(0.0, 0.0)
    return (
        *_through(centre, half.side_waist, half.underarm),
        *armhole(half),
        *_through(half.shoulder_tip, half.neck_point),
        block_neckline(half),
        *_through(half.centre_neck, centre),
    )


def _blocks(made: Draft) -> Step:
    return Step(
        "The blocks",
        "Lay the front block on the back block, centre on centre and waist on waist.",
        chains=(("back", _half(made.block.back)), ("front", _half(made.block.front))),
    )


def _halfway(made: Draft) -> Step:
    level = made.plan.side_point.y
    return Step(
        "Points halfway",
        "Mark the points halfway between the two blocks: {neck_point} at the neck, {shoulder_tip} "
        "at the shoulder tip, {side_point} at the side on the bust line. Drawn from them, back "
        "and front share one contour and balance each other.",
        ("neck_point", "shoulder_tip", "side_point"),
        (("guide", _through(Point(0.0, level), made.plan.side_point)),),
    )


def _range_of_lift(made: Draft) -> Step:
    plan, style = made.plan, made.style
    return Step(
        "The lowest and the highest sleeve",
        f"From {{neck_point}} draw a line that passes {_cm(style.above_shoulder_tip)} above "
        f"{{shoulder_tip}}, and one square to the centre. On both measure shoulder and sleeve, "
        f"{_cm(distance(plan.neck_point, plan.highest_wrist))} together, to {{lowest_wrist}} "
        "and {highest_wrist}.",
        ("lowest_wrist", "highest_wrist"),
        (
            ("guide", _through(plan.neck_point, plan.lowest_wrist)),
            ("guide", _through(Point(0.0, plan.neck_point.y), plan.highest_wrist)),
        ),
    )


def _lift(made: Draft) -> Step:
    plan = made.plan
    return Step(
        "The lift",
        "Join {lowest_wrist} and {highest_wrist}. "
        f"{made.style.lift:.0%} of the way up lies {{overarm_wrist}}; the line to it from "
        f"{{neck_point}} is the overarm. Mark the shoulder {_cm(made.style.shoulder)} along it, "
        "at {shoulder}.",
        ("overarm_wrist", "shoulder"),
        (
            ("guide", _through(plan.lowest_wrist, plan.highest_wrist)),
            ("contour", _through(plan.neck_point, plan.overarm_wrist)),
        ),
    )


def _wrist(made: Draft) -> Step:
    plan = made.plan
    return Step(
        "Half the wrist",
        "Square down from the overarm at {overarm_wrist} by half the width of the sleeve's end, "
        f"{_cm(distance(plan.overarm_wrist, plan.squared_wrist))}, to {{squared_wrist}}.",
        ("squared_wrist",),
        (("guide", _through(plan.overarm_wrist, plan.squared_wrist)),),
    )


def _corner(made: Draft) -> Step:
    plan, style = made.plan, made.style
    level = Point(plan.side_waist.x, plan.side_point.y)
    bat = style.sleeve_kind == "bat"
    drop = (
        "down to the waist, where a bat sleeve begins, to {corner}"
        if bat
        else f"down by {_cm(style.underarm_drop)} to {{corner}}, the underarm point"
    )
    return Step(
        "The side",
        f"From {{side_point}} go out by {_cm(style.side_ease)} for ease and {drop}. "
        "The side runs straight down from there.",
        ("corner", "side_waist") if not bat else ("corner",),
        (("guide", _through(plan.side_point, level, plan.corner, plan.side_waist)),),
    )


def _underarm(made: Draft) -> Step:
    plan = made.plan
    wrist = next(edge for edge in shared_edges(plan, made.style) if edge.name == "wrist")
    return Step(
        "Underarm and wrist",
        "Draw the underarm from {corner} by {squared_wrist} and run it on to {underarm_wrist}, as "
        "far from where it would meet the overarm as {overarm_wrist} is. So one even curve is "
        "square to both seams.",
        ("underarm_wrist",),
        (("guide", _through(plan.corner, plan.underarm_wrist)), ("contour", wrist.segments)),
    )


def _curve(made: Draft) -> Step:
    plan = made.plan
    underarm = next(e for e in shared_edges(plan, made.style) if e.name == "underarm")
    return Step(
        "The underarm curve",
        f"Round the corner from {{curve_start}}, {_cm(distance(plan.corner, plan.curve_start))} "
        f"below it, to {{curve_end}}, {_cm(distance(plan.corner, plan.curve_end))} along it, "
        "without a bend at either end. A wide curve lets the arm move.",
        ("curve_start", "curve_end"),
        (("contour", underarm.segments),),
    )


def _hem(made: Draft) -> Step:
    plan = made.plan
    edges = [e for e in shared_edges(plan, made.style) if e.name in ("side", "hem")]
    flared = plan.side_hem.x > plan.side_waist.x + 0.5
    out = f", {_cm(plan.side_hem.x - plan.side_waist.x)} further out for flare" if flared else ""
    return Step(
        "Side and hem",
        f"Carry the side down to {{side_hem}}, {_cm(-plan.hem_centre.y)} below the waist{out}, "
        "and draw the hem square to the side and to the centre.",
        ("side_hem",),
        tuple(("contour", edge.segments) for edge in edges),
    )


def _neck(made: Draft) -> Step:
    figures = neck_figures(made.style)
    block, plan, style = made.block, made.plan, made.style
    level = [_lowered(figures.back_lower, "back"), _lowered(figures.front_lower, "front")]
    centre = [neckline(block, plan, style, half)[-1].end for half in ("back", "front")]
    top = max(centre, key=lambda point: point.y)
    return Step(
        "The necklines",
        f"Widen the neck by {_cm(figures.wider)} along the overarm, to {{neck_edge}}; "
        f"{level[0]} and {level[1]}. Draw both necklines square to the overarm, and to the "
        "centre unless they end in a point there.",
        ("neck_edge",),
        (
            ("back", neckline(block, plan, style, "back")),
            ("front", neckline(block, plan, style, "front")),
            ("contour", _through(top, plan.hem_centre)),
        ),
    )


def _lowered(by: float, half: str) -> str:
    return f"{'lower' if by >= 0.0 else 'raise'} it by {_cm(abs(by))} at the centre {half}"
