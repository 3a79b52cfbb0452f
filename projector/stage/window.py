"""The stage: one window, full screen on the projector. It runs no loop of its own."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace

import numpy as np
import pygame

from calibration.table_map import TableMap
from projector.errors import ProjectorError
from projector.stage.canvas import Canvas
from projector.stage.commands import AcceptCalibration, CloseWindow, Command, Tell, Trouble
from projector.stage.composition import Composer
from projector.stage.controls import Hand, controlled
from projector.stage.displays import displays_now
from projector.stage.handset import Handset, deflected, handled, steered
from projector.stage.inputs import Closed, KeyPressed
from projector.stage.pads import Pads
from projector.stage.screens import Screens, as_they_were, seen_size, trouble_with
from projector.stage.session import Session

__all__ = ["StageWindow"]

_SCREENS_CHANGED = (
    pygame.WINDOWDISPLAYCHANGED, pygame.WINDOWMOVED, pygame.WINDOWRESIZED,
    pygame.WINDOWSIZECHANGED,
)  # fmt: skip
LOOK = 1.0
"""Seconds between two looks at which displays are connected."""
FRAME = 1.0 / 60.0
POINTER = 33


class StageWindow:
    """The window on the projector.

    With `fills` false it is a plain window of the map's size on the worker's own screen, to try
    things out; what it shows is then at no true scale.

    Raises `ProjectorError` when the display is missing or is not the size the map was made for.
    """

    def __init__(self, table_map: TableMap, display: int = 0, fills: bool = True) -> None:
        sizes = tuple((w, h) for w, h in pygame.display.get_desktop_sizes())
        if not 0 <= display < len(sizes):
            raise ProjectorError(f"display {display} is not connected; there are {len(sizes)}")
        if fills and sizes[display] != table_map.screen_size:
            others = [number for number, size in enumerate(sizes) if size == table_map.screen_size]
            choose = f"choose display {others[-1]}, which has that size, " if others else ""
            raise ProjectorError(
                f"display {display} is {sizes[display][0]} x {sizes[display][1]}, the map was "
                f"made for {table_map.screen_size[0]} x {table_map.screen_size[1]}; {choose}"
                f"{'or ' if others else ''}set the projector to that, or calibrate again"
            )
        place = pygame.WINDOWPOS_CENTERED | display
        size = table_map.screen_size
        self._window = pygame.Window("Shearlight stage", size, position=(place, place))
        if fills:
            self._window.set_fullscreen(desktop=True)
        self._fills = fills
        self._begun = Screens(sizes, display, self._window.size)
        self._on: int | None = None
        self._seen = self._window.size
        self._map = table_map
        self._hand = Hand()
        self._handset = Handset()
        self._pads = Pads()
        self._composer = Composer()
        self._canvas: Canvas | None = None
        self._shown: Session | None = None
        self._since_look = 0.0
        self._astray = False
        self._open = True

    @property
    def open(self) -> bool:
        """False once it has been closed."""
        return self._open

    @property
    def busy(self) -> bool:
        """True while something is dragged or a stick is pushed."""
        return bool(self._hand.grip) or deflected(self._handset)

    @property
    def patience(self) -> float | None:
        """A frame while a stick is pushed; otherwise until the displays are looked at again."""
        return FRAME if deflected(self._handset) else LOOK

    def hears(self, event: pygame.Event) -> bool:
        """Whether an event is the stage's, or nobody's."""
        return getattr(event, "window", None) in (None, self._window)

    def heard(self, event: pygame.Event, session: Session) -> tuple[Command, ...]:
        """What an event commands."""
        if event.type in (pygame.WINDOWEXPOSED, pygame.WINDOWRESIZED, pygame.WINDOWSIZECHANGED):
            self._canvas, self._shown = None, None
        elif event.type == pygame.WINDOWENTER:
            _point(_crosshair())
        elif event.type == pygame.WINDOWLEAVE:
            _point(pygame.SYSTEM_CURSOR_ARROW)
        if event.type in _SCREENS_CHANGED:
            self._on = getattr(event, "display_index", self._on)
            return self._looked(session)
        if told := self._pads.changed(event):
            self._handset = Handset()
            return (Tell(told),)
        done = self._pads.input_of(event)
        if done is None:
            return ()
        if isinstance(done, Closed):
            return (CloseWindow(),)
        if session.trouble:
            if done == KeyPressed("q"):
                return (CloseWindow(),)
            if isinstance(done, KeyPressed) and done.key == "return":
                self._begun = self._screens()
            return self._looked(session)
        self._hand, commands = controlled(self._hand, done, session, self._map)
        self._handset, more = handled(self._handset, done, session, self._map)
        commands = (*commands, *more)
        if AcceptCalibration() in commands:
            return (*commands, CloseWindow())
        return commands

    def turn(self, session: Session, elapsed: float) -> tuple[Command, ...]:
        """Sticks that are pushed move the piece; the displays are looked at every second."""
        commands: tuple[Command, ...] = ()
        self._since_look += elapsed
        if self._since_look >= 0.9 * LOOK:
            self._since_look = 0.0
            commands = self._looked(session)
        if deflected(self._handset) and not session.trouble:
            commands += steered(self._handset, session, elapsed)
        return commands

    def show(self, session: Session) -> None:
        """Draw what has changed of the session."""
        if session is self._shown:
            return
        surface = self._window.get_surface()
        if session.trouble or surface.get_size() != self._map.screen_size:
            # Never through a map made for another screen; words alone are shown, plainly.
            self._canvas = None  # it holds the pixels fast
            _tell(surface, session.trouble, self._seen)
            self._window.flip()
        else:
            if self._canvas is None:
                pixels = np.asarray(surface.get_view("2")).T.view(np.uint8)
                self._canvas = Canvas(pixels.reshape(*surface.get_size()[::-1], 4))
            if self._canvas.draw(self._composer.picture(session, self._map)):
                self._window.flip()
        self._shown = session

    def close(self) -> None:
        """Close the window; closing it twice does no harm."""
        if self._open:
            self._open = False
            self._canvas = None
            self._window.destroy()

    def _screens(self) -> Screens:
        sizes = tuple((w, h) for w, h in pygame.display.get_desktop_sizes())
        return Screens(
            sizes, self._begun.display, self._window.size, self._on, self._window.position,
            displays_now(),
        )  # fmt: skip

    def _put_back(self) -> None:
        """Fill the projector again: systems move a window away when its display is unplugged."""
        place = pygame.WINDOWPOS_CENTERED | self._begun.display
        self._window.set_windowed()
        self._window.position = (place, place)
        self._window.set_fullscreen(desktop=True)

    def _looked(self, session: Session) -> tuple[Command, ...]:
        if not self._fills:
            return ()
        now = self._screens()
        if self._astray and as_they_were(self._begun, now):
            self._put_back()
            now = self._screens()
        self._astray = not as_they_were(self._begun, now)
        if self._begun.place is None and self._shown is not None:  # by now it lies where it stays
            self._begun = replace(self._begun, place=now.place, asked=now.asked)
        self._seen = seen_size(self._begun, now)
        words = trouble_with(self._begun, now, self._map.screen_size)
        if words == session.trouble:
            return ()
        self._hand, self._handset = Hand(), Handset()
        return (Trouble(words),)


def _point(cursor: pygame.Cursor | int) -> None:
    with suppress(pygame.error):  # a system without shapes for its pointer keeps the one it has
        pygame.mouse.set_cursor(cursor)


def _crosshair() -> pygame.Cursor:
    """A pointer that is seen from arm's length: a ring with a cross, open in the middle."""
    middle = POINTER // 2
    shape = pygame.Surface((POINTER, POINTER), pygame.SRCALPHA)
    for colour, width in (((0, 0, 0), 4), ((255, 255, 255), 2)):
        pygame.draw.circle(shape, colour, (middle, middle), 10, width)
        for x, y in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            ends = [(middle + x * reach, middle + y * reach) for reach in (4, middle)]
            pygame.draw.line(shape, colour, ends[0], ends[1], width)
    return pygame.Cursor((middle, middle), shape)


def _tell(surface: pygame.Surface, words: str, seen: tuple[int, int]) -> None:
    """Words in the middle of a screen that no map is known for; `seen` is what of it is shown."""
    surface.fill((0, 0, 0))
    wide, high = min(seen[0], surface.get_width()), min(seen[1], surface.get_height())
    font = pygame.font.Font(None, max(16, high // 18))
    text = font.render(f"No piece is lit.\n{words}", True, (255, 255, 255), None, wide * 4 // 5)
    place = text.get_rect(center=(wide // 2, high // 2))
    surface.blit(text, place)
