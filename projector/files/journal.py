"""What was done since the job was last saved, gesture by gesture, so that a crash loses at most
the gesture that was under way.

A journal lies beside its job. It begins with the fingerprint of the job it continues; each line
after it tells one change with a checksum, or that the job is about to be saved. A crash between
the saving and the new journal is therefore no riddle: what lies before the state that is on the
disk is in it already. A journal is removed when the job is saved and closed.
"""

from __future__ import annotations

import json
import os
import zlib
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path
from typing import Any

from projector.errors import ProjectorError
from projector.files.holding import fingerprint, fingerprint_of
from projector.files.job import job_changes, job_from_text, job_plain, job_text, plain_text
from projector.files.reading import read_bytes, read_text, resolved
from projector.files.writing import write_text
from projector.job import Job

__all__ = [
    "Recovery", "begin", "journal_path", "note", "recovered", "remove", "save",
    "set_aside",
]  # fmt: skip

LARGEST_JOURNAL = 1_000_000_000
"""Bytes; a day of ten thousand gestures on large lays has some 200 million."""


@dataclass(frozen=True, slots=True)
class Recovery:
    """What a journal held.

    Parameters
    ----------
    job
        The job as it was after the last whole gesture.
    gestures
        How many whole gestures were read.
    problems
        What could not be read or does not fit, one line each; empty for a sound journal. A last
        line that was cut off by the crash is the gesture under way and no problem.
    """

    job: Job
    gestures: int = 0
    problems: tuple[str, ...] = ()


def journal_path(job: Path) -> Path:
    """Where the journal of a job lies."""
    job = resolved(job)
    return job.with_name(f".{job.name}.journal")


def begin(job: Path) -> None:
    """Start an empty journal for the job as it is on the disk now."""
    write_text(journal_path(job), _line(fingerprint(job)), private=True)


def note(job: Path, before: Job, after: Job) -> None:
    """Add what one gesture changed, anywhere in the job. It is on the disk when this returns."""
    changes = job_changes(before, after)
    if "pieces" in changes:
        job_text(after)  # refuses what could not be read again
    if changes:
        _add(job, changes)


def save(path: Path, job: Job) -> None:
    """Save the job and start an empty journal; at no moment does a crash lose anything.

    What the worker wrote as comments at the head of the file stays there.
    """
    text = _heading(path) + job_text(job)
    if journal_path(path).exists():
        _add(path, {"saving": fingerprint_of(text.encode())})
    write_text(path, text)
    begin(path)


def _heading(path: Path) -> str:
    """The comments a file begins with, each a line."""
    if not path.exists():
        return ""
    lines = read_text(path, "job file").splitlines()
    return "".join(f"{line}\n" for line in takewhile(lambda line: line.startswith("#"), lines))


def remove(job: Path) -> None:
    """Remove the journal, once the job itself has been saved."""
    journal_path(job).unlink(missing_ok=True)


def set_aside(job: Path) -> Path:
    """Keep the journal under a name that is free, so that a new one can be begun; that name."""
    path = journal_path(job)
    number = 1
    while (kept := path.with_name(f"{path.name}.kept-{number}")).exists():
        number += 1
    path.rename(kept)
    return kept


def recovered(path: Path, job: Job) -> Recovery | None:
    """What the journal of a job holds that `job`, as read from `path`, does not.

    None when there is no journal or nothing new in it.
    """
    place = journal_path(path)
    if place.is_symlink():  # nothing is read or written where somebody else points
        raise ProjectorError(f"{place}: a link where a journal was wanted; take it away")
    if not place.exists():
        return None
    content = read_bytes(place, LARGEST_JOURNAL, "journal")
    *whole, _under_way = content.split(b"\n")
    if not whole:
        return None
    texts = [_checked(line) for line in whole]
    problems = [
        f"{place}:{number} is damaged and was passed over"
        for number, text in enumerate(texts, 1)
        if text is None
    ]
    entries = [_entry(text) for text in texts]
    on_disk = fingerprint(path)
    marks = [n for n, entry in enumerate(entries) if entry.get("saving") == on_disk]
    if not marks:
        problems.append(f"{place}:1 continues another state of the job than the one on the disk")
        return Recovery(job, 0, tuple(problems))
    changes = [entry for entry in entries[marks[-1] + 1 :] if entry and "saving" not in entry]
    if not changes and not problems:
        return None
    try:
        return Recovery(_with_changes(job, changes, place), len(changes), tuple(problems))
    except ProjectorError as error:
        problems.append(str(error).splitlines()[0])
        return Recovery(job, 0, tuple(problems))


def _with_changes(job: Job, changes: list[dict[str, Any]], place: Path) -> Job:
    plain = job_plain(job)
    lays = {lay["cloth"]: lay for lay in plain.get("lays", [])}
    try:
        for change in changes:
            plain.update(change)
            lays.update({lay["cloth"]: lay for lay in change.get("lays", [])})
        plain["lays"] = list(lays.values())
        text = plain_text({name: value for name, value in plain.items() if value is not None})
    except (TypeError, KeyError, RecursionError) as error:
        raise ProjectorError(f"{place}: a change in it is not as this program writes it") from error
    return job_from_text(text, str(place))


def _add(job: Path, entry: dict[str, Any]) -> None:
    path = journal_path(job)
    try:
        way = os.O_RDWR | os.O_APPEND | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
        handle = os.open(path, way)
    except OSError as error:
        raise ProjectorError(
            f"{path}: cannot be written ({error.strerror or error}); save the job now"
        ) from error
    try:
        _end_whole(handle)
        content = _line(json.dumps(entry)).encode()
        while content:
            content = content[os.write(handle, content) :]
        os.fsync(handle)
    except OSError as error:  # half a line may stay; the next entry takes it away
        raise ProjectorError(
            f"{path}: cannot be written ({error.strerror or error}); save the job elsewhere now"
        ) from error
    finally:
        os.close(handle)


def _end_whole(handle: int) -> None:
    """Take away a last line that a crash or a full disk cut off, which would spoil the next."""
    size = os.fstat(handle).st_size
    os.lseek(handle, max(size - 1, 0), os.SEEK_SET)
    if os.read(handle, 1) in (b"\n", b""):
        return
    os.lseek(handle, 0, os.SEEK_SET)
    with os.fdopen(os.dup(handle), "rb") as stream:
        os.ftruncate(handle, stream.read().rfind(b"\n") + 1)


def _line(text: str) -> str:
    return f"{zlib.crc32(text.encode()):08x} {text}\n"


def _checked(line: bytes) -> str | None:
    total, _, text = line.partition(b" ")
    if total != b"%08x" % zlib.crc32(text):
        return None
    return text.decode("ascii", errors="replace")


def _entry(text: str | None) -> dict[str, Any]:
    """One line's change; the first line, which is a fingerprint alone, reads as a saving."""
    if text is None:
        return {}
    if not text.startswith("{"):
        return {"saving": text}
    try:
        plain = json.loads(text)
    except (ValueError, RecursionError):
        return {}
    return plain if isinstance(plain, dict) else {}
