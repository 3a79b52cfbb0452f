"""The settings file, in the folder the system keeps for such things."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import platformdirs
import yaml

from projector.errors import ProjectorError
from projector.files.reading import read_text, resolved
from projector.files.sheet import read_entries
from projector.files.writing import write_text
from projector.settings import LAST_DEVICE, THEMES, Settings

__all__ = ["read_settings", "settings_path", "write_settings"]


def settings_path() -> Path:
    """Where the settings are kept; SHEARLIGHT_SETTINGS names another file."""
    named = os.environ.get("SHEARLIGHT_SETTINGS")
    if named:
        return Path(named)
    return Path(platformdirs.user_config_dir("shearlight", appauthor=False)) / "settings.yaml"


def read_settings(path: Path | None = None) -> Settings:
    """The settings, or the usual ones where no file is. Raises `ProjectorError` as jobs do."""
    path = path or settings_path()
    if not path.exists():
        return Settings()
    top = read_entries(read_text(path, "settings file"), str(path))
    fields = top.fields(("display", "camera", "table", "theme", "recent"))
    values: dict[str, Any] = {}
    for name, entry in fields.items():
        if name in {"display", "camera"}:
            values[name] = entry.whole(0, LAST_DEVICE)
        elif name == "table":
            values[name] = entry.text("a path")
        elif name == "theme":
            values[name] = entry.choice(THEMES)
        else:
            values[name] = tuple(item.text("a path") or "" for item in entry.items())
    top.problems.finish()
    return Settings(**values)


def write_settings(settings: Settings, path: Path | None = None) -> None:
    """Replace the settings file atomically, its owner's alone to read; its folder is made."""
    path = path or settings_path()
    plain: dict[str, Any] = {"theme": settings.theme}
    for name in ("display", "camera"):
        if getattr(settings, name) is not None:
            plain[name] = getattr(settings, name)
    if settings.table:
        plain["table"] = settings.table
    if settings.recent:
        plain["recent"] = list(settings.recent)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ProjectorError(f"{path.parent}: cannot be made ({error.strerror})") from error
    text = yaml.safe_dump(plain, sort_keys=False, allow_unicode=True)
    write_text(resolved(path), text, private=True)
