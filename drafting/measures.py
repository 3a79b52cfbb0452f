"""The measurements of a body: what each is called, where it is taken, what a person's can be.

Terms and their numbers are those of ISO 8559-1:2017 where a number stands beside them; the
others are the trade's words, from memory. Ranges are in mm, for adults, and wider on both sides
than the 1st to 99th centiles of ANSUR II (Gordon et al. 2014, NATICK/TR-15/007), women and men,
where it holds the measurement.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["MEASURES", "NEEDED", "Measure"]


@dataclass(frozen=True, slots=True)
class Measure:
    """One measurement: its term, where it is taken, and the plausible range in mm."""

    term: str
    where: str
    low: float
    high: float


MEASURES: dict[str, Measure] = {
    "bust": Measure(
        "bust girth",
        "around the fullest part of the bust, the tape level, over the underwear worn with it",
        600.0,
        1700.0,
    ),
    "waist": Measure(
        "waist girth",
        "around the natural waist, where a string tied around settles; breathe out, do not pull",
        450.0,
        1700.0,
    ),
    "hip": Measure(
        "hip girth",
        "around the fullest part of the seat, the tape level, feet together",
        600.0,
        1800.0,
    ),
    "height": Measure(
        "stature",
        "from the floor to the top of the head, barefoot, back against a wall",
        1200.0,
        2200.0,
    ),
    "neck": Measure(
        "neck base girth (ISO 8559-1, 5.3.3)",
        "around the root of the neck: over the nape, both neck points and the hollow at the "
        "front, as a fine chain lies",
        280.0,
        520.0,
    ),
    "nape_to_waist": Measure(
        "back waist length",
        "from the nape (the bone that stands out on a bowed neck) down the back to the waist",
        300.0,
        560.0,
    ),
    "front_to_waist": Measure(
        "front waist length from the neck point",
        "from the neck point, where neck and shoulder meet, over the bust point down to the waist",
        300.0,
        650.0,
    ),
    "shoulder": Measure(
        "shoulder length",
        "from the neck point along the shoulder to its tip, the outer end of the shoulder bone",
        90.0,
        200.0,
    ),
    "across_back": Measure(
        "across back width",
        "straight across the back between the creases where the arms join it, arms hanging",
        260.0,
        580.0,
    ),
    "across_chest": Measure(
        "across front width",
        "straight across the chest between the creases where the arms join it, arms hanging",
        230.0,
        560.0,
    ),
    "armscye_depth": Measure(
        "scye depth",
        "from the nape down the middle of the back to the upper edge of a strip of paper held "
        "level under the arms",
        130.0,
        320.0,
    ),
    "bust_depth": Measure(
        "neck point to bust point",
        "from the neck point down to the bust point",
        180.0,
        480.0,
    ),
    "bust_span": Measure(
        "bust point width",
        "straight across between the two bust points",
        120.0,
        360.0,
    ),
    "arm": Measure(
        "arm length",
        "from the shoulder tip over the slightly bent elbow to the wrist bone",
        400.0,
        750.0,
    ),
    "upper_arm": Measure(
        "upper-arm girth (ISO 8559-1, 5.3.16)",
        "around the fullest part of the upper arm, the arm hanging",
        190.0,
        560.0,
    ),
    "wrist": Measure("wrist girth", "around the wrist, over its bone", 110.0, 240.0),
    "hand": Measure(
        "hand girth",
        "around the knuckles with the thumb laid in, as the hand goes through a sleeve",
        140.0,
        280.0,
    ),
    "head": Measure(
        "head girth",
        "around the brow and the most backward part of the head",
        480.0,
        660.0,
    ),
}
"""Every measurement by its name in a job file."""

NEEDED = ("bust", "waist", "hip", "height")
"""What must be measured; the rest can be estimated from these."""
