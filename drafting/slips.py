"""Slips of the tape or the pen: measurements that do not go together, with the likely mend."""

from __future__ import annotations

from drafting.body import RANGES, Body, measured
from drafting.finding import Finding
from drafting.survey import ESTIMATES, estimate

__all__ = ["slips"]

FAR = 4.0
"""Standard deviations beyond which a measurement is questioned: 1 in 15,000 of a normal law."""

NEAR = 2.5
"""Within so many standard deviations another reading of the same figure is the likely one."""

READINGS = (
    (2.54, "in", "typed as cm"),
    (1 / 2.54, "cm", "typed as in"),
    (10.0, "cm", "typed as mm"),
    (0.1, "mm", "typed as cm"),
    (0.5, "the half", "doubled by mistake"),
    (2.0, "the whole", "and only half of it measured"),
)


def slips(body: Body) -> tuple[Finding, ...]:
    """Warnings about measurements that do not go together; empty when all do.

    Estimated values are not questioned. Every measured value is compared with the survey's
    expectation for the bust and the height, and a few pairs with each other.
    """
    taken = measured(body)
    found = [f for name in taken for f in _unlike_the_survey(body, name)]
    questioned = {finding.subject for finding in found}
    found += [f for f in _pairs(body) if f.subject.split(" and ")[0] not in questioned]
    return tuple(found)


def _unlike_the_survey(body: Body, name: str) -> list[Finding]:
    if name not in ESTIMATES:
        return []
    value: float = getattr(body, name)
    expected, deviation = estimate(name, body.bust, body.height)
    # Tall, short, slim and large bodies lie off the regression by more than its spread.
    deviation = max(deviation, 0.05 * expected)
    if abs(value - expected) <= FAR * deviation:
        return []
    advice = "Measure again; if it stands, keep it."
    for factor, unit, slip in READINGS:
        other = value * factor
        low, high = RANGES[name]
        if low <= other <= high and abs(other - expected) <= NEAR * deviation:
            advice = f"It looks like {unit} {slip}: {other / 10:.1f} cm would be usual."
            break
    return [
        Finding(
            "warning",
            name,
            f"{value / 10:.1f} cm",
            f"about {expected / 10:.1f} cm for this bust and height",
            advice,
        )
    ]


def _pairs(body: Body) -> list[Finding]:
    taken = measured(body)
    found = []
    for larger, smaller, margin, advice in (
        ("across_back", "shoulder", None, "Measure the shoulder from the neck point to its tip."),
        ("bust", "waist", -150.0, "Are waist and bust exchanged, or the waist not its narrowest?"),
        ("hip", "waist", -150.0, "Are waist and hip exchanged?"),
        ("hand", "wrist", 0.0, "Are hand and wrist exchanged?"),
        ("upper_arm", "wrist", 0.0, "Are upper arm and wrist exchanged?"),
        ("bust", "across_back", 200.0, "Measure across the back only, from crease to crease."),
        ("bust", "across_chest", 200.0, "Measure across the chest only, from crease to crease."),
        ("head", "neck", 0.0, "Are head and neck exchanged?"),
    ):
        if larger not in taken and smaller not in taken:
            continue
        big, small = getattr(body, larger), getattr(body, smaller)
        bound = big / 2 if margin is None else big - margin
        if small > bound:
            half = "half of " if margin is None else ""
            found.append(
                Finding(
                    "warning",
                    f"{smaller} and {larger}",
                    f"{small / 10:.1f} cm",
                    f"at most {bound / 10:.1f} cm beside {half}{larger} {big / 10:.1f} cm",
                    advice,
                )
            )
    return found
