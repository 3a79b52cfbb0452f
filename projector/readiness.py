"""What is there and what is missing before work at the table can begin."""

from __future__ import annotations

from datetime import datetime, timedelta

from drafting.finding import Finding

__all__ = [
    "MANY_DAYS", "calibration_age", "calibration_fits", "camera_found", "displays_found",
    "folder_found", "letters_found", "record_found", "search_found",
]  # fmt: skip

MANY_DAYS = 30
"""A calibration older than this is worth checking: mounts sag and tables are moved
(common practice, no source)."""


def displays_found(sizes: tuple[tuple[int, int], ...], chosen: int | None) -> Finding:
    """Whether there is a second display for the projector, and whether the chosen one is there."""
    shown = _numbered(sizes)
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
            f"display {chosen}, which was chosen",
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
            "warning",
            "calibration",
            "none",
            wanted,
            "Make one with calibrate, crosshairs or tape, or in the desk at Table; or name its "
            "record with --table.",
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


def record_found(path: str, fault: str, metre: float | None) -> Finding:
    """Whether a record reads, and how sure its map is: `metre` is the error of 1 m, mm."""
    wanted = "the record of a calibration"
    make = "Name another record with --table, or calibrate again."
    if fault:
        found = fault.partition("; wanted ")[0]  # it tells itself what was wanted
        return Finding("stop", "record", found, wanted, make)
    if metre is None:
        return Finding(
            "warning", "record", f"{path} does not say how sure it is", wanted, "Calibrate again."
        )
    return Finding("fine", "record", f"{path}: 1 m is right to ± {metre:.2f} mm", wanted)


def calibration_fits(
    made_for: tuple[int, int], sizes: tuple[tuple[int, int], ...], chosen: int | None
) -> Finding:
    """Whether a display, or the chosen one, still has the size the map was made for."""
    wanted = f"a display of {made_for[0]} x {made_for[1]}, as the map was made for"
    fits = [number for number, size in enumerate(sizes) if size == made_for]
    if chosen in fits or (chosen is None and fits):
        number = chosen if chosen is not None else fits[-1]
        return Finding("fine", "map and display", f"display {number} has its size", wanted)
    advice = (
        f"Light it with --display {fits[-1]}."
        if fits
        else "Set the projector to that size, or calibrate again at the size it has."
    )
    return Finding("warning", "map and display", _numbered(sizes), wanted, advice)


def _numbered(sizes: tuple[tuple[int, int], ...]) -> str:
    return ", ".join(f"{i}: {w} x {h}" for i, (w, h) in enumerate(sizes)) or "none"


def folder_found(what: str, place: str, fault: str) -> Finding:
    """Whether a folder takes files; `fault` is the system's word where it does not."""
    subject, wanted = f"folder of {what}", "a folder that takes files"
    if fault:
        advice = "Work in a folder of your own, or let this user write there."
        return Finding("warning", subject, f"{place}: {fault}", wanted, advice)
    return Finding("fine", subject, place, wanted)


def search_found(kept: bool) -> Finding:
    """Whether the inner loops of the search for short lays are compiled already."""
    wanted = "compiled before it is needed"
    if kept:
        return Finding("fine", "search for short lays", "compiled", wanted)
    return Finding(
        "note",
        "search for short lays",
        "not compiled yet",
        wanted,
        "The first search does it and takes a minute longer; run shearlight lay before the day.",
    )


def letters_found(missing: tuple[str, ...]) -> Finding:
    """Whether the letters of the desk are there."""
    wanted = "the letters that come with pygame_gui"
    if missing:
        return Finding(
            "stop", "letters", f"missing {', '.join(missing)}", wanted, "Install Shearlight again."
        )
    return Finding("fine", "letters", "found", wanted)
