"""What the worker can do under the light, as values; `applying.apply` carries one out."""

from __future__ import annotations

from dataclasses import dataclass

from drafting.plane import Motion, Point
from projector.cloth.layout import Layout
from projector.job import Job
from projector.stage.session import Lamp, Session

__all__ = [
    "AcceptCalibration", "AimCross", "BreakOff", "CloseWindow", "ClothColour", "Command", "Help",
    "Layer", "Light", "Lock", "Magnify", "Mirror", "Move", "MoveRuler", "Open", "Put", "PutCross",
    "Quit", "ReadTape", "Redo", "Replace", "SeamOnly", "Select", "SlideCloth", "SnapToFold",
    "SnapToGrain", "Snapping", "TakeUpCloth", "Tell", "TickAsCut", "Tidy", "Trouble", "Turn",
    "TurnText", "TypeTape", "Undo",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Select:
    """Select a placement by its index, or none."""

    index: int | None


@dataclass(frozen=True, slots=True)
class Move:
    """Move the selected piece, mm in the cloth frame. A piece on the fold slides along it.

    A move that is not `fresh` goes on with the gesture before it: one undo takes both back.
    """

    dx: float
    dy: float
    fresh: bool = True


@dataclass(frozen=True, slots=True)
class Put:
    """Put the selected piece where a hand that drags it has it.

    `snaps` lets it be drawn to the edges of the cloth and to its neighbours.
    """

    cloth_from_piece: Motion
    fresh: bool = True
    snaps: bool = True


@dataclass(frozen=True, slots=True)
class Turn:
    """Turn the selected piece about its middle, radians. A piece on the fold stays as it is."""

    angle: float
    fresh: bool = True


@dataclass(frozen=True, slots=True)
class Mirror:
    """Mirror the selected piece across its grain."""


@dataclass(frozen=True, slots=True)
class SnapToGrain:
    """Turn the selected piece to the nearest direction along the grain of the cloth."""


@dataclass(frozen=True, slots=True)
class SnapToFold:
    """Put the selected piece's fold edge on the fold, or push it up to the near edge."""


@dataclass(frozen=True, slots=True)
class Tidy:
    """Slide the selected piece the least way out of any overlap and up against its neighbours."""


@dataclass(frozen=True, slots=True)
class Lock:
    """Lock or release the selected piece."""


@dataclass(frozen=True, slots=True)
class TickAsCut:
    """Tick the selected piece as cut, or take the tick away."""


@dataclass(frozen=True, slots=True)
class Snapping:
    """Let pieces snap, or let them lie where they are put."""


@dataclass(frozen=True, slots=True)
class SlideCloth:
    """Move the light's window along the cloth by so many mm.

    `marks` are the two crosses, in the cloth frame, that the worker has chalked for it; `said` is
    told with it.
    """

    along: float
    marks: tuple[Point, ...] = ()
    said: str = ""


@dataclass(frozen=True, slots=True)
class TakeUpCloth:
    """Begin to put the two crosses onto their chalk marks, or break it off."""


@dataclass(frozen=True, slots=True)
class AimCross:
    """Light the cross that is being put at a place on the table."""

    at: Point


@dataclass(frozen=True, slots=True)
class PutCross:
    """Put the cross where it is lit; after the second one the light follows the cloth."""


@dataclass(frozen=True, slots=True)
class Layer:
    """Light a layer or leave it dark."""

    name: str


@dataclass(frozen=True, slots=True)
class Help:
    """Light the short help card, then one with every key, then neither."""


@dataclass(frozen=True, slots=True)
class SeamOnly:
    """Light the seam line alone, as for marking it, or everything again."""


@dataclass(frozen=True, slots=True)
class Light:
    """Use the projector for the lay, for plain white to work by, or for nothing.

    What is lit already goes back to the lay, so that the same key switches it off.
    """

    lamp: Lamp


@dataclass(frozen=True, slots=True)
class ClothColour:
    """Choose the inks for cloth of the next colour."""


@dataclass(frozen=True, slots=True)
class TurnText:
    """Turn all text by a quarter turn to the left, to the next side of the table."""


@dataclass(frozen=True, slots=True)
class Magnify:
    """Show the next notch of the selected piece magnified; after the last one, none."""


@dataclass(frozen=True, slots=True)
class MoveRuler:
    """Light a ruler between two table points; None puts it away."""

    start: Point | None
    end: Point | None = None


@dataclass(frozen=True, slots=True)
class TypeTape:
    """The digits of a tape reading as typed so far."""

    text: str


@dataclass(frozen=True, slots=True)
class ReadTape:
    """Take the typed reading; `error` is the predicted 95 % error of the ruler, mm, if known."""

    error: float | None = None


@dataclass(frozen=True, slots=True)
class AcceptCalibration:
    """Accept the offer of a fresh calibration: the session is left for it."""


@dataclass(frozen=True, slots=True)
class BreakOff:
    """Leave what is under way, the lightest thing first: take-up, typing, ruler, help, cards."""


@dataclass(frozen=True, slots=True)
class Tell:
    """Say one line to the worker."""

    words: str


@dataclass(frozen=True, slots=True)
class Trouble:
    """Why no piece may be lit now; empty when they may again."""

    words: str


@dataclass(frozen=True, slots=True)
class Undo:
    """Take back the latest change of the lay, or the latest take-up."""


@dataclass(frozen=True, slots=True)
class Redo:
    """Do again what was taken back."""


@dataclass(frozen=True, slots=True)
class Replace:
    """Put another lay, and where it comes from another draft the job too, in place of this one.

    One that is not `fresh` goes on with the change before it (a slider that is still held), so
    that one undo takes all of it back. `by` is told for a switch to another cloth: by what motion
    of its own frame that one lies elsewhere; undo puts the light back to where it was, too.
    """

    layout: Layout
    job: Job | None = None
    fresh: bool = True
    by: Motion | None = None


@dataclass(frozen=True, slots=True)
class Open:
    """Go on with another session: another job, or another cloth of it. Cannot be undone."""

    session: Session


@dataclass(frozen=True, slots=True)
class CloseWindow:
    """Close the window that gives the command. Meant for the loop; changes no session."""


@dataclass(frozen=True, slots=True)
class Quit:
    """End the program. Meant for the loop; changes no session."""


Command = (
    Select | Move | Put | Turn | Mirror | SnapToGrain | SnapToFold | Tidy | Lock | TickAsCut
    | Snapping | SlideCloth | TakeUpCloth | AimCross | PutCross | Help | Layer
    | SeamOnly | Light | ClothColour | TurnText | Magnify | MoveRuler | TypeTape
    | ReadTape | AcceptCalibration | BreakOff | Tell | Trouble | Undo | Redo | Replace | Open
    | CloseWindow | Quit
)  # fmt: skip
