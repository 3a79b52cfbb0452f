"""What the desk shows: what only the desk knows, what is around it, and what it wishes done."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Literal, TypeVar

from calibration.table_map import TableMap
from drafting.plane import Motion
from projector.cloth.layout import Layout
from projector.cloth.leftover import Leftover
from projector.cloth.yardage import LowerBound
from projector.desk.controls import Tone
from projector.desk.table_part import TableKnown
from projector.job import Job
from projector.settings import Settings
from projector.stage.commands import Command

__all__ = ["PLACES", "Known", "Outcome", "Place", "Search", "View", "Wish", "told"]

Part = TypeVar("Part")
Place = Literal["draft", "cloth", "table", "job", "trace"]
PLACES: tuple[Place, ...] = ("draft", "cloth", "table", "job", "trace")


@dataclass(frozen=True, slots=True)
class View:
    """What only the desk knows.

    Parameters
    ----------
    place
        Which of the places is shown.
    message, tone
        The latest thing told at the foot.
    helping
        Whether the help of the place is shown.
    wearer, group, page
        Whose draft is shown, which controls, and which page of them.
    shown
        What the figure of the draft shows: "both", "plan" or "pieces".
    all_findings, findings_page
        Whether findings that are fine are listed too; which page of the list is shown.
    trial
        The job with a slider where it is held; None while none is held.
    changing
        The control that made the latest change, so that more of the same is undone with it.
    dragged
        What the pointer holds in a figure: a place's own value.
    parts
        What each place remembers for itself, by its kind.
    """

    place: Place = "job"
    message: str = ""
    tone: Tone = "soft"
    helping: bool = False
    wearer: int = 0
    group: str = "body"
    page: int = 0
    shown: str = "both"
    all_findings: bool = False
    findings_page: int = 0
    trial: Job | None = None
    changing: str = ""
    dragged: Any = None
    parts: dict[type, Any] = field(default_factory=dict)

    def part(self, kind: type[Part]) -> Part:
        """What a place remembers for itself, a value of its own kind."""
        part: Part = self.parts.get(kind) or kind()
        return part

    def with_part(self, part: object) -> View:
        """The view with what a place remembers changed."""
        return replace(self, parts={**self.parts, type(part): part})


@dataclass(frozen=True, slots=True)
class Search:
    """A search for a shorter lay under way.

    Seconds done and allowed, the length of the shortest lay so far (mm, None before the first),
    and for how many seconds none shorter was found.
    """

    elapsed: float
    budget: float
    length: float | None = None
    quiet: float = 0.0


@dataclass(frozen=True, slots=True)
class Known:
    """What is around the desk: the job's file, settings, displays, the table's map.

    `lies` is where the cloth lies under the light; `before_search` is the layout that the latest
    search began with, None when there was none; `bound` is what no lay of the pieces is shorter
    than and `leftover` what the lay leaves, None as long as that is not known; `listing` is what
    lies in `folder`: names, and whether each is a folder; `tracing` is what is done of finding an
    outline in a photograph.
    """

    path: Path | None = None
    saved: bool = True
    settings: Settings = field(default_factory=Settings)
    displays: tuple[tuple[int, int], ...] = ()
    table_map: TableMap | None = None
    table_told: str = ""
    lit: bool = False
    lies: Motion = field(default_factory=Motion)
    search: Search | None = None
    bound: LowerBound | None = None
    leftover: Leftover | None = None
    before_search: Layout | None = None
    folder: Path = field(default_factory=Path)
    listing: tuple[tuple[str, bool], ...] = ()
    tracing: tuple[str, float] | None = None
    table: TableKnown = field(default_factory=TableKnown)


@dataclass(frozen=True, slots=True)
class Wish:
    """Something the pure part cannot do itself: a file, a window, a process, a camera."""

    what: str
    value: Any = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What comes of a control: the view, commands to the session, wishes to the shell."""

    view: View
    commands: tuple[Command, ...] = ()
    wishes: tuple[Wish, ...] = ()


def told(view: View, message: str, tone: Tone = "soft") -> View:
    """The view with a message at the foot: its first line, and how many more there are."""
    lines = message.splitlines() or [""]
    more = f" (and {len(lines) - 1} more)" if len(lines) > 1 else ""
    return replace(view, message=lines[0] + more, tone=tone)
