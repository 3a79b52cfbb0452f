"""The house rules that a machine can check, read from the syntax trees."""

from __future__ import annotations

import ast
import graphlib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = ("drafting", "calibration", "projector")
MAY_IMPORT = {
    "drafting": {"drafting"},
    "calibration": {"calibration"},
    "projector": {"projector", "drafting", "calibration"},
}
# Where windows and image codecs may enter. Everything else is plain computation.
PYGAME_ROOMS = ("projector/stage/", "projector/desk/")
CV2_ROOMS = ("calibration/", "projector/")
FORBIDDEN_STEMS = {"utils", "util", "helpers", "common", "base", "core", "misc", "manager"}
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", *PACKAGES, "tests"}
MAXIMUM_LINES = 400

FILES = sorted(path for package in PACKAGES for path in (ROOT / package).rglob("*.py"))


def module_name(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


MODULES = {module_name(path): path for path in FILES}


def imported(path: Path) -> set[str]:
    """Every module the file imports, anywhere in it; `from a import b` may name module a.b."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            for alias in node.names:
                deeper = f"{node.module}.{alias.name}"
                found.add(deeper if deeper in MODULES else str(node.module))
    return found


@pytest.mark.parametrize("package", PACKAGES)
def test_imports_run_one_way(package: str) -> None:
    for path in (ROOT / package).rglob("*.py"):
        own = {name.split(".")[0] for name in imported(path)} & set(PACKAGES)
        assert own <= MAY_IMPORT[package], f"{path.relative_to(ROOT)} imports {own}"


def test_no_circles() -> None:
    graph = {name: imported(path) & set(MODULES) - {name} for name, path in MODULES.items()}
    graphlib.TopologicalSorter(graph).prepare()  # raises CycleError, which names the circle


def test_windows_and_images_enter_in_their_rooms_only() -> None:
    for path in FILES:
        place = path.relative_to(ROOT).as_posix()
        roots = {name.split(".")[0] for name in imported(path)}
        if roots & {"pygame", "pygame_gui"}:
            assert place.startswith(PYGAME_ROOMS), f"{place} imports pygame"
        if "cv2" in roots:
            assert place.startswith(CV2_ROOMS), f"{place} imports cv2"


def test_pure_packages_touch_no_files_clock_or_chance() -> None:
    world = {"os", "pathlib", "io", "time", "random", "socket", "subprocess", "tempfile"}
    for path in FILES:
        if path.relative_to(ROOT).parts[0] != "projector":
            roots = {name.split(".")[0] for name in imported(path)}
            allowed = {"io"} if "exchange" in path.parts else set()  # bytes in memory
            assert not (roots & world) - allowed, f"{path} imports {roots & world}"


@pytest.mark.parametrize("path", FILES, ids=module_name)
def test_file_has_a_noun_of_the_trade_and_one_room(path: Path) -> None:
    assert path.stem not in FORBIDDEN_STEMS
    assert len(path.read_text(encoding="utf-8").splitlines()) <= MAXIMUM_LINES
    assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))), "no docstring"


def test_top_level_holds_only_what_the_project_page_lists() -> None:
    local = {"build", "dist", "rehearsal", "__pycache__"}  # a worker's own, never committed
    present = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")}
    assert present - local <= TOP_LEVEL
