"""A whole job told whether its pieces fit the cloth, with what would make them fit."""

import re
from dataclasses import replace

from drafting.style import Style
from drafting.survey import estimated_body
from projector.cloth.cloth import Cloth
from projector.job import Job, Wearer
from projector.job_checks import job_findings

BODY = estimated_body({"bust": 920.0, "waist": 760.0, "hip": 1000.0, "height": 1650.0})


def width_findings(job: Job) -> list[tuple[str, str, str]]:
    return [
        (f.severity, f.measured, f.advice)
        for _, found in job_findings(job)
        for f in found
        if "width of the cloth" in f.subject
    ]


def test_the_advice_on_a_long_sleeve_and_folded_cloth_holds() -> None:
    # 150 cm, folded, is a usual width (from memory); a full sleeve at half lift is wider.
    job = Job("long", (Wearer("M", BODY),), Style(), (Cloth(width=1500.0, folded=True),))
    found = width_findings(job)
    assert [severity for severity, _, _ in found] == ["warning", "warning"]
    sleeve = re.search(r"shorten the sleeve to ([\d.]+) cm", found[0][2], re.IGNORECASE)
    assert sleeve is not None
    mended = replace(job, style=Style(sleeve=10 * float(sleeve[1])))
    assert [severity for severity, _, _ in width_findings(mended)] == ["fine", "fine"]


def test_shrinkage_leaves_less_width() -> None:
    cloth = Cloth(width=1500.0, folded=True)
    style = Style(sleeve=500.0)
    fits = width_findings(Job("j", (Wearer("M", BODY),), style, (cloth,)))
    shrunk = replace(cloth, shrinkage_across=0.07)
    tight = width_findings(Job("j", (Wearer("M", BODY),), style, (shrunk,)))
    assert fits[0][0] == "fine" and tight[0][0] == "warning"
