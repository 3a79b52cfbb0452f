"""Job files: YAML to `Job` and back.

A length carries its unit ("92 cm", "36 1/4 in"); plain numbers inside placements and outlines
are millimetres.
"""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path
from typing import Any

import yaml

from drafting.characters import without_stray
from drafting.style import Style
from projector.cloth.cloth import Cloth
from projector.errors import ProjectorError
from projector.files.cloth_entries import cloth_plain, lay_plain, read_cloth, read_lay
from projector.files.piece_entries import piece_plain, read_piece
from projector.files.reading import read_text
from projector.files.sheet import LARGEST_FILE, MOST_VALUES, Entry, items_of, read_entries
from projector.files.wearer_entries import (
    read_style,
    read_wearer,
    style_plain,
    units_of,
    wearers_plain,
)
from projector.files.writing import write_text
from projector.job import Job

try:  # the compiled library, where there is one, is four times as fast
    from yaml import CSafeDumper as _SafeDumper
except ImportError:
    from yaml import SafeDumper as _SafeDumper  # type: ignore[assignment]

__all__ = [
    "VERSION", "demand_there", "job_changes", "job_from_text", "job_plain", "job_text",
    "plain_text", "read_job", "write_job",
]  # fmt: skip

VERSION = 1
MOST_WEARERS = 300
"""Each is drafted whenever the job is opened: some 20 ms."""

_FIELDS = (
    "shearlight_job", "name", "notes", "wearers", "style", "cloths", "pieces", "lays",
)  # fmt: skip


def read_job(path: Path) -> Job:
    """The job in a file.

    Raises `ProjectorError` with one line a problem: file, line, column, key, what was found,
    what was wanted.
    """
    demand_there(path)
    return job_from_text(read_text(path, "job file"), str(path))


def demand_there(path: Path) -> None:
    """Raise `ProjectorError` where there is no such job file, with what begins one."""
    if not os.path.lexists(path):
        raise ProjectorError(f"{path}: there is no such job file; shearlight desk begins one")


def write_job(path: Path, job: Job, private: bool = False) -> None:
    """Replace a job file atomically; a `private` one is its owner's alone to read."""
    write_text(path, job_text(job), private)


def job_from_text(text: str, file: str = "job") -> Job:
    """The job in a text; `file` is the name used in messages."""
    if text.lstrip("\ufeff \n")[:1] == "<":
        raise ProjectorError(f"{file}: a drawing, no job; shearlight import takes pieces from it")
    top = read_entries(text, file)
    fields = top.fields(_FIELDS, needed=("shearlight_job", "name"))
    if "shearlight_job" in fields:
        version = fields["shearlight_job"].whole(1)
        if version is not None and version > VERSION:
            fields["shearlight_job"].refuse(
                f"written by a later release (version {version}); this one reads up to {VERSION}"
            )
    name = fields["name"].text() if "name" in fields else None
    wearers = [read_wearer(item) for item in _few(fields, "wearers", MOST_WEARERS)]
    style = read_style(fields["style"]) if "style" in fields else Style()
    cloths = [read_cloth(item) for item in items_of(fields, "cloths")]
    pieces = [read_piece(item) for item in items_of(fields, "pieces")]
    if "cloths" not in fields:
        cloths = [Cloth()]
    lays = [read_lay(item) for item in items_of(fields, "lays")]
    notes = fields["notes"].text() if "notes" in fields else ""
    top.problems.finish()
    try:
        return Job(
            name=name or "",
            wearers=tuple(wearer for wearer in wearers if wearer),
            style=style,
            cloths=tuple(cloth for cloth in cloths if cloth),
            pieces=tuple(piece for piece in pieces if piece),
            lays=tuple(lay for lay in lays if lay),
            notes=notes or "",
            units=units_of(items_of(fields, "wearers")),
        )
    except ProjectorError as error:
        top.refuse(str(error))
        top.problems.finish()
        raise


def _few(fields: dict[str, Entry], name: str, most: int) -> tuple[Entry, ...]:
    items = items_of(fields, name)
    if len(items) > most:
        fields[name].refuse(f"{len(items)} are more than {most}; divide the job")
        return ()
    return items


def job_text(job: Job) -> str:
    """The job as YAML, UTF-8. Raises `ProjectorError` where it could not be read again."""
    plain = job_plain(job)
    if (values := _values_in(plain)) > MOST_VALUES:
        raise _too_large(job, f"{values} values are more than the {MOST_VALUES}")
    text = plain_text(plain)
    if len(text) > LARGEST_FILE:
        raise _too_large(job, f"{len(text)} characters are more than the {LARGEST_FILE}")
    return text


def _too_large(job: Job, what: str) -> ProjectorError:
    return ProjectorError(
        f"job {job.name!r}: {what} that are read from one file; simplify its pieces, or divide it"
    )


def _values_in(plain: Any) -> int:
    if isinstance(plain, dict):
        return 1 + len(plain) + sum(map(_values_in, plain.values()))
    return 1 + sum(map(_values_in, plain)) if isinstance(plain, list) else 1


def job_plain(job: Job) -> dict[str, Any]:
    """The job as plain data, in the order of a job file."""
    plain: dict[str, Any] = {"shearlight_job": VERSION, "name": job.name}
    if job.notes:
        plain["notes"] = job.notes
    if job.wearers:
        plain["wearers"] = wearers_plain(job.wearers, job.units)
    if job.style != Style():
        plain["style"] = style_plain(job.style)
    plain["cloths"] = [cloth_plain(cloth) for cloth in job.cloths]
    if job.pieces:
        plain["pieces"] = [piece_plain(piece) for piece in job.pieces]
    if job.lays:
        plain["lays"] = [lay_plain(lay) for lay in job.lays]
    return plain


def job_changes(before: Job, after: Job) -> dict[str, Any]:
    """What of a job file is different afterwards, as plain data; None for what is gone.

    Lays are told cloth by cloth, a lay that is gone as one without placements.
    """
    if before == after:
        return {}
    same = before.pieces == after.pieces  # many points, and rarely changed
    old, new = (job_plain(replace(job, pieces=()) if same else job) for job in (before, after))
    names = [name for name in _FIELDS if name != "lays" and old.get(name) != new.get(name)]
    plain = {name: new.get(name) for name in names}
    lays = {lay.cloth: lay for lay in before.lays}
    changed = [lay_plain(lay) for lay in after.lays if lay != lays.pop(lay.cloth, None)]
    changed += [{"cloth": cloth, "placements": []} for cloth in lays]
    return {**plain, "lays": changed} if changed else plain


def plain_text(plain: dict[str, Any]) -> str:
    """Plain data of a job as YAML."""
    return yaml.dump(
        plain, Dumper=_Dumper, sort_keys=False, allow_unicode=True, width=100, indent=2
    )


class _Dumper(_SafeDumper):
    """Block style, except for rows of numbers; no aliases; multi-line text as it stands."""

    def ignore_aliases(self, data: Any) -> bool:
        return True

    def represent_row(self, data: list[Any]) -> yaml.SequenceNode:
        flat = all(isinstance(value, float | int) for value in data)
        return self.represent_sequence("tag:yaml.org,2002:seq", data, flow_style=flat)

    def represent_text(self, data: str) -> yaml.ScalarNode:
        # What a text was given from outside in such characters would not be read again.
        data = without_stray(data)
        style = "|" if "\n" in data else None
        return self.represent_scalar("tag:yaml.org,2002:str", data, style=style)

    def represent_number(self, data: float) -> yaml.ScalarNode:
        # An array's number is a float too, but is not written as one; no job is lost to that.
        return self.represent_float(float(data))


_Dumper.add_multi_representer(float, _Dumper.represent_number)
_Dumper.add_representer(list, _Dumper.represent_row)
_Dumper.add_representer(str, _Dumper.represent_text)
