"""What is there and what is missing before work at the table can begin."""

from __future__ import annotations

from datetime import datetime, timedelta

from drafting.finding import Finding

__all__ = ["MANY_DAYS", "calibration_age", "camera_found", "displays_found"]

MANY_DAYS = 30
"""A calibration older than this is worth checking: mounts sag and tables are moved
(common practice, no source)."""


def displays_found(sizes: tuple[tuple[int, int], ...], chosen: int | None) -> Finding:
    """Whether there is a second display for the projector, and whether the chosen one is there."""
    shown = ", ".join(f"{i}: {w} x {h}" for i, (w, h) in enumerate(sizes)) or "none"
    wanted = "your own screen and the projector"
    if not sizes:
        return Finding(
            "stop", "displays", shown, wanted, "Connect a screen, or start from the desktop."
        )
    if chosen is not None and chosen >= len(sizes):
        return Finding(
            "warning",
            "displays",
            shown,
            f"display {chosen}, as chosen before",
            "Switch the projector on and connect it, or choose another display with --display.",
        )
    if len(sizes) == 1:
        return Finding(
            "warning",
            "displays",
            shown,
            wanted,
            "Connect the projector and set it to extend the desktop, not to mirror it.",
        )
    return Finding("fine", "displays", shown, wanted)


def camera_found(size: tuple[int, int] | None, number: int) -> Finding:
    """Whether a camera answered, with the picture size it gave."""
    if size is None:
        return Finding(
            "note",
            f"camera {number}",
            "does not answer",
            "a camera, or photographs from a phone",
            "Connect one, or take photographs with a phone and give their files to calibrate.",
        )
    return Finding("fine", f"camera {number}", f"{size[0]} x {size[1]} pixels", "a picture")


def calibration_age(made: datetime | None, now: datetime) -> Finding:
    """Whether there is a calibration and how old it is. Both times carry a zone."""
    wanted = f"one not older than {MANY_DAYS} days"
    if made is None:
        return Finding(
            "warning", "calibration", "none", wanted, "Make one: see shearlight calibrate --help."
        )
    age = now - made
    if age < timedelta(minutes=-5):
        return Finding(
            "warning",
            "calibration",
            f"dated {made:%Y-%m-%d %H:%M}, in the future",
            wanted,
            "Set the computer's clock; then check the scale on the table before cutting.",
        )
    days = max(age.days, 0)
    measured = "made today" if days == 0 else f"{days} days old"
    if days > MANY_DAYS:
        return Finding(
            "warning",
            "calibration",
            measured,
            wanted,
            "Measure a lit 1000 mm line with a tape; calibrate again if it is off.",
        )
    return Finding("fine", "calibration", measured, wanted)
