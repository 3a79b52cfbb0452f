"""A job that is open: held, read, brought back after a crash, journalled, saved."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from projector.errors import ProjectorError
from projector.files import journal
from projector.files.holding import fingerprint, held, unchanged
from projector.files.job import demand_there, read_job, write_job
from projector.files.reading import resolved
from projector.job import Job

__all__ = ["OpenJob", "changing", "new_job"]


class OpenJob:
    """A job file in use. `job` is what the journal knows; `told` is what to tell the worker.

    Raises `ProjectorError` where the file cannot be read, is no job, or is open elsewhere.
    """

    def __init__(self, path: Path) -> None:
        self.path = resolved(path)
        demand_there(self.path)  # before it is held, so that nothing is left behind
        self._held = ExitStack()
        self._held.enter_context(held(self.path))
        try:
            self._read()
        except BaseException:
            self._held.close()
            raise

    def _read(self) -> None:
        self._known = fingerprint(self.path)
        self.saved = self.job = self._journalled = read_job(self.path)
        self.told: tuple[str, ...] = ()
        found = journal.recovered(self.path, self.job)
        if found is None:
            journal.begin(self.path)
            return
        self.job = self._journalled = found.job
        if found.gestures:
            changes = "1 change" if found.gestures == 1 else f"{found.gestures} changes"
            back = "is back" if found.gestures == 1 else "are back"
            self.told = (f"{changes} since the job was last saved {back}",)
        if found.problems:
            kept = journal.set_aside(self.path)
            journal.begin(self.path)
            journal.note(self.path, self.saved, self.job)
            self.told += (*found.problems, f"that journal is kept as {kept}")

    @property
    def changed(self) -> bool:
        """Whether something was done since the job was last saved."""
        return self.job != self.saved

    def note(self, job: Job) -> None:
        """Journal a finished gesture: the job as it is after it.

        Where the journal cannot be written, `ProjectorError` tells; the job is kept in memory,
        and the next gesture that can be written brings along what could not.
        """
        self.job = job
        journal.note(self.path, self._journalled, job)
        self._journalled = job

    def save(self) -> None:
        """Save the job. Raises `ProjectorError`, leaving the file, where another wrote to it.

        A file that was taken away meanwhile is written anew.
        """
        if not self.changed and self.path.exists():
            return
        if self.path.exists():
            unchanged(self.path, self._known)
        journal.save(self.path, self.job)
        self._known, self.saved = fingerprint(self.path), self.job
        self._journalled = self.job

    def save_somewhere(self) -> None:
        """Save the job, or keep it in another folder where its own does not take it.

        Raises `ProjectorError` when it could not be saved, with where the job is kept instead.
        """
        try:
            self.save()
        except ProjectorError as error:
            name = f"{self.path.stem}-kept{self.path.suffix}"
            for folder in (Path.home(), Path(tempfile.gettempdir())):
                try:
                    new_job(folder / name, self.job, private=True)
                except ProjectorError:
                    continue
                raise ProjectorError(
                    f"{error}. The job as it is now is kept as {folder / name}"
                ) from error
            raise

    def close(self) -> None:
        """Let go of the job; the journal stays where something is not saved."""
        if not self.changed:
            journal.remove(self.path)
        self._held.close()


@contextmanager
def changing(path: Path) -> Iterator[OpenJob]:
    """A job opened for one change by a command, and saved afterwards.

    What a crash left in the journal is brought back first and saved along with the change. When
    the change fails the file stays as it was. Raises `ProjectorError` as `OpenJob`.
    """
    opened = OpenJob(path)
    try:
        yield opened
        opened.save()
    finally:
        opened.close()


def new_job(path: Path, job: Job, private: bool = False) -> None:
    """Write a job to a file that is not there yet. Raises `ProjectorError` where one is."""
    if path.exists() or path.is_symlink():
        raise ProjectorError(
            f"{path}: there is a file of this name already; open it, or take another name"
        )
    write_job(path, job, private)
