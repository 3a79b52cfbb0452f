"""What the desk has done for it: files, settings, the stage's window, the search's process."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pygame

from calibration.table_map import TableMap
from drafting.plane import Motion
from projector.camera import Frames
from projector.desk.camera_route import with_photo
from projector.desk.folders import Listing, free_path, jobs_in
from projector.desk.job_place import with_name
from projector.desk.laying import Laying, check_room, tidied
from projector.desk.paper_errands import PAPERS, Papers
from projector.desk.reckoning import Reckoning
from projector.desk.sessions import FAULTS, job_now, session_of
from projector.desk.table_errands import IMAGES, TableErrands
from projector.desk.table_part import TablePart
from projector.desk.trace_part import traced_from, with_trace_photo, with_traced
from projector.desk.view import Known, Place, View, Wish, told
from projector.desk.work import Work
from projector.errors import ProjectorError
from projector.file_names import plain_name
from projector.files.opening import OpenJob, new_job
from projector.files.reading import resolved
from projector.files.settings import write_settings
from projector.files.writing import write_text
from projector.job import Job, cloth_lies
from projector.photo import read_photo
from projector.settings import Settings, with_recent
from projector.stage.commands import Command, Layer, Open, Replace
from projector.stage.loop import Window
from projector.stage.sections import lit_window
from projector.stage.session import Session
from projector.stage.steps import lies_now
from projector.stage.window import StageWindow

__all__ = ["Errands"]

Done = tuple[View, tuple[Command, ...]]


class Errands:
    """Carries out wishes. `windows` is the loop's own list, so that the stage can be added."""

    def __init__(
        self,
        settings: Settings,
        windows: list[Window],
        table: Path | None = None,
        display: int | None = None,
    ) -> None:
        self.settings = settings
        self.windows = windows
        self.display = display if display is not None else settings.display
        self.opened: OpenJob | None = None
        self.table_map: TableMap | None = None
        self.table_told = ""
        self._stage: StageWindow | None = None
        self._folder = Path.cwd()
        self._listing: Listing = ()
        self._news = ""
        self._laying = Laying()
        self._reckoning = Reckoning()
        self._table = TableErrands(windows)
        self._tracing = Work()
        self._papers = Papers()
        if table is not None or settings.table:
            self._take_table(table or Path(settings.table))
        self._list()

    def watch_through(self, opening: Callable[[str], Frames]) -> None:
        """Take the pictures of live cameras from elsewhere, as a rehearsal does."""
        self._table.watching.opening = opening

    def passes(self, event: pygame.Event) -> bool:
        """Whether a key was pressed on the projector's window that the desk is to hear."""
        return self._table.passes(event)

    # --- what is known -------------------------------------------------------------------

    def known(self, session: Session) -> Known:
        """What is around the desk now."""
        return Known(
            path=self.opened.path if self.opened else None,
            saved=self.opened is None or self.opened.saved == self._now(session),
            settings=self.settings,
            displays=tuple(pygame.display.get_desktop_sizes()),
            table_map=self.table_map,
            table_told=self.table_told,
            lies=self._lies(session) if self.table_map is not None else Motion(),
            lit=self._stage is not None and self._stage.open,
            search=self._laying.progress,
            before_search=self._laying.before,
            bound=self._reckoning.bound(session.layout),
            leftover=self._reckoning.leftover(session.layout),
            folder=self._folder,
            table=self._table.known,
            listing=self._listing,
            tracing=self._tracing.progress,
        )

    @property
    def pace(self) -> float | None:
        """Seconds between looks at work that goes on by itself; None when there is none."""
        tracing = self._tracing.progress is not None
        busy = tracing or self._laying.busy or self._papers.busy or self._reckoning.busy
        return 0.1 if busy and not self._table.pace else self._table.pace

    def news(self, view: View, session: Session) -> Done:
        """What has come of work that goes on by itself."""
        if self._news:
            view, self._news = told(view, self._news, "stop"), ""
        commands: tuple[Command, ...] = ()
        if self._stage is not None and not self._stage.open:
            self._stage, view = None, told(view, "the stage is dark")
            if session.wants_calibration:
                view = self._table.guided(view, self.settings.display)
                commands = (Open(replace(session, wants_calibration=False)),)
        view = self._table.news(view, self._folder)
        if written := self._papers.news():
            view = told(view, written.words, "fine" if written.fine else "stop")
        if self._tracing.progress is not None:
            view = with_traced(view, self._tracing.poll())
        lays, message = self._laying.news(session.layout)
        return (told(view, message) if message else view), (*commands, *lays)

    def _now(self, session: Session) -> Job | None:
        known = self.table_map is not None
        return job_now(session, self._lies(session) if known else None)

    def _lies(self, session: Session) -> Motion:
        """Where the cloth lies under the light, against where it lies at first."""
        return lies_now(self._cloth_place(), session.table_from_cloth)

    def keep(self, session: Session) -> None:
        """Journal a finished gesture; the worker is told when that fails."""
        job = self._now(session)
        if self.opened is None or job is None:
            return
        try:
            self.opened.note(job)
        except ProjectorError as error:
            self._news = str(error)

    def close(self, session: Session) -> str:
        """End everything that is under way, and `finish`."""
        self._table.close()
        self._tracing.stop()
        self._papers.end()
        self._reckoning.close()
        return self.finish(session)

    def finish(self, session: Session) -> str:
        """Save and let go of the job; what went wrong, if anything did."""
        fault = ""
        self._laying.stop()
        self._laying.before = None
        if self.opened is not None:
            self.keep(session)
            try:
                self.opened.save_somewhere()
            except ProjectorError as error:
                fault = str(error)
            self.opened.close()
            self.opened = None
        return fault

    # --- wishes --------------------------------------------------------------------------

    def done(self, wish: Wish, view: View, session: Session) -> Done:
        """Carry out a wish; what cannot be done is told at the foot and changes nothing."""
        try:
            return self._carried(wish, view, session)
        except FAULTS as error:
            # The folder is known; its path would fill the line.
            return told(view, str(error).replace(f"{self._folder}{os.sep}", ""), "stop"), ()
        except OSError as error:
            return told(view, f"{error.filename}: {error.strerror or error}", "stop"), ()

    def _carried(self, wish: Wish, view: View, session: Session) -> Done:
        match wish.what:
            case "dropped" if Path(wish.value).suffix.lower() in IMAGES:
                return self._photo(Path(wish.value), view)
            case "open" | "dropped":
                return self.open_job(Path(wish.value), view, session)
            case "folder" | "path":
                path = Path(wish.value)
                if path.is_dir():
                    self._folder = path.resolve()
                    self._list()
                    return told(view, ""), ()
                return self.open_job(path, view, session)
            case "new":
                return self._new(str(wish.value), view, session)
            case "example":
                return self._example(view, session)
            case "save":
                return self._saved(view, session)
            case "copy":
                return self._copied(view, session)
            case "write":
                job = self._now(session)
                if self.opened is None or job is None:
                    return told(view, "no job is open"), ()
                self._papers.write(job, self._table.record, self.opened.path, wish.value)
                return told(view, f"writing: {PAPERS[wish.value][0]}"), ()
            case "settings":
                self._set(wish.value)
                return view, ()
            case "search begin":
                check_room(session.layout)
                self._laying.begin(session.layout)
                return told(view, "searching for a shorter lay"), ()
            case "search stop":
                self._laying.stop()
                return told(view, "stopped; the shortest lay so far is shown"), ()
            case "search undo":
                before = self._laying.before
                return view, () if before is None else (Replace(before),)
            case "trace":
                self._tracing.begin(traced_from, wish.value)
                return told(view, ""), ()
            case "lay tidy":
                after = tidied(session.layout, session.selection)
                if after == session.layout:
                    return told(view, "nothing could be moved closer"), ()
                return told(view, ""), (Replace(after),)
            case "lay rest":
                check_room(session.layout)
                self._laying.lay_rest(session.layout)
                return told(view, "laying the rest"), ()
            case "light":
                return self._light(view, session)
            case "light squares":
                view, commands = self._light(view, session)
                lit = "100 mm squares" in session.layers
                return view, commands if lit else (*commands, Layer("100 mm squares"))
            case "photo path":
                return self._photo(Path(wish.value), view)
            case "table keep":
                return self._kept(view, session)
            case "darken":
                if self._stage is not None and self._stage.open:
                    self._stage.close()
                return told(view, "the stage is dark"), ()
        if wish.what.startswith("table "):
            what = wish.what.removeprefix("table ")
            return self._table.done(what, wish.value, view, self._folder), ()
        raise ProjectorError(f"nobody knows how to {wish.what}")

    def open_job(self, path: Path, view: View, session: Session) -> Done:
        """Open a job; the one that was open is saved first."""
        path = resolved(path)
        if not path.exists() and path.parent.is_dir():
            self._folder = path.parent
            self._list()
            return with_name(view, path), ()
        self._folder = path.parent
        self._list()
        if self.opened is not None and self.opened.path == path:
            return told(replace(view, place="draft"), "this job is open already"), ()
        opened = OpenJob(path)
        fault = self.finish(session)
        self.opened = opened
        self._set(with_recent(self.settings, str(path)))
        fresh, wrong = session_of(opened.job)
        cloth = fresh.layout.cloth.name
        place = self._cloth_place() @ cloth_lies(opened.job, cloth)
        fresh = replace(fresh, table_from_cloth=place, layers=session.layers)
        shown: Place = "draft" if opened.job.wearers else "job"
        view = replace(view, place=shown, wearer=0, page=0, trial=None, changing="", parts={})
        problem = wrong or fault
        view = told(view, problem or ". ".join(opened.told), "stop" if problem else "soft")
        return view, (Open(fresh),)

    def _new(self, name: str, view: View, session: Session) -> Done:
        stem = plain_name(name.strip()).strip("-") if name.strip() else ""
        if not stem:
            raise ProjectorError("a new job needs a name; type one beside the button")
        path = self._folder / f"{stem}.yaml"
        new_job(path, Job(name.strip()))
        self._list()
        view, commands = self.open_job(path, view, session)
        return replace(view, place="draft"), commands

    def _example(self, view: View, session: Session) -> Done:
        path = free_path(self._folder / "choir.yaml")
        text = files("projector.demonstration").joinpath("choir.yaml").read_text("utf-8")
        write_text(path, text)
        self._list()
        return self.open_job(path, view, session)

    def _saved(self, view: View, session: Session) -> Done:
        if self.opened is None:
            return told(view, "no job is open"), ()
        self.keep(session)
        self.opened.save()
        return told(view, f"saved {self.opened.path}", "fine"), ()

    def _copied(self, view: View, session: Session) -> Done:
        job = self._now(session)
        if self.opened is None or job is None:
            return told(view, "no job is open"), ()
        path = free_path(self.opened.path)
        new_job(path, job)
        self._list()
        return told(view, f"copied to {path.name}", "fine"), ()

    def _set(self, settings: Settings) -> None:
        self.settings = settings
        write_settings(settings)

    def _list(self) -> None:
        try:
            self._listing = jobs_in(self._folder)
        except OSError as error:
            self._listing = ()
            self._news = f"{self._folder}: cannot be listed ({error.strerror or error})"
        self._table.listed(self._folder)

    # --- the table -----------------------------------------------------------------------

    def _take_table(self, path: Path) -> None:
        try:
            self.table_map = self._table.take(path)
            self.table_told = str(path)
        except FAULTS as error:
            self._news = str(error)

    def _photo(self, path: Path, view: View) -> Done:
        if path.is_dir():
            self._folder = path.resolve()
            self._list()
            return told(view, ""), ()
        read_photo(path)  # a file that is no photograph is told at once
        self._folder = path.resolve().parent
        self._list()
        if view.place == "trace":
            return told(with_trace_photo(view, path.resolve()), ""), ()
        return told(with_photo(view, path.resolve()), ""), ()

    def _kept(self, view: View, session: Session) -> Done:
        lies = self._lies(session) if self.table_map is not None else Motion()
        kept = self._table.keep()
        if kept is None:
            return view, ()
        self.table_map, path = kept
        self.table_told = str(path)
        self._set(replace(self.settings, table=str(path)))
        if self._stage is not None and self._stage.open:
            self._stage.close()  # it may be of another size now
        self._table.darken()
        part = replace(view.part(TablePart), route="", step=0)
        place = self._cloth_place() @ lies
        # Where cloths lay under the old map says nothing under the new one.
        past, future = (
            tuple(replace(state, taken_up=None, place=None) for state in states)
            for states in (session.past, session.future)
        )
        placed = replace(session, table_from_cloth=place, past=past, future=future)
        view = told(view.with_part(part), "this map is in use now", "fine")
        return view, (Open(placed),)

    def _light(self, view: View, session: Session) -> Done:
        if self.table_map is None:
            raise ProjectorError(
                "the table is not calibrated yet: go to Table (F4) and choose a route"
            )
        if session.job is None:
            raise ProjectorError("no job is open: go to Job (F5) and open one, or begin a new one")
        if self._stage is not None and self._stage.open:
            return view, ()
        self._table.darken()
        self._stage = StageWindow(self.table_map, self._projector())
        self.windows.append(self._stage)
        return told(view, "the stage is lit", "fine"), ()

    def _cloth_place(self) -> Motion:
        """The near corner of the cut end a little inside the light."""
        if self.table_map is None:
            return Motion()
        left, near, _, _ = lit_window(self.table_map)
        return Motion(0.0, left + 30.0, near + 30.0)

    def _projector(self) -> int:
        """The display that was chosen, or the only one of the map's size that is not the first."""
        if self.display is not None:
            return self.display
        assert self.table_map is not None
        sizes = pygame.display.get_desktop_sizes()
        fits = [n for n, size in enumerate(sizes) if size == self.table_map.screen_size]
        return max(fits, default=len(sizes) - 1)
