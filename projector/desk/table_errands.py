"""What the table's place has done for it: lit boards and marks, calibrations, the record in use."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pygame

from calibration.board import drawn_on_screen
from calibration.record import Record
from calibration.table_map import TableMap
from projector.board_sheet import board_pdf
from projector.desk.calibrating import Found, Looked, Photographs, calibrated, looked
from projector.desk.camera_route import boards_now, with_photo
from projector.desk.found_by_marks import found_by_hand, found_by_tape
from projector.desk.mark_routes import pair_now, screen_places
from projector.desk.projected import ProjectedWindow, crosshairs, marks
from projector.desk.route_steps import begun
from projector.desk.seeing import Boards, Seen, unreadable
from projector.desk.table_part import TableKnown, TablePart
from projector.desk.view import View, told
from projector.desk.watching import Missed, Taken, Watching
from projector.desk.work import Work
from projector.files.settings import settings_path
from projector.files.table import read_record, write_record
from projector.files.writing import write_bytes
from projector.stage.loop import Window

__all__ = ["TableErrands"]

OPENING = "opening the camera"
IMAGES = (".jpg", ".jpeg", ".png", ".tif", ".tiff", ".bmp", ".heic", ".heif")


class TableErrands:
    """Keeps the record in use, and carries out the wishes of the table's place."""

    def __init__(self, windows: list[Window]) -> None:
        self._windows = windows
        self._lit: ProjectedWindow | None = None
        self._lit_now: Any = None
        self._work = Work()
        self._looking = Work(Looked)
        self.watching = Watching(self._light_for_camera)
        self._seen: dict[tuple[Path, Boards], Seen] = {}
        self._found: Found | None = None
        self.record: Record | None = None
        self.path: Path | None = None
        self._images: tuple[str, ...] = ()

    @property
    def known(self) -> TableKnown:
        """What the place shows."""
        lit = self._lit is not None and self._lit.open
        return TableKnown(
            self.record, self.path, self._work.progress, self._found, lit, self._images,
            self.watching.under_way, self.watching.live, self.watching.doing, self._seen,
        )  # fmt: skip

    def passes(self, event: pygame.Event) -> bool:
        """Whether a key was pressed on the lit board or marks that the desk is to hear."""
        return self._lit is not None and self._lit.open and self._lit.passes(event)

    @property
    def pace(self) -> float | None:
        """Seconds between looks at work under way."""
        if self.watching.under_way:
            return 0.08
        return 0.2 if self._work.progress or self._looking.progress else None

    def take(self, path: Path) -> TableMap:
        """Use the record in a file from now on."""
        self.record, self.path = read_record(path), path
        return self.record.table_map

    def listed(self, folder: Path) -> None:
        """List the photographs of a folder."""
        try:
            found = [path.name for path in folder.iterdir() if path.suffix.lower() in IMAGES]
        except OSError:
            found = []
        self._images = tuple(sorted(found, key=str.lower))

    def guided(self, view: View, display: int | None) -> View:
        """The first step of the route by which the map in use was found."""
        found = "" if self.record is None else self.record.route
        route = {"by hand": "hand", "tape": "tape"}.get(found, "camera")
        part = view.part(TablePart)
        fresh = replace(part, photos=(), places=(), lengths=(), looked_at=0, chosen=0)
        part = begun(fresh, route, pygame.display.get_desktop_sizes(), display)
        self._found = None
        view = replace(view, place="table", helping=False).with_part(part)
        return told(view, "the map is off: calibrate again, step by step", "warning")

    def news(self, view: View, folder: Path) -> View:
        """What has come of work under way; the marks that are lit follow the view."""
        result = self._work.poll()
        if isinstance(result, Found):
            self._found = result
            view = told(view, "a map was found: look at it, then use it or throw it away", "fine")
        elif isinstance(result, str) and result:
            view = told(view, result, "stop")
        view = self._watched(view, folder)
        if self._lit is not None and self._lit.fault:
            view = told(view, self._lit.fault, "stop")
            self.darken()
        self._look(view.part(TablePart))
        self._follow(view.part(TablePart))
        return view

    def _watched(self, view: View, folder: Path) -> View:
        """What the live camera tells; it is let go of once something else is done."""
        part = view.part(TablePart)
        if view.place != "table" or part.route != "camera" or part.step != 1:
            self.watching.stop()
        news = self.watching.poll()
        if isinstance(news, Missed):
            self._light_board()
            return told(view, news.fault, "stop")
        if isinstance(news, Taken):
            self._light_board()
            self.listed(folder)
            self._seen = {**self._seen, (news.path, news.boards): news.seen}
            good = "" if news.seen.fault else "; move the camera and take the next"
            view = with_photo(view, news.path)
            return told(view, news.seen.fault or f"{news.path.name} was taken{good}",
                        "warning" if news.seen.fault else "fine")  # fmt: skip
        if news:
            return told(view, news, "stop")
        seeing = self.watching.live is not None and view.message == OPENING
        return told(view, "") if seeing else view

    def _look(self, part: TablePart) -> None:
        """Look for the boards in chosen photographs, so that it is told at once what they show."""
        news = self._looking.poll()
        if isinstance(news, Looked):
            self._seen = {**self._seen, (news.path, news.boards): news.seen}
        if part.route != "camera" or self._looking.progress is not None:
            return
        boards = boards_now(part, pygame.display.get_desktop_sizes())
        unseen = tuple(path for path in part.photos if (path, boards) not in self._seen)
        if isinstance(news, str) and news:
            self._seen |= {(path, boards): unreadable(news) for path in unseen}
        elif unseen and self._work.progress is None:
            self._looking.begin(looked, Photographs(unseen, boards))

    def _follow(self, part: TablePart) -> None:
        if self._lit is None or not self._lit.open or part.route not in ("hand", "tape"):
            return
        size = self._lit.size
        places = screen_places(part, size)
        now = (part.route, places, part.chosen)
        if now == self._lit_now:
            return
        self._lit_now = now
        if part.route == "hand":
            self._lit.light(crosshairs(size, places, part.chosen))
        else:
            self._lit.light(marks(size, places, pair_now(part)))

    def darken(self) -> None:
        """Close the window of the board or the marks."""
        if self._lit is not None:
            self._lit.close()
        self._lit = self._lit_now = None

    def close(self) -> None:
        """End what is under way."""
        self._work.stop()
        self._looking.stop()
        self.watching.stop()
        self.darken()

    def done(self, what: str, value: Any, view: View, folder: Path) -> View:
        """Carry out one of the place's own wishes."""
        part = view.part(TablePart)
        plain: dict[str, Callable[[], None]] = {
            "dark": self.darken,
            "stop": self._work.stop,
            "away": self._away,
            "unwatch": self.watching.stop,
        }
        if what in plain:
            plain[what]()
            return told(view, "")
        match what:
            case "board" | "marks":
                return self._light(what, int(value), view)
            case "sheet":
                path = folder / f"printed-board-{value}.pdf"
                write_bytes(path, board_pdf(str(value)))
                return told(view, f"written to {path}; print it at 100 %", "fine")
            case "take":
                number = 1
                while (path := folder / f"table-{number}.png").exists():
                    number += 1
                view, by_lights = told(view, ""), value == "lights"
                if by_lights and not (self._lit is not None and self._lit.open):
                    view = self._light("board", part.display or 0, view)
                self.watching.take(path, by_lights)
            case "watch":
                self.watching.begin(part.source, value)
                return told(view, OPENING)
            case "find":
                self._found = None
                self._work.begin(calibrated, value)
                return told(view, "")
            case "hand":
                self._found = found_by_hand(part, value)
                return told(view, "a map was found: look at it, then use it", "fine")
            case "tape":
                self._found = found_by_tape(part, value)
                return told(view, "a map was found: look at it, then use it", "fine")
        return view

    def _away(self) -> None:
        self._found = None

    def _light(self, what: str, display: int, view: View) -> View:
        if self._lit is not None and self._lit.open:
            self.darken()
            return told(view, "")
        self._lit = ProjectedWindow(display)
        self._windows.append(self._lit)
        if what == "board":
            self._light_board()
        return told(view, "lit; Escape on the projector's window darkens it")

    def _light_board(self) -> None:
        """The board with its field for the sheet, where the window for it is open."""
        if self._lit is not None and self._lit.open:
            size = self._lit.size
            self._lit.light(drawn_on_screen(Boards(size).lit, size))

    def _light_for_camera(self, image: npt.NDArray[np.uint8]) -> None:
        if self._lit is not None and self._lit.open:
            self._lit.light(image)

    def keep(self) -> tuple[TableMap, Path] | None:
        """Write what was found as the record in use; the map and the file."""
        if self._found is None:
            return None
        path = settings_path().with_name("table.yaml")
        path.parent.mkdir(parents=True, exist_ok=True)
        write_record(path, self._found.record)
        self.record, self.path, self._found = self._found.record, path, None
        return self.record.table_map, path
