"""The desk: the window on the worker's own screen. It runs no loop of its own (`stage.loop`)."""

from __future__ import annotations

import time
from dataclasses import replace
from functools import reduce
from typing import Any

import pygame

from projector.desk.areas import SMALLEST, Frame, framed
from projector.desk.controls import Figure, Item, Panel, Progress, Used, Words
from projector.desk.desk_page import page_items, page_used
from projector.desk.errands import Errands
from projector.desk.lettering import broken, line_height, written
from projector.desk.painters import painted
from projector.desk.palette import LETTERS_PX, Colour, Palette, palette_named
from projector.desk.pointing import figure_keyed, figure_pointed
from projector.desk.view import PLACES, Known, Outcome, View, Wish
from projector.desk.widgets import Widgets
from projector.stage.applying import apply
from projector.stage.commands import Command, Quit, Redo, Undo
from projector.stage.session import Session

__all__ = ["DeskWindow"]

_SETTLING = 0.25
"""Seconds after the latest input in which the widgets may still change by themselves."""
_RESTING = 1.2
"""Seconds until a resting pointer has been told what a control is for."""


class DeskWindow:
    """The window, with its view and its widgets; `errands` are what touches files and screens."""

    def __init__(
        self,
        errands: Errands,
        size: tuple[int, int] = (1280, 800),
        view: View | None = None,
    ) -> None:
        position: Any = pygame.WINDOWPOS_CENTERED
        self._window = pygame.Window("Shearlight desk", size, position=position, resizable=True)
        self._window.minimum_size = SMALLEST
        self._surface = self._window.get_surface()
        self.errands = errands
        self.view = View() if view is None else view
        self._open = True
        self._used_at = time.monotonic()
        self._seen: tuple[View, Session, Known] | None = None
        self._seen_at = 0.0
        self._dirty = True
        self._pictures: dict[str, tuple[Any, tuple[int, int], pygame.Surface]] = {}
        self._items: tuple[Item, ...] = ()
        self._late = False
        self._wardrobe: dict[str, Widgets] = {}
        self._dressed_for: tuple[int, int] | None = None
        self._dress()

    def _dress(self) -> None:
        size = self._window.size
        self._theme = self.errands.settings.theme
        self._palette: Palette = palette_named(self._theme)
        self._frame: Frame = framed(size)
        if size != self._dressed_for:  # a manager of widgets is dear: one for each theme is kept
            for widgets in self._wardrobe.values():
                widgets.clear()
            self._wardrobe, self._dressed_for = {}, size
        if self._theme not in self._wardrobe:
            self._wardrobe[self._theme] = Widgets(size, self._palette, self._frame.scale)
        self._widgets = self._wardrobe[self._theme]
        self._pictures.clear()
        self._items = ()
        self._seen = None
        self._dirty = True

    @property
    def open(self) -> bool:
        """False once it has been closed."""
        return self._open

    @property
    def busy(self) -> bool:
        """True while a slider or something in a figure is held."""
        return self._widgets.held or self.view.dragged is not None

    @property
    def patience(self) -> float | None:
        """Seconds after which the window wants a turn though nothing happens."""
        since = time.monotonic() - self._used_at
        waits = []
        if since < _SETTLING:
            waits.append(0.02)
        elif since < _RESTING:
            waits.append(0.1)
        if self._late:
            waits.append(0.05)
        if self._widgets.typing:
            waits.append(0.5)
        pace = self.errands.pace
        if pace is not None:
            waits.append(pace)
        return min(waits, default=None)

    def hears(self, event: pygame.Event) -> bool:
        """Whether an event is the desk's, or nobody's, or a key pressed over lit marks."""
        mine = getattr(event, "window", None) in (None, self._window)
        return mine or self.errands.passes(event)

    def heard(self, event: pygame.Event, session: Session) -> tuple[Command, ...]:
        """What an event commands."""
        if event.type in (pygame.QUIT, pygame.WINDOWCLOSE):
            # What is lit goes with it; without the desk nobody could put it out.
            return (*self._finished(session), Quit())
        if event.type in (pygame.WINDOWRESIZED, pygame.WINDOWSIZECHANGED):
            commands = self._finished(session)
            self._surface = self._window.get_surface()
            self._dress()
            return commands
        if event.type in (pygame.WINDOWEXPOSED, pygame.WINDOWENTER, pygame.WINDOWFOCUSGAINED):
            self._dirty = True
        if event.type in (pygame.MOUSEMOTION, pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP,
                          pygame.MOUSEWHEEL, pygame.KEYDOWN, pygame.KEYUP, pygame.TEXTINPUT,
                          pygame.DROPFILE):  # fmt: skip
            self._used_at = time.monotonic()
            self._dirty = True
            return self._input(event, session)
        return ()

    def _input(self, event: pygame.Event, session: Session) -> tuple[Command, ...]:
        known = self.errands.known(session)
        if event.type == pygame.DROPFILE:
            return self._done(Outcome(self.view, wishes=(Wish("dropped", event.file),)), session)
        if event.type == pygame.KEYDOWN and self._shortcut(event, session) is not None:
            typed = self._finished(session)
            now = _after(session, typed)
            outcome = self._shortcut(event, now)
            return (*typed, *(self._done(outcome, now) if outcome is not None else ()))
        if self.view.dragged is None and self._widgets.heard(event):
            return ()
        figures = tuple(item for item in self._items if isinstance(item, Figure))
        if event.type == pygame.KEYDOWN:
            outcome = figure_keyed(event, figures, self.view, session, known)
        else:
            outcome = figure_pointed(event, figures, self.view, session, self._frame)
            if event.type == pygame.MOUSEMOTION and self.view.dragged is not None:
                self._widgets.heard(event)
        return () if outcome is None else self._done(outcome, session)

    def _shortcut(self, event: pygame.Event, session: Session) -> Outcome | None:
        keys = {pygame.K_F2: 0, pygame.K_F3: 1, pygame.K_F4: 2, pygame.K_F5: 3, pygame.K_F6: 4}
        known = self.errands.known(session)
        if event.key in keys:
            return page_used(Used(f"place:{PLACES[keys[event.key]]}"), self.view, session, known)
        if event.key == pygame.K_F1:
            return page_used(Used("help"), self.view, session, known)
        if event.key == pygame.K_ESCAPE and self.view.helping:
            return page_used(Used("help"), self.view, session, known)
        if not event.mod & pygame.KMOD_CTRL or (self._widgets.typing and event.key in _TYPISTS):
            return None
        again = event.key == pygame.K_y or event.mod & pygame.KMOD_SHIFT
        view = replace(self.view, changing="", trial=None)
        match event.key:
            case pygame.K_z | pygame.K_y:
                return Outcome(view, (Redo() if again else Undo(),))
            case pygame.K_s:
                return Outcome(self.view, wishes=(Wish("save"),))
            case pygame.K_l:
                return Outcome(self.view, wishes=(Wish("darken" if known.lit else "light"),))
            case pygame.K_q:
                return Outcome(self.view, (Quit(),))
        return None

    def turn(self, session: Session, elapsed: float) -> tuple[Command, ...]:
        """What the widgets and finished errands command."""
        commands = self._carried(self._widgets.turn(elapsed), session)
        now = _after(session, commands)
        view, news = self.errands.news(self.view, now)
        if view is not self.view or news:
            self._dirty = True
        self.view = view
        if self.errands.settings.theme != self._theme:
            self._dress()
        return (*commands, *news)

    def _finished(self, session: Session) -> tuple[Command, ...]:
        """What has been typed commands, before a key or the end takes it away."""
        self._widgets.finish()
        return self._carried(self._widgets.turn(0.0), session)

    def _carried(self, uses: tuple[Used, ...], session: Session) -> tuple[Command, ...]:
        commands: tuple[Command, ...] = ()
        for used in uses:
            now = _after(session, commands)
            outcome = page_used(used, self.view, now, self.errands.known(now))
            commands += self._done(outcome, now)
            self._dirty = True
        return commands

    def _done(self, outcome: Outcome, session: Session) -> tuple[Command, ...]:
        self.view = outcome.view
        commands = outcome.commands
        now = _after(session, commands)
        for wish in outcome.wishes:
            self.view, more = self.errands.done(wish, self.view, now)
            now = _after(now, more)
            commands += more
        return commands

    def show(self, session: Session) -> None:
        """Draw what has changed; a change that came from the stage may wait a little."""
        known = self.errands.known(session)
        now = time.monotonic()
        if self._seen is None or self._seen != (self.view, session, known):
            mine = now - self._used_at < _SETTLING
            if not mine and now - self._seen_at < 0.1:
                self._late = True  # the stage goes first while a piece is dragged there
                return
            self._seen, self._seen_at = (self.view, session, known), now
            items = page_items(self.view, session, known, self._frame)
            if items != self._items:
                self._items = items
                self._widgets.match(items)
                self._dirty = True
        settling = time.monotonic() - self._used_at < _RESTING or self._widgets.typing
        if not self._dirty and not settling:
            return
        self._late = self._dirty = False
        self._draw()
        self._window.flip()

    def _draw(self) -> None:
        palette, surface = self._palette, self._surface
        surface.fill(palette.ground)
        seen = set()
        for item in self._items:
            match item:
                case Panel(area, tone):
                    square = (area.x, area.y, *area.size)
                    colour = {"stop": palette.stop, "warning": palette.warning,
                              "accent": palette.accent_pale}.get(tone)  # fmt: skip
                    colour = getattr(palette, tone) if colour is None else colour
                    radius = 0 if tone == "bar" else self._frame.px(8)
                    _round_filled(surface, colour, square, radius)
                case Words():
                    self._words(item)
                case Figure(key, area, content):
                    seen.add(key)
                    known = self._pictures.get(key)
                    if known is None or known[1] != area.size or known[0] != content:
                        picture = painted(content, area.size, palette, self._frame.scale)
                        known = self._pictures[key] = (content, area.size, picture)
                    surface.blit(known[2], (area.x, area.y))
                case Progress(area, part, text):
                    square = (area.x, area.y, *area.size)
                    pygame.draw.rect(surface, palette.well, square, border_radius=6)
                    done = (
                        area.x,
                        area.y,
                        round(area.width * min(1.0, max(0.0, part))),
                        area.height,
                    )
                    pygame.draw.rect(surface, palette.accent_pale, done, border_radius=6)
                    self._words(Words(area, text, align="middle"))
        self._pictures = {key: kept for key, kept in self._pictures.items() if key in seen}
        self._widgets.draw(surface)

    def _words(self, words: Words) -> None:
        palette, area = self._palette, words.area
        tones = {"plain": palette.panel, "on accent": palette.on_accent}
        colour = tones.get(words.tone) or getattr(palette, words.tone, palette.ink)
        size = round(words.size * LETTERS_PX * self._frame.scale)
        lines = broken(words.text, size, area.width, words.bold) if words.wrapped else (words.text,)
        step = line_height(size)
        y = area.y if words.wrapped else area.y + (area.height - step) // 2
        for line in lines:
            if words.wrapped and y + step > area.bottom + step // 2:
                break
            picture = written(line, size, colour, words.bold, area.width, words.ends)
            free = area.width - picture.get_width()
            x = area.x + {"left": 0, "middle": free // 2, "right": free}[words.align]
            self._surface.blit(picture, (x, y + (step - picture.get_height()) // 2))
            y += step

    def close(self) -> None:
        """Close the window."""
        self._open = False
        self._window.destroy()


def _after(session: Session, commands: tuple[Command, ...]) -> Session:
    return reduce(apply, commands, session)


def _round_filled(
    surface: pygame.Surface, colour: Colour, square: tuple[int, int, int, int], radius: int
) -> None:
    """A rectangle with round corners; filled row by row it would take most of a large window."""
    left, top, wide, high = square
    radius = min(radius, wide // 2, high // 2)
    surface.fill(colour, (left, top + radius, wide, high - 2 * radius))
    if radius <= 0:
        return
    for y in (top, top + high - radius):
        surface.fill(colour, (left + radius, y, wide - 2 * radius, radius))
        for x in (left, left + wide - radius):
            middle = (left + radius if x == left else left + wide - radius - 1,
                      top + radius if y == top else top + high - radius - 1)  # fmt: skip
            pygame.draw.circle(surface, colour, middle, radius)


_TYPISTS = (pygame.K_z, pygame.K_y)
"""Keys that an entry uses itself together with Ctrl."""
