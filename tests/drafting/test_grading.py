"""A run of sizes: what grows, by how much, and what a run that does not grow is told."""

from dataclasses import replace

import pytest

from drafting.errors import DraftingError
from drafting.grading import Growth, graded, growth_findings, growth_of, run_of_sizes
from drafting.sizes import BUST_CLASSES_CM
from drafting.style import Style


@pytest.mark.parametrize("height", [160, 168, 176])
@pytest.mark.parametrize("style", [Style(), Style(neckline="v", hem_to="tunic", flare=40.0)])
def test_a_run_of_standard_sizes_grows_all_along(height: int, style: Style) -> None:
    run = run_of_sizes(BUST_CLASSES_CM, height)
    growths = growth_of(graded(style, run))
    # Seams that shorten as the taper steepens do so all along the run.
    assert {f.severity for f in growth_findings(growths, tuple(run))} == {"fine"}
    by_name = {growth.measure: growth for growth in growths}
    # By the method's own rules, per 40 mm of bust: half width B/2, armhole depth B/8.
    steps = by_name["block: half width"].steps[:7]
    assert steps == pytest.approx([20.0] * 7)
    assert by_name["block: armhole depth"].steps[:7] == pytest.approx([5.0] * 7)


def test_a_size_that_falls_back_is_found() -> None:
    run = run_of_sizes((84, 88, 92), 168)
    run["88/168"] = replace(run["88/168"], arm=480.0)
    findings = {f.subject: f for f in growth_findings(growth_of(graded(Style(), run)), tuple(run))}
    overarm = findings["growth of overarm"]
    assert overarm.severity == "warning" and "84/168 to 88/168" in overarm.measured
    assert findings["growth of block: half width"].severity == "fine"


def test_growth_is_the_difference_from_size_to_size() -> None:
    assert Growth("hem", (1.0, 3.0, 4.5)).steps == (2.0, 1.5)


def test_what_is_no_standard_size_is_named() -> None:
    with pytest.raises(DraftingError, match="93/168"):
        run_of_sizes((93,), 168)
    with pytest.raises(DraftingError, match="at least one"):
        run_of_sizes((), 168)
    with pytest.raises(DraftingError, match="size 92/168"):
        graded(Style(neck_wider=110.0, shoulder=100.0), run_of_sizes((92,), 168))
