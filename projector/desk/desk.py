"""The desk from opening to closing: settings, job, windows, loop."""

from __future__ import annotations

from pathlib import Path

import pygame

from projector.desk.areas import SMALLEST
from projector.desk.errands import Errands
from projector.desk.sessions import empty_session
from projector.desk.view import View, Wish, told
from projector.desk.window import DeskWindow
from projector.errors import ProjectorError
from projector.files.settings import read_settings
from projector.screen_size import parsed_size
from projector.settings import Settings
from projector.stage.applying import apply
from projector.stage.displays import displays_open
from projector.stage.loop import Window, run

__all__ = ["at_desk"]


def at_desk(
    job: Path | None = None,
    table: Path | None = None,
    display: int | None = None,
    size: str = "",
) -> str:
    """Work at the desk until it is closed; what could not be saved, if anything."""
    try:
        asked = parsed_size(size, "1280x800") if size else None
    except ProjectorError as error:
        raise ProjectorError(f"--window: {error}") from None
    fault = ""
    try:
        settings = read_settings()
    except ProjectorError as error:
        settings, fault = Settings(), f"settings: {error}"
    windows: list[Window] = []
    with displays_open():
        errands = Errands(settings, windows, table, display)
        session, view = empty_session(), told(View(), fault, "stop")
        if job is not None:
            view, commands = errands.done(Wish("open", job), view, session)
            for command in commands:
                session = apply(session, command)
        wide, high = asked or _fitting(pygame.display.get_desktop_sizes()[0])
        shown = (max(wide, SMALLEST[0]), max(high, SMALLEST[1]))
        windows.append(DeskWindow(errands, shown, view=view))
        try:
            session = run(session, windows, errands.keep)
        finally:
            fault = errands.close(session)
    return fault


def _fitting(display: tuple[int, int]) -> tuple[int, int]:
    """The usual size, or what a display leaves of it beside the frame of a window and a bar."""
    return min(1280, display[0]), min(800, display[1] - 80)
