"""What was laid since the job was last saved, gesture by gesture, so that a crash loses at most
the gesture that was under way.

A journal lies beside its job. It begins with the fingerprint of the job it continues; each line
after it is one whole lay with a checksum. It is removed when the job is saved.
"""

from __future__ import annotations

import json
import os
import zlib
from dataclasses import dataclass
from pathlib import Path

from projector.errors import ProjectorError
from projector.files.cloth_entries import lay_plain, read_lay
from projector.files.holding import fingerprint
from projector.files.sheet import read_entries
from projector.files.writing import write_text
from projector.job import Lay

__all__ = ["Recovery", "begin", "journal_path", "note", "recovered", "remove"]


@dataclass(frozen=True, slots=True)
class Recovery:
    """What a journal held.

    Parameters
    ----------
    lays
        The last whole lay of each cloth that was changed.
    gestures
        How many whole gestures were read.
    problems
        What could not be read or does not fit, one line each; empty for a sound journal. A last
        line that was cut off by the crash is the gesture under way and no problem.
    """

    lays: tuple[Lay, ...] = ()
    gestures: int = 0
    problems: tuple[str, ...] = ()


def journal_path(job: Path) -> Path:
    """Where the journal of a job lies."""
    job = job.resolve()
    return job.with_name(f".{job.name}.journal")


def begin(job: Path) -> None:
    """Start an empty journal for the job as it is on the disk now."""
    write_text(journal_path(job), _line(fingerprint(job)))


def note(job: Path, lay: Lay) -> None:
    """Add the lay after one gesture. It is on the disk when this returns."""
    path = journal_path(job)
    try:
        handle = os.open(path, os.O_WRONLY | os.O_APPEND)
    except OSError as error:
        raise ProjectorError(
            f"{path}: cannot be written ({error.strerror or error}); save the job now"
        ) from error
    size = os.fstat(handle).st_size
    try:
        content = _line(json.dumps(lay_plain(lay))).encode()
        while content:
            content = content[os.write(handle, content) :]
        os.fsync(handle)
    except OSError as error:
        os.ftruncate(handle, size)  # half a line would spoil the next one
        raise ProjectorError(
            f"{path}: cannot be written ({error.strerror or error}); save the job elsewhere now"
        ) from error
    finally:
        os.close(handle)


def remove(job: Path) -> None:
    """Remove the journal, once the job itself has been saved."""
    journal_path(job).unlink(missing_ok=True)


def recovered(job: Path) -> Recovery | None:
    """What the journal of a job holds; None when there is none or nothing in it."""
    path = journal_path(job)
    try:
        content = path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise ProjectorError(f"{path}: cannot be read ({error.strerror or error})") from error
    *whole, _under_way = content.split(b"\n")
    if not whole:
        return None
    begun = _checked(whole[0])
    problems = []
    if begun is None:
        problems.append(
            f"{path}:1 is damaged; it cannot be told which state of the job it continues"
        )
    elif begun != fingerprint(job):
        problems.append(f"{path}:1 continues another state of the job than the one on the disk")
    texts = [_checked(line) for line in whole[1:]]
    problems += [
        f"{path}:{number} is damaged and was passed over"
        for number, text in enumerate(texts, 2)
        if text is None
    ]
    lays: dict[str, Lay] = {}
    for text in filter(None, reversed(texts)):
        cloth = str(json.loads(text).get("cloth"))
        if cloth not in lays:
            lay = _lay(text, str(path))
            if lay is not None:
                lays[cloth] = lay
    gestures = sum(text is not None for text in texts)
    if not gestures and not problems:
        return None
    return Recovery(tuple(reversed(lays.values())), gestures, tuple(problems))


def _line(text: str) -> str:
    return f"{zlib.crc32(text.encode()):08x} {text}\n"


def _checked(line: bytes) -> str | None:
    total, _, text = line.partition(b" ")
    if total != b"%08x" % zlib.crc32(text):
        return None
    return text.decode("ascii", errors="replace")


def _lay(text: str, file: str) -> Lay | None:
    entry = read_entries(text, file)
    lay = read_lay(entry)
    return None if entry.problems.lines else lay
