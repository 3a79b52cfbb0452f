"""What is remembered between jobs on this computer."""

from __future__ import annotations

from dataclasses import dataclass, replace

from projector.errors import ProjectorError

__all__ = ["LAST_DEVICE", "THEMES", "Settings", "with_recent"]

THEMES = ("light", "dark")
LAST_DEVICE = 63
"""The highest number of a display or a camera that is looked for."""
_REMEMBERED = 12


@dataclass(frozen=True, slots=True)
class Settings:
    """Choices that belong to this computer, not to a job.

    Parameters
    ----------
    display
        Number of the display the projector is, from 0; None until one was chosen.
    camera
        Number of the camera, from 0; None for photographs from files.
    table
        Path of the calibration record in use; empty for none.
    theme
        Colours of the worker's own screen.
    recent
        Paths of the jobs opened last, newest first.
    """

    display: int | None = None
    camera: int | None = None
    table: str = ""
    theme: str = "light"
    recent: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for name in ("display", "camera"):
            value = getattr(self, name)
            if value is not None and not 0 <= value <= LAST_DEVICE:
                raise ProjectorError(f"{name} {value} is not from 0 to {LAST_DEVICE}")
        if self.theme not in THEMES:
            raise ProjectorError(f"theme {self.theme!r} is not one of {', '.join(THEMES)}")


def with_recent(settings: Settings, path: str) -> Settings:
    """The settings with this job first among the recent ones."""
    others = tuple(known for known in settings.recent if known != path)
    return replace(settings, recent=(path, *others)[:_REMEMBERED])
