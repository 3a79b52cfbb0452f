"""The controls of a place as widgets: made, changed and removed to match their plain values."""

from __future__ import annotations

import gc
import time
from typing import Any

import pygame
import pygame_gui
from pygame_gui.elements import UIButton, UIHorizontalSlider, UITextEntryBox, UITextEntryLine

from projector.desk.areas import Area
from projector.desk.controls import Button, Entry, Item, Notes, Slider, Used
from projector.desk.lettering import shortened
from projector.desk.palette import LETTERS_PX, Palette, widget_theme

__all__ = ["Widgets"]

_LOOKS = {
    "plain": None, "chosen": "#chosen", "main": "#main", "quiet": "#quiet", "place": "#place",
    "place chosen": "#place_chosen",
}  # fmt: skip
_QUIET_EVENTS = (
    pygame.USEREVENT,
    pygame_gui.UI_BUTTON_ON_HOVERED,
    pygame_gui.UI_BUTTON_ON_UNHOVERED,
    pygame_gui.UI_BUTTON_START_PRESS,
    pygame_gui.UI_HORIZONTAL_SLIDER_MOVED,
    pygame_gui.UI_TEXT_ENTRY_CHANGED,
    pygame_gui.UI_TEXT_ENTRY_FINISHED,
)
"""Told to us directly, so they need not wake the loop a second time."""

Control = Button | Slider | Entry | Notes


_NOWHERE = (-1, -1)
_CLICKS = 0.5
"""Seconds in which a second click is still part of the first."""


class _Manager(pygame_gui.UIManager):  # type: ignore[misc]
    """A manager that takes the pointer's place from its own window's events."""

    pointer = _NOWHERE

    def _update_mouse_position(self) -> None:
        self.mouse_position = self.pointer


class Widgets:
    """The widgets of one window of a given size."""

    def __init__(self, size: tuple[int, int], palette: Palette, scale: float) -> None:
        pygame.font.init()
        self._manager = _Manager(
            size, widget_theme(palette, scale), enable_live_theme_updates=False
        )
        pygame.event.set_blocked(_QUIET_EVENTS)
        self._made: dict[str, tuple[Control, Any]] = {}
        self._order: list[str] = []
        self._used: list[Used] = []
        self._told: dict[str, Any] = {}
        self._held: str | None = None
        self._scale = scale
        self._step = 2 * round(scale)
        self._accent = palette.accent
        self.focus: str | None = None
        self._fresh: tuple[str | None, float] = (None, 0.0)
        self._taken = False

    def match(self, items: tuple[Item, ...]) -> None:
        """Make, change and remove widgets so that they are those of the items."""
        controls = [item for item in items if isinstance(item, Button | Slider | Entry | Notes)]
        self._order = [item.key for item in controls]
        wanted = set(self._order)
        for key in [key for key in self._made if key not in wanted]:
            self._made.pop(key)[1].kill()
            self._told.pop(key, None)
        for item in controls:
            known = self._made.get(item.key)
            if known is None or not self._changed(*known, item):
                if known is not None:
                    known[1].kill()
                self._made[item.key] = (item, self._new(item))
                self._told[item.key] = getattr(item, "text", None)
            else:
                self._made[item.key] = (item, known[1])
        if self.focus not in wanted:
            self.focus = None
        self._manager.update(0.0)  # what was made or removed is drawn only after this

    def clear(self) -> None:
        """Let go of everything, so that nothing of it stays in memory."""
        self.match(())
        self._manager.clear_and_reset()
        gc.collect()  # widgets and their manager hold each other

    def _changed(self, before: Control, widget: Any, after: Control) -> bool:
        """Change a widget in place; False where it must be made anew."""
        if before == after:
            return True
        if type(before) is not type(after) or before.area != after.area:
            return False
        if isinstance(after, Slider) and isinstance(before, Slider):
            if (before.low, before.high, before.help) != (after.low, after.high, after.help):
                return False
            if self._held != after.key:
                widget.set_current_value(after.value, False)
            self._told[after.key] = after.value
            return True
        if isinstance(after, Button) and isinstance(before, Button):
            if (before.look, before.help) != (after.look, after.help):
                return False
            if before.text != after.text:
                if self._shown(before) != before.text or self._shown(after) != after.text:
                    return False  # its help tells the whole text
                widget.set_text(after.text)
            if before.enabled != after.enabled:
                widget.enable() if after.enabled else widget.disable()
            return True
        if isinstance(after, Entry | Notes) and isinstance(before, Entry | Notes):
            if before.text != after.text and widget.get_text() != after.text:
                widget.set_text(after.text)
            self._told[after.key] = after.text
            return getattr(before, "help", "") == getattr(after, "help", "")
        return False

    def _new(self, item: Control) -> Any:
        area = item.area
        place = pygame.Rect(area.x, area.y, max(1, area.width), max(1, area.height))
        match item:
            case Button(key, _, text, look, enabled, help_text):
                shown = self._shown(item)
                if shown != text and text not in help_text:
                    help_text = f"{text}. {help_text}" if help_text else text
                button = UIButton(
                    place, shown, self._manager, object_id=_LOOKS[look],
                    tool_tip_text=help_text or None,
                )  # fmt: skip
                button.bind(pygame_gui.UI_BUTTON_PRESSED, lambda: self._pressed(key))
                if not enabled:
                    button.disable()
                return button
            case Slider(key, _, value, low, high):
                slider = UIHorizontalSlider(
                    place, float(value), (float(low), float(high)), self._manager
                )
                slider.set_current_value(float(value), False)
                self._told[key] = value
                return slider
            case Entry(_, _, text, help_text, _):
                entry = UITextEntryLine(place, self._manager, initial_text=text)
                if help_text:
                    entry.set_tooltip(help_text)
                return entry
            case Notes(_, _, text):
                return UITextEntryBox(place, text, self._manager)

    def _shown(self, item: Button) -> str:
        """What of a button's text fits on it."""
        large, bold = item.look.startswith("place"), item.look not in ("plain", "quiet")
        letters = round((1.15 if large else 1.0) * round(LETTERS_PX * self._scale))
        room = item.area.width - round(8 * self._scale)
        return shortened(item.text, letters, room, bold, item.ends)

    def _pressed(self, key: str) -> None:
        self.finish()
        self._used.append(Used(key))

    def finish(self) -> None:
        """Take what stands in the entries for typed, before something else is used."""
        for key, widget in sorted(self._entries(), key=lambda entry: entry[1].is_focused):
            self._tell_text(key, widget)

    # --- what is heard -------------------------------------------------------------------

    def heard(self, event: pygame.Event) -> bool:
        """Give an event to the widgets; whether one of them took it."""
        if event.type in (pygame.MOUSEMOTION, pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP):
            self._manager.pointer = event.pos
        if event.type == pygame.KEYDOWN:
            self._manager.pointer = _NOWHERE  # what a control is for covers no work under way
            if self._key(event):
                return True
        clicked = event.type == pygame.MOUSEBUTTONDOWN and event.button == 1
        before, self.focus = self.focus, None if clicked else self.focus
        taken = bool(self._manager.process_events(event))
        if clicked:
            taken = self._track_clicked(event.pos, taken) or taken
            if self.focus != before:
                self._fresh, self._taken = (self.focus, time.monotonic()), True
        fresh, since = self._fresh
        clicking = fresh == self.focus and (self._taken or time.monotonic() - since < _CLICKS)
        if event.type == pygame.MOUSEBUTTONUP:
            self._manager.pointer, self._taken = _NOWHERE, False
            if fresh and clicking:
                self._choose_all(fresh)
        return taken or (event.type in (pygame.KEYDOWN, pygame.TEXTINPUT) and self.typing)

    @property
    def typing(self) -> bool:
        """Whether letters go into an entry."""
        return any(widget.is_focused for _, widget in self._entries())

    @property
    def held(self) -> bool:
        """Whether a slider is held."""
        return self._held is not None

    def _entries(self) -> list[tuple[str, Any]]:
        return [
            (key, widget)
            for key, (item, widget) in self._made.items()
            if isinstance(item, Entry | Notes)
        ]

    def _track_clicked(self, place: tuple[int, int], taken: bool) -> bool:
        for key, (item, _) in self._made.items():
            if not item.area.contains(*place):
                continue
            if isinstance(item, Slider) and not taken:
                part = (place[0] - item.area.x) / max(1, item.area.width)
                self._set(key, item, item.low + part * (item.high - item.low))
                return True
            if isinstance(item, Entry | Notes):
                self.focus = key
        return False

    def _key(self, event: pygame.Event) -> bool:
        if event.key == pygame.K_TAB and not event.mod & pygame.KMOD_CTRL:
            self._step_focus(-1 if event.mod & pygame.KMOD_SHIFT else 1)
            return True
        item, _ = self._made.get(self.focus or "", (None, None))
        if item is None:
            return False
        if event.key == pygame.K_ESCAPE:
            self.leave()
            return True
        if isinstance(item, Entry) and event.key in (pygame.K_RETURN, pygame.K_KP_ENTER):
            self.finish()
            self.take(item.then)
            return True
        if isinstance(item, Button) and event.key in (pygame.K_RETURN, pygame.K_SPACE):
            if item.enabled:
                self._pressed(item.key)
            return True
        if isinstance(item, Slider):
            ways = {pygame.K_LEFT: -1, pygame.K_RIGHT: 1, pygame.K_DOWN: -1, pygame.K_UP: 1}
            if event.key in ways:
                times = 10 if event.mod & pygame.KMOD_SHIFT else 1
                self._set(item.key, item, item.value + ways[event.key] * times * item.step)
                return True
        return False

    def leave(self) -> None:
        """Take the keyboard from the control that has it."""
        self._manager.set_focus_set(None)
        self.focus = None

    def take(self, key: str) -> None:
        """Give the keyboard to a control."""
        if key in self._made:
            item, widget = self._made[key]
            self.focus = key
            entry = isinstance(item, Entry | Notes)
            self._manager.set_focus_set(widget.get_focus_set() if entry else None)
            self._choose_all(key)

    def _choose_all(self, key: str) -> None:
        """Mark all that stands in an entry, so that what is typed takes its place."""
        item, widget = self._made[key]
        if isinstance(item, Entry) and widget.select_range[0] == widget.select_range[1]:
            widget.select_range = [0, len(widget.text)]
            widget.edit_position = len(widget.text)
            widget.cursor_has_moved_recently = True

    def _step_focus(self, way: int) -> None:
        able = [key for key in self._order if getattr(self._made[key][0], "enabled", True)]
        if not able:
            return
        at = able.index(self.focus) if self.focus in able else (-1 if way > 0 else 0)
        self.take(able[(at + way) % len(able)])

    def _set(self, key: str, item: Slider, value: float) -> None:
        value = min(item.high, max(item.low, _stepped(value, item)))
        if value != self._told.get(key):
            self._told[key] = value
            self._used.append(Used(key, value))

    def _tell_text(self, key: str, widget: Any) -> None:
        text = widget.get_text()
        if text != self._told.get(key):
            self._told[key] = text
            self._used.append(Used(key, text))

    # --- once a turn ---------------------------------------------------------------------

    def turn(self, elapsed: float) -> tuple[Used, ...]:
        """Let the widgets follow the pointer; what was used since the turn before."""
        for _, widget in self._entries():
            if isinstance(widget, UITextEntryLine) and not widget.is_focused:
                _without_caret(widget)
        self._manager.update(min(elapsed, 0.1))
        held = None
        for key, (item, widget) in self._made.items():
            if isinstance(item, Slider):
                if widget.sliding_button.held:
                    held = key
                    value = _stepped(widget.get_current_value(), item)
                    if value != self._told.get(key):
                        self._told[key] = value
                        self._used.append(Used(key, value, held=True))
            elif isinstance(item, Entry | Notes) and not widget.is_focused:
                if widget.get_text() == self._told[key] != item.text:
                    # What was typed and refused gives way once it is left.
                    widget.set_text(item.text)
                    self._told[key] = item.text
                self._tell_text(key, widget)
        if self._held is not None and held is None and self._held in self._made:
            self._used.append(Used(self._held, self._told[self._held]))
        self._held = held
        used, self._used = tuple(self._used), []
        return used

    def draw(self, surface: pygame.Surface) -> None:
        """Draw the widgets, and a ring round the one that has the keyboard."""
        self._manager.draw_ui(surface)
        if self.focus in self._made:
            area = self._made[self.focus][0].area
            ring = Area(area.x - 3, area.y - 3, area.width + 6, area.height + 6)
            pygame.draw.rect(
                surface, self._accent, (ring.x, ring.y, *ring.size), max(2, self._step), 8
            )


def _without_caret(widget: Any) -> None:
    """Take the caret out of an entry that was left; the library leaves it there at times."""
    widget.cursor_has_moved_recently = False
    shape = widget.drawable_shape
    row = shape.text_box_layout.cursor_text_row
    if row is not None and row.edit_cursor_active:
        shape.text_box_layout.turn_off_cursor()
        shape.redraw_all_states()


def _stepped(value: float, item: Slider) -> float:
    return round(item.low + round((value - item.low) / item.step) * item.step, 9)
