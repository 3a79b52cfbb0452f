"""The stage: one window, full screen on the projector. It runs no loop of its own."""

from __future__ import annotations

import pygame

from calibration.table_map import TableMap
from projector.errors import ProjectorError
from projector.stage.canvas import drawn
from projector.stage.commands import CloseWindow, Command
from projector.stage.controls import Hand, controlled
from projector.stage.inputs import Closed, input_of
from projector.stage.picture import compose
from projector.stage.session import Session

__all__ = ["StageWindow"]


class StageWindow:
    """The window on the projector.

    Raises `ProjectorError` when the display is missing or is not the size the map was made for.
    """

    def __init__(self, table_map: TableMap, display: int = 0) -> None:
        sizes = pygame.display.get_desktop_sizes()
        if not 0 <= display < len(sizes):
            raise ProjectorError(f"display {display} is not connected; there are {len(sizes)}")
        if sizes[display] != table_map.screen_size:
            raise ProjectorError(
                f"display {display} is {sizes[display][0]} x {sizes[display][1]}, the map was "
                f"made for {table_map.screen_size[0]} x {table_map.screen_size[1]}; set the "
                "projector to that, or calibrate again"
            )
        place = pygame.WINDOWPOS_CENTERED | display
        self._window = pygame.Window("Shearlight stage", sizes[display], position=(place, place))
        self._window.set_fullscreen(desktop=True)
        self._map = table_map
        self._hand = Hand()
        self._shown: Session | None = None
        self._open = True

    @property
    def open(self) -> bool:
        """False once it has been closed."""
        return self._open

    @property
    def busy(self) -> bool:
        """True while a piece is dragged."""
        return self._hand.dragging

    @property
    def patience(self) -> float | None:
        """It waits for events alone."""
        return None

    def relight(self, table_map: TableMap) -> None:
        """Light through another map from now on."""
        self._map = table_map
        self._shown = None

    def hears(self, event: pygame.Event) -> bool:
        """Whether an event is the stage's, or nobody's."""
        return getattr(event, "window", None) in (None, self._window)

    def heard(self, event: pygame.Event, session: Session) -> tuple[Command, ...]:
        """What an event commands."""
        if event.type in (pygame.WINDOWEXPOSED, pygame.WINDOWRESIZED):
            self._shown = None
        done = input_of(event)
        if done is None:
            return ()
        if isinstance(done, Closed):
            return (CloseWindow(),)
        self._hand, commands = controlled(self._hand, done, session, self._map)
        return commands

    def turn(self, session: Session, elapsed: float) -> tuple[Command, ...]:
        """Nothing happens on the stage by itself."""
        return ()

    def show(self, session: Session) -> None:
        """Draw the session when it has changed."""
        if session is self._shown:
            return
        image = drawn(compose(session, self._map))
        pygame.surfarray.blit_array(self._window.get_surface(), image.swapaxes(0, 1))
        self._window.flip()
        self._shown = session

    def close(self) -> None:
        """Close the window."""
        self._open = False
        self._window.destroy()
