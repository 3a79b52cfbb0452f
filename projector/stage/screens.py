"""Which displays are connected, and whether the map still belongs to the one it lights."""

from __future__ import annotations

from dataclasses import dataclass

from projector.stage.displays import Display

__all__ = ["Screens", "as_they_were", "seen_size", "trouble_with"]


@dataclass(frozen=True, slots=True)
class Screens:
    """The displays in the system's order, width and height in pixels, and the projector's number.

    `window` is the size of the window's own picture, and `on` the display it lies on, where the
    system tells; `place` is the pixel of all the displays together where it begins. `asked` are the
    displays as the system has them at this moment, where it can be asked.
    """

    sizes: tuple[tuple[int, int], ...]
    display: int
    window: tuple[int, int]
    on: int | None = None
    place: tuple[int, int] | None = None
    asked: tuple[Display, ...] = ()


def trouble_with(begun: Screens, now: Screens, made_for: tuple[int, int]) -> str:
    """Why the map may light nothing now; empty when all is as it was when it was chosen.

    A change back mends itself. Two displays of the same size that have changed places are told by
    the window's own display or place. What cannot be told: that two cables were changed over and
    the system says nothing; hence the advice to look at a square first.
    """
    first, own = _own(begun, now)
    if now.display >= len(now.sizes) or (first is not None and own is None):
        return (
            f"The projector (display {now.display}) is not connected. Your work is kept. Connect "
            "it, or close this window with Q."
        )
    size = now.sizes[now.display] if own is None else own.size
    if size != made_for:
        return (
            f"The projector now shows {size[0]} x {size[1]}; the calibration was made for "
            f"{made_for[0]} x {made_for[1]}. Set it back, or calibrate again. Your work is kept."
        )
    if now.window != made_for:
        return (
            f"This window shows {now.window[0]} x {now.window[1]} pixels, the calibration was made "
            f"for {made_for[0]} x {made_for[1]}: it does not fill the projector. Your work is kept."
        )
    if now.sizes != begun.sizes:
        was, is_now = (
            ", ".join(f"{i}: {w} x {h}" for i, (w, h) in enumerate(screens.sizes))
            for screens in (begun, now)
        )
        return (
            f"The displays have changed: they were {was}; now they are {is_now}. Hold a tape "
            "to a lit square (K) after pressing Enter here, which lights the work again."
        )
    if now.on is not None and now.on != now.display:
        return (
            f"This window has been moved to display {now.on}; the calibration belongs to display "
            f"{now.display}. Move it back. Your work is kept."
        )
    moved = first is not None and own is not None and first.place != own.place
    if moved or (None not in (begun.place, now.place) and begun.place != now.place):
        return (
            "The displays have changed places, or this window has been moved. Your work is kept. "
            "Hold a tape to a lit square (K) after pressing Enter here, which lights it again."
        )
    return ""


def as_they_were(begun: Screens, now: Screens) -> bool:
    """Whether the displays are those of the beginning, as far as the system tells."""
    return begun.sizes == now.sizes and (not begun.asked or begun.asked == now.asked)


def seen_size(begun: Screens, now: Screens) -> tuple[int, int]:
    """What of the window's own picture can be seen now, width and height in pixels."""
    own = _own(begun, now)[1]
    wide, high = now.window
    return (wide, high) if own is None else (min(wide, own.size[0]), min(high, own.size[1]))


def _own(begun: Screens, now: Screens) -> tuple[Display | None, Display | None]:
    """The projector's display as it was and as it is, where the system could be asked both times.

    It is known again by its socket's name, else by its place.
    """
    first = next((display for display in begun.asked if display.place == begun.place), None)
    if first is None or not now.asked:
        return None, None
    for display in now.asked:
        if display.name == first.name if first.name else display.place == first.place:
            return first, display
    return first, None
