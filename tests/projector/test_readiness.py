"""What is told missing before work begins."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from projector.readiness import calibration_age, camera_found, displays_found

NOW = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("sizes", "chosen", "severity"),
    [
        ((), None, "stop"),
        (((1920, 1080),), None, "warning"),
        (((1920, 1080), (1280, 800)), None, "fine"),
        (((1920, 1080), (1280, 800)), 1, "fine"),
        (((1920, 1080), (1280, 800)), 2, "warning"),
    ],
)
def test_displays(sizes: tuple[tuple[int, int], ...], chosen: int | None, severity: str) -> None:
    finding = displays_found(sizes, chosen)
    assert finding.severity == severity
    assert bool(finding.advice) == (severity != "fine")


@pytest.mark.parametrize(
    ("days", "severity"), [(0, "fine"), (29, "fine"), (45, "warning"), (-2, "warning")]
)
def test_age_of_the_calibration(days: int, severity: str) -> None:
    assert calibration_age(NOW - timedelta(days=days), NOW).severity == severity
    assert calibration_age(None, NOW).severity == "warning"


def test_camera() -> None:
    assert camera_found(None, 0).severity == "note"
    assert "1280 x 720" in camera_found((1280, 720), 1).measured
