"""The draft's controls as rows: measurements and options with their values and bounds."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any, Literal

from drafting.body import implausible, measured
from drafting.errors import DraftingError
from drafting.lengths import body_length, sleeve_length, wrist_width
from drafting.measures import MEASURES, NEEDED
from drafting.style import CHOICES, PARTS, RANGES, Style
from drafting.survey import ESTIMATES, completed, estimated_body, spread
from drafting.units import signed_length, written_length
from projector.decimal_point import with_point
from projector.job import Job

__all__ = ["GROUPS", "Row", "changed_by_row", "reset_row", "rows_of"]

_GROUPED: dict[str, tuple[str, ...]] = {
    "sleeve": (
        "lift", "sleeve_kind", "sleeve_to", "sleeve", "wrist", "wrist_width", "wrist_measured",
        "shoulder", "above_shoulder_tip", "underarm_drop", "curve_reach",
    ),
    "neck": (
        "neckline", "neck_wider", "front_lower", "back_lower", "front_square", "back_square",
        "neck_stretch",
    ),
    "length": ("hem_to", "length", "side_ease", "flare", "side_rise", "waist_darts"),
    "edges": ("seam", "body_hem", "wrist_hem", "neck_allowance"),
}  # fmt: skip
GROUPS = ("body", *_GROUPED, "more")
"""The pages of controls; "more" holds every option that no other page names."""

_HELP = {
    "lift": "How high the sleeve is set: 0 hangs lowest, 1 is straight out. Low sits closer under "
    "the arm and lets it rise less; high lets it rise and drapes.",
    "sleeve_kind": "A dolman's underarm curves into the side seam; a bat sleeve runs to the waist.",
    "sleeve_to": "How far the sleeve reaches on the body's own arm, or as it is measured.",
    "wrist": "How wide the sleeve's end is drawn when no width is set.",
    "wrist_measured": "Across: squared to the overarm, as by hand. Around: along the finished end.",
    "neckline": "Its shape; the figures below are added to it.",
    "hem_to": "How far down it reaches on the body, or as it is measured.",
    "flare": "How much further out the hem stands than the waist, each quarter.",
    "side_rise": "How much higher the hem is at the side than at the centre.",
    "waist_darts": "Kept, they are marked on the pieces.",
    "sleeve": "From the shoulder tip along the overarm; as long as the arm unless it is set.",
    "wrist_width": "Whole width of the sleeve at its end; the hand and 3 cm unless it is set.",
    "side_ease": "How far the side seam lies outside the bodice block; four times this much is "
    "added around the body.",
    "above_shoulder_tip": "How far above the shoulder tip the lowest overarm passes.",
    "shoulder": "From the neck point along the overarm to the shoulder notch.",
    "underarm_drop": "How far below the bust line the underarm begins.",
    "curve_reach": "How far from its corner the underarm curve begins, on either side.",
    "length": "From the waist down to the hem.",
    "neck_wider": "How far the neckline is moved out along the overarm.",
    "front_lower": "How far the neckline is lowered at the centre front.",
    "back_lower": "How far the neckline is lowered at the centre back.",
    "neck_binding": "Finished width of a strip that binds the neckline.",
    "neck_facing": "Width of a facing inside the neckline.",
    "cuff": "Finished width of a cuff, added to the sleeve's length.",
    "hem_band": "Finished width of a waistband, added to the length.",
    "band_stretch": "Part by which bindings, cuffs and bands are stretched as they are sewn on.",
    "join": "A seam across the sleeve, this far from the neckline along the overarm, where the "
    "cloth is too narrow for the whole sleeve.",
    "gusset": "Sides of a diamond let in under the arm.",
    "neck_stretch": "Part by which the neckline's cloth stretches: 0.2 is a fifth.",
}


@dataclass(frozen=True, slots=True)
class Row:
    """One control. `key` is "body.bust" or "style.lift"; `value` is in mm, a part or a word.

    `spread` is the standard deviation of an estimate, mm, None for what was measured.
    `reset` tells what taking the value back would do; empty when there is nothing to take back.
    """

    key: str
    label: str
    kind: Literal["length", "part", "choice", "switch"]
    value: float | str | bool
    text: str
    low: float = 0.0
    high: float = 1.0
    step: float = 1.0
    choices: tuple[str, ...] = ()
    spread: float | None = None
    reset: str = ""
    help: str = ""


def rows_of(job: Job, wearer: int, group: str) -> tuple[Row, ...]:
    """The rows of a group, for one wearer where it is her body."""
    if group == "body":
        return tuple(_body_row(job, wearer, name) for name in MEASURES) if job.wearers else ()
    if group == "more":
        named = {name for names in _GROUPED.values() for name in names}
        names = tuple(field.name for field in fields(Style) if field.name not in named)
    else:
        known = {field.name for field in fields(Style)}
        names = tuple(name for name in _GROUPED[group] if name in known)
    rows = (_style_row(job, wearer, name) for name in names)
    return tuple(row for row in rows if row is not None)


_LABELS = {"above_shoulder_tip": "Above the tip", "wrist_measured": "Wrist taken"}


def _label(name: str) -> str:
    return _LABELS.get(name) or name.replace("_", " ").capitalize()


def _body_row(job: Job, wearer: int, name: str) -> Row:
    body, measure = job.wearers[wearer].body, MEASURES[name]
    value = getattr(body, name)
    estimated = name in body.estimated
    help_text = f"{measure.term}: {measure.where}."
    if estimated:
        help_text += (
            " Estimated from bust and height by a body survey; two people of three lie within the "
            "figure after the sign."
        )
    return Row(
        f"body.{name}",
        _label(name),
        "length",
        value,
        written_length(value, job.units),
        measure.low,
        measure.high,
        1.0,
        spread=spread(name) if estimated else None,
        reset="" if estimated or name not in ESTIMATES or name in NEEDED
        else "Estimate it from bust and height instead.",
        help=help_text,
    )  # fmt: skip


def _style_row(job: Job, wearer: int, name: str) -> Row | None:
    default = getattr(Style(), name)
    value = getattr(job.style, name)
    key, label, help_text = f"style.{name}", _label(name), _HELP.get(name, "")
    reset = "" if value == default else "Back to the usual."
    if name in CHOICES:
        return Row(key, label, "choice", value, str(value), choices=CHOICES[name], help=help_text)
    if isinstance(default, bool):
        return Row(key, label, "switch", value, "yes" if value else "no", help=help_text)
    if name not in RANGES:
        return None
    low, high = RANGES[name]
    if name in PARTS:
        return Row(key, label, "part", value, f"{value:.2f}", low, high, 0.01,
                   reset=reset, help=help_text)  # fmt: skip
    if value is None and name not in _OPEN:
        return Row(key, label, "length", low, "none", low, high, 1.0,
                   help=f"{help_text} None unless a length is set.")  # fmt: skip
    value = _in_use(job, wearer, name, value, (low + high) / 2)
    value = min(high, max(low, value))
    return Row(key, label, "length", value, written_length(value, job.units), low, high, 1.0,
               reset=reset, help=help_text)  # fmt: skip


_OPEN = {"sleeve": sleeve_length, "length": body_length, "wrist_width": wrist_width}
"""Lengths that follow from the body where they are left open; others left open are left out."""


def _in_use(job: Job, wearer: int, name: str, value: float | None, usual: float) -> float:
    """What a length comes to for a wearer, where a word stands for it or it is left open."""
    found = _OPEN.get(name)
    if found is None or not job.wearers or (name == "wrist_width" and value is not None):
        return usual if value is None else value
    return found(job.wearers[wearer].body, job.style)


def changed_by_row(job: Job, wearer: int, key: str, value: float | str) -> Job:
    """The job with a control's new value; text is read as a length in the job's unit.

    Raises `DraftingError` where the value is none; the job that was given stays good.
    """
    part, _, name = key.partition(".")
    if part == "style" and name in CHOICES:
        return _with_option(job, name, value)
    if part == "style" and isinstance(getattr(job.style, name), bool):
        return _with_option(job, name, not getattr(job.style, name))
    if part == "style" and getattr(Style(), name) is None and value in ("", "none"):
        return _with_option(job, name, None)
    number = _number(value, "" if part == "style" and name in PARTS else job.units)
    if part == "style":
        word = {"sleeve": "sleeve_to", "length": "hem_to"}.get(name)
        if word is not None:  # a length that is set counts, not the word for it
            job = _with_option(job, word, "measured")
        return _with_option(job, name, number)
    fault = implausible(name, number)
    if fault:
        raise DraftingError(f"{_label(name)}: {fault}")
    known = measured(job.wearers[wearer].body)
    return _with_body(job, wearer, {**known, name: number})


def reset_row(job: Job, wearer: int, key: str) -> Job:
    """The job with an option as usual, or a measurement estimated again."""
    part, _, name = key.partition(".")
    if part == "style":
        return _with_option(job, name, getattr(Style(), name))
    known = measured(job.wearers[wearer].body)
    return _with_body(job, wearer, {kept: size for kept, size in known.items() if kept != name})


def _with_option(job: Job, name: str, value: Any) -> Job:
    return replace(job, style=replace(job.style, **{name: value}))


def _with_body(job: Job, wearer: int, known: dict[str, float]) -> Job:
    wearers = list(job.wearers)
    # Of a standard size bust and height alone are known.
    standard = {"waist", "hip"} & set(wearers[wearer].body.estimated)
    body = completed(known) if standard else estimated_body(known)
    wearers[wearer] = replace(wearers[wearer], body=body)
    return replace(job, wearers=tuple(wearers))


def _number(value: float | str, unit: str) -> float:
    if not isinstance(value, str):
        return value
    if unit:
        return signed_length(with_point(value.replace("±", " ").strip()), unit)
    try:
        return float(value.replace(",", "."))
    except ValueError:
        raise DraftingError(f"{value!r} is not a number such as 0.4") from None
