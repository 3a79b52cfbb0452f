"""Where things stand on the desk: from the size of the window to rectangles, in pixels."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = [
    "SMALLEST", "Area", "Frame", "columns", "cut_bottom", "cut_left", "cut_right", "cut_top",
    "framed", "inset", "rows",
]  # fmt: skip

SMALLEST = (1024, 640)
"""Below this the window is not made."""

_DESIGNED = (1280.0, 720.0)


@dataclass(frozen=True, slots=True)
class Area:
    """An upright rectangle, y down; never of negative size."""

    x: int
    y: int
    width: int
    height: int

    def __post_init__(self) -> None:
        object.__setattr__(self, "width", max(0, self.width))
        object.__setattr__(self, "height", max(0, self.height))

    @property
    def right(self) -> int:
        """First pixel beyond it to the right."""
        return self.x + self.width

    @property
    def bottom(self) -> int:
        """First pixel below it."""
        return self.y + self.height

    @property
    def size(self) -> tuple[int, int]:
        """Width and height."""
        return self.width, self.height

    def contains(self, x: float, y: float) -> bool:
        """Whether a pixel lies in it."""
        return self.x <= x < self.right and self.y <= y < self.bottom

    def inside(self, place: tuple[int, int]) -> tuple[int, int]:
        """A pixel of the window, counted from the area's own first one."""
        return place[0] - self.x, place[1] - self.y


@dataclass(frozen=True, slots=True)
class Frame:
    """The fixed parts of the window: the places on top, the body, what is told at the foot.

    `scale` is 1 at 1280 x 720; letters, rows and margins grow with it.
    """

    scale: float
    places: Area
    body: Area
    foot: Area

    def px(self, size: float) -> int:
        """A length given for 1280 x 720, in this window's pixels, 1 at least."""
        return max(1, round(size * self.scale))


def framed(size: tuple[int, int]) -> Frame:
    """The frame for a window of this size."""
    width, height = size
    scale = max(0.7, min(width / _DESIGNED[0], height / _DESIGNED[1]))
    whole = Area(0, 0, width, height)
    places, rest = cut_top(whole, round(60 * scale))
    foot, body = cut_bottom(rest, round(40 * scale))
    return Frame(scale, places, inset(body, round(12 * scale), round(10 * scale)), foot)


def inset(area: Area, across: int, down: int | None = None) -> Area:
    """The area without a margin on every side."""
    down = across if down is None else down
    return Area(area.x + across, area.y + down, area.width - 2 * across, area.height - 2 * down)


def cut_top(area: Area, height: int, gap: int = 0) -> tuple[Area, Area]:
    """A strip off the top, and the rest below a gap."""
    height = min(height, area.height)
    top = Area(area.x, area.y, area.width, height)
    return top, Area(area.x, top.bottom + gap, area.width, area.height - height - gap)


def cut_bottom(area: Area, height: int, gap: int = 0) -> tuple[Area, Area]:
    """A strip off the bottom, and the rest above a gap."""
    height = min(height, area.height)
    bottom = Area(area.x, area.bottom - height, area.width, height)
    return bottom, Area(area.x, area.y, area.width, area.height - height - gap)


def cut_left(area: Area, width: int, gap: int = 0) -> tuple[Area, Area]:
    """A strip off the left, and the rest beyond a gap."""
    width = min(width, area.width)
    left = Area(area.x, area.y, width, area.height)
    return left, Area(left.right + gap, area.y, area.width - width - gap, area.height)


def cut_right(area: Area, width: int, gap: int = 0) -> tuple[Area, Area]:
    """A strip off the right, and the rest before a gap."""
    width = min(width, area.width)
    right = Area(area.right - width, area.y, width, area.height)
    return right, Area(area.x, area.y, area.width - width - gap, area.height)


def rows(area: Area, height: int, gap: int = 0) -> tuple[Area, ...]:
    """As many rows of this height as fit, from the top."""
    count = max(0, (area.height + gap) // (height + gap)) if height > 0 else 0
    return tuple(
        Area(area.x, area.y + i * (height + gap), area.width, height) for i in range(count)
    )


def columns(area: Area, count: int, gap: int = 0) -> tuple[Area, ...]:
    """`count` columns of equal width, to within a pixel, filling the area."""
    if count < 1:
        return ()
    free = area.width - gap * (count - 1)
    edges = [round(free * i / count) for i in range(count + 1)]
    return tuple(
        Area(area.x + edges[i] + gap * i, area.y, edges[i + 1] - edges[i], area.height)
        for i in range(count)
    )
