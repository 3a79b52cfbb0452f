"""What can be told of a cloth, as lines to type into and switches."""

from __future__ import annotations

import math
from dataclasses import replace

from drafting.errors import DraftingError
from drafting.units import parsed_length, written_length
from projector.cloth.cloth import Cloth
from projector.decimal_point import with_point
from projector.errors import ProjectorError
from projector.job import Job

__all__ = ["ANGLES", "LENGTHS", "PARTS", "PHASES", "SWITCHES", "cloth_text", "with_cloth_value"]

LENGTHS = {
    "width": ("Width", "Selvage to selvage, opened out"),
    "length": ("Length", "What there is of it; empty for as much as is needed"),
    "selvage": ("Selvage", "Strip along each selvage that is not used"),
    "buffer": ("Apart", "Least distance between two pieces; 0 lets them touch"),
    "repeat_along": ("Repeat along", "Stripe or check repeat along the selvage; 0 for none"),
    "repeat_across": ("Repeat across", "Stripe or check repeat across; 0 for none"),
}
PARTS = {
    "shrinkage_along": ("Shrinks along", "Part still to be lost in the wash, such as 3 %"),
    "shrinkage_across": ("Shrinks across", "Part still to be lost in the wash, such as 3 %"),
}
ANGLES = {
    "tilt": ("Tilt", "How far a piece may be turned off the grain to save cloth, such as 2 deg"),
}
PHASES = {
    "phase_along": ("First stripe along", "From the cut end to the middle of the first stripe"),
    "phase_across": ("First stripe across", "From the fold or the near edge to the first stripe"),
}
SWITCHES = {
    "folded": ("Folded", "Lengthwise, selvage on selvage: pieces are cut through two layers"),
    "one_way": ("One way", "A nap or a one-way print: every piece points the same way"),
}


def cloth_text(cloth: Cloth, name: str, units: str) -> str:
    """A value of the cloth as the worker reads it."""
    value = getattr(cloth, name)
    if value is None:
        return ""
    if name in PARTS:
        return f"{100 * value:g} %"
    if name in ANGLES:
        return f"{math.degrees(value):.3g} deg"
    return written_length(value, units) if value else "0"


def with_cloth_value(job: Job, cloth: str, name: str, text: str) -> Job:
    """The job with one value of a cloth changed; a switch is turned over.

    Raises `DraftingError` or `ProjectorError` where the value is none.
    """
    known = next(each for each in job.cloths if each.name == cloth)
    value: float | bool | str | None
    if name == "colour":
        value = text
    elif name in SWITCHES:
        value = not getattr(known, name)
    elif name in PARTS:
        try:
            value = float(text.replace("%", "").replace(",", ".").strip() or "0") / 100
        except ValueError:
            raise ProjectorError(f"{PARTS[name][0]}: {text!r} is not a part such as 3 %") from None
    elif name in ANGLES:
        try:
            degrees = float(text.replace("deg", "").replace(",", ".").strip() or "0")
        except ValueError:
            raise ProjectorError(f"{ANGLES[name][0]}: {text!r} is not an angle as 2 deg") from None
        value = math.radians(degrees)
    elif name == "length" and not text.strip():
        value = None
    else:
        try:
            value = parsed_length(with_point(text.strip()) or "0", job.units)
        except DraftingError as error:
            raise ProjectorError(f"{(LENGTHS | PHASES)[name][0]}: {error}") from error
    changed = replace(known, **{name: value})  # type: ignore[arg-type]
    cloths = tuple(changed if each is known else each for each in job.cloths)
    return replace(job, cloths=cloths)
