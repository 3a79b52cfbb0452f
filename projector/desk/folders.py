"""Folders as the desk lists them: jobs and further folders; names that are free."""

from __future__ import annotations

from pathlib import Path

__all__ = ["Listing", "free_path", "jobs_in"]

Listing = tuple[tuple[str, bool], ...]
"""Names, and whether each is a folder; files of jobs first."""


def jobs_in(folder: Path) -> Listing:
    """The jobs and folders in a folder, what is hidden left out.

    Raises `OSError` where it cannot be listed.
    """
    found = []
    for path in folder.iterdir():
        if path.name.startswith("."):
            continue
        if path.is_dir():
            found.append((path.name, True))
        elif path.suffix in (".yaml", ".yml"):
            found.append((path.name, False))
    return tuple(sorted(found, key=lambda entry: (entry[1], entry[0].lower())))


def free_path(path: Path) -> Path:
    """The path itself where nothing lies there, else one with a number that is free."""
    number, free = 2, path
    while free.exists():
        free = path.with_name(f"{path.stem}-{number}{path.suffix}")
        number += 1
    return free
