"""The table: the map in use and how sure it is, and calibrating it by one of three routes."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from calibration.errors import CalibrationError
from calibration.table_map import TableMap
from calibration.uncertainty import metre_error
from projector.desk.areas import Area, Frame, columns, cut_bottom, cut_left, cut_top, inset
from projector.desk.camera_route import camera_items, camera_used
from projector.desk.controls import Button, Figure, Item, Look, Panel, Used, Words
from projector.desk.lettering import broken, line_height
from projector.desk.mark_routes import mark_items, mark_used
from projector.desk.pages import stepped
from projector.desk.palette import LETTERS_PX
from projector.desk.route_steps import begun
from projector.desk.table_figures import ErrorContent
from projector.desk.table_part import ROUTES, TableKnown, TablePart
from projector.desk.view import Known, Outcome, View, Wish
from projector.stage.session import Session

__all__ = ["CAUTIONS", "HELP", "table_items", "table_used"]

CAUTIONS = (
    "A projector over the table needs a mount rated for its weight, into the structure, and an "
    "independent safety cable; have a competent person fit it. Never look into the lens, nor lean "
    "into the beam; switch it off before reaching up. Do not calibrate from a ladder: work at the "
    "table. Mind the camera's cable and stand. Local codes and licensed practice govern."
)
_CAUTIONS_SIZE = 0.84
HELP = (
    "The map tells which pixel of the projector falls on which millimetre of the table. It holds "
    "until projector or table is moved, and for one resolution of the screen.\n"
    "By camera: light a board, lay a printed one into its white field, photograph both from "
    "several sides. The surest way.\n"
    "By hand: move lit crosshairs onto the ruling of a cutting mat. By tape: measure between lit "
    "marks. Both need no camera.\n"
    "The error map tells how far a lit line may be off, anywhere on the table, 19 times of 20. "
    f"\n{CAUTIONS}"
)


def table_items(view: View, session: Session, known: Known, frame: Frame) -> tuple[Item, ...]:
    """Everything on the place."""
    part = view.part(TablePart)
    warn, upper = cut_bottom(frame.body, _cautions_height(frame), frame.px(10))
    left, right = cut_left(upper, frame.px(400), frame.px(12))
    items: list[Item] = [Panel(left), Panel(right), Panel(warn)]
    title, words = _cautions_areas(warn, frame)
    items += [
        Words(title, "Cautions", "warning", 0.92, bold=True),
        Words(words, CAUTIONS, "ink", _CAUTIONS_SIZE, wrapped=True),
    ]
    inner = inset(left, frame.px(12), frame.px(10))
    tabs, inner = cut_top(inner, frame.px(40), frame.px(10))
    names = {"": "In use", **ROUTES}
    for name, slot in zip(names, columns(tabs, 4, frame.px(4)), strict=True):
        look: Look = "chosen" if name == part.route else "plain"
        items.append(Button(f"route:{name}", slot, names[name], look))
    right = inset(right, frame.px(12), frame.px(10))
    if part.route == "camera":
        return (*items, *camera_items(part, view, known, inner, right, frame))
    if part.route:
        return (*items, *mark_items(part, view, known, inner, right, frame))
    return (*items, *_in_use(known, inner, right, frame))


def _cautions_areas(warn: Area, frame: Frame) -> tuple[Area, Area]:
    """Of the heading and of the words beside it, in the strip under the place."""
    title, words = cut_left(inset(warn, frame.px(14), frame.px(8)), frame.px(86), frame.px(8))
    return cut_top(title, frame.px(20))[0], words


def _cautions_height(frame: Frame) -> int:
    letters = round(_CAUTIONS_SIZE * LETTERS_PX * frame.scale)
    width = _cautions_areas(frame.body, frame)[1].width
    return line_height(letters) * len(broken(CAUTIONS, letters, width)) + frame.px(18)


def _in_use(known: Known, left: Area, right: Area, frame: Frame) -> list[Item]:
    table: TableKnown = known.table
    table_map = known.table_map
    items: list[Item] = []
    if table_map is None:
        title, rest = cut_top(left, frame.px(34), frame.px(4))
        text = (
            "Nothing can be lit at true scale yet. Choose one of the three routes above; by "
            "camera is the surest."
        )
        return [
            Words(title, "Not calibrated yet", "warning", 1.15, bold=True),
            Words(rest, text, wrapped=True),
            Words(right, "The error map will stand here.", "soft", align="middle"),
        ]
    record = table.record
    lines = [("Screen", "{} x {} pixels".format(*table_map.screen_size))]
    if record is not None:
        lines += [("Found", record.route or "unknown"), ("On", record.date or "unknown")]
    lines.append(("File", known.table_told))
    lines.append(("Sure", _sure(table_map)))
    for name, text in lines:
        line, left = cut_top(left, frame.px(32), frame.px(2))
        label, rest = cut_left(line, frame.px(70), frame.px(4))
        items += [Words(label, name, "soft"), Words(rest, text)]
    button, left = cut_top(Area(left.x, left.y + frame.px(8), left.width, left.height),
                           frame.px(44), frame.px(10))  # fmt: skip
    text = "Light 100 mm squares to check" if not known.lit else "Darken the stage"
    items.append(Button("check", button, text, "main", help="Hold a tape or a rule against them"))
    if record is not None and record.findings:
        items.append(Words(left, "\n".join(record.findings), "soft", 0.86, wrapped=True))
    items.append(Figure("error", right, ErrorContent(table_map)))
    return items


@lru_cache(maxsize=4)
def _sure(table_map: TableMap) -> str:
    try:
        return f"1 m is right to ± {metre_error(table_map):.2f} mm"
    except CalibrationError:
        return "unknown; the record is of an older version"


def table_used(used: Used, view: View, session: Session, known: Known) -> Outcome | None:
    """What a control of the place does; None for a control that is not of this place."""
    what, rest = used.meant
    part = view.part(TablePart)
    if what == "route":
        after = begun(part, rest, known.displays, known.settings.display)
        return Outcome(view.with_part(after), wishes=(Wish("table dark"),))
    if what == "check":
        return Outcome(view, wishes=(Wish("darken" if known.lit else "light squares"),))
    if what == "display":
        after = replace(part, display=int(rest))
        settings = replace(known.settings, display=int(rest))
        return Outcome(view.with_part(after), wishes=(Wish("settings", settings),))
    if what == "step":
        after = replace(part, step=stepped(part.step, rest))
        return Outcome(view.with_part(after))
    if what == "found":
        return Outcome(view, wishes=(Wish(f"table {rest}"),))
    if part.route == "camera":
        return camera_used(used, part, view, known)
    if part.route:
        return mark_used(used, part, view, known)
    return None
