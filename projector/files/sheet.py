"""A YAML file as a tree of entries that know their line and column.

Every problem of a file is collected and reported at once; doubled and unknown keys are problems.
Anchors and aliases are refused, so that a small file cannot unfold into a large one.
"""

from __future__ import annotations

import difflib
import math
import re
import textwrap
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

import yaml

from drafting.characters import stray_character
from projector.errors import ProjectorError

try:  # the compiled library, where there is one, is ten times as fast
    from yaml import CSafeLoader as _Loader
except ImportError:
    from yaml import SafeLoader as _Loader  # type: ignore[assignment]

__all__ = ["LARGEST_FILE", "MOST_VALUES", "Entry", "Problems", "items_of", "read_entries"]

LARGEST_FILE = 8_000_000  # characters; a job of a hundred pieces has some 300,000
MOST_VALUES = 500_000  # each takes some 300 bytes and 5 microseconds
DEEPEST = 40
LONGEST_MESSAGE = 300
MOST_TOLD = 40

_DIRECTIVE = re.compile(r"^%", re.MULTILINE)
_UNPRINTABLE = yaml.reader.Reader.NON_PRINTABLE

Value = TypeVar("Value")


@dataclass(slots=True)
class Problems:
    """What is wrong with one file, gathered while it is read."""

    file: str
    lines: list[tuple[int, int, str]] = field(default_factory=list)

    def add(self, mark: yaml.Mark | None, path: str, message: str) -> None:
        """Note one problem at a place."""
        line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
        self.lines.append((line, column, _one_line(f"{path}: {message}" if path else message)))

    def finish(self) -> None:
        """Raise `ProjectorError` with one line a problem, in the file's order, if there is any."""
        if self.lines:
            first = sorted(self.lines)[:MOST_TOLD]
            told = [f"{self.file}:{line}:{column} {text}" for line, column, text in first]
            if len(self.lines) > MOST_TOLD:
                told.append(f"{self.file}: {len(self.lines) - MOST_TOLD} more problems")
            raise ProjectorError("\n".join(told))


def read_entries(text: str, file: str) -> Entry:
    """The top of a YAML document.

    Raises `ProjectorError`, one line with the place, where the text is not YAML at all.
    """
    if len(text) > LARGEST_FILE:
        raise ProjectorError(f"{file}:1:1 {len(text)} characters are more than {LARGEST_FILE}")
    problems = Problems(file)
    node = None
    # A thousand directives take a second to read, and each more takes longer.
    if (odd := _DIRECTIVE.search(text) or _UNPRINTABLE.search(text)) is not None:
        before = text[: odd.start()]
        line, column = before.count("\n") + 1, len(before) - before.rfind("\n")
        what = "a line that begins with %" if odd[0] == "%" else f"character {odd[0]!r}"
        problems.lines.append((line, column, f"{what} does not belong here"))
    else:
        try:
            _bounded(text)
            node = yaml.compose(text, Loader=_Loader)
        except yaml.MarkedYAMLError as error:
            mark = error.problem_mark or error.context_mark
            problems.add(mark, "", f"not readable as YAML: {error.problem or error.context}")
    problems.finish()
    if node is None:
        raise ProjectorError(f"{file}:1:1 the file is empty")
    return Entry(node, "", problems)


def _bounded(text: str) -> None:
    """Raise a YAML error where values are too many, nested too deep, or said by an alias."""
    depth = values = 0
    for event in yaml.parse(text, Loader=_Loader):
        fault = ""
        if isinstance(event, yaml.AliasEvent):
            fault = "aliases (*name) are not used here; write the value out"
        if isinstance(event, yaml.NodeEvent):
            values += 1
        if isinstance(event, yaml.CollectionStartEvent):
            depth += 1
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
        if depth > DEEPEST:
            fault = f"nested deeper than {DEEPEST} levels"
        if values > MOST_VALUES:
            fault = f"more than {MOST_VALUES} values; divide it into several files"
        if fault:
            mark = event.start_mark
            raise yaml.MarkedYAMLError(problem=fault, problem_mark=mark)  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class Entry:
    """One value of the file with the path of keys that leads to it.

    The reading methods return None, and note the problem, where the value is not what was wanted.
    """

    node: yaml.Node
    path: str
    problems: Problems

    def refuse(self, message: str) -> None:
        """Note a problem at this entry."""
        self.problems.add(self.node.start_mark, self.path, message)

    def _below(self, node: yaml.Node, key: str) -> Entry:
        dot = "" if not self.path or key.startswith("[") else "."
        return Entry(node, f"{self.path}{dot}{key}", self.problems)

    def pairs(self) -> Iterator[tuple[str, Entry]]:
        """Keys and values of a mapping; a doubled key is a problem and is passed over."""
        if not isinstance(self.node, yaml.MappingNode):
            self.refuse(f"{_shown(self.node)} where keys with values were wanted")
            return
        first: dict[str, int] = {}
        for key_node, value_node in self.node.value:
            key = str(key_node.value) if isinstance(key_node, yaml.ScalarNode) else ""
            if not key or stray_character(key) is not None:
                self.problems.add(key_node.start_mark, self.path, "a key must be a plain word")
            elif key in first:
                below = self._below(key_node, key)
                below.refuse(f"given twice, first on line {first[key]}; keep one")
            else:
                first[key] = key_node.start_mark.line + 1
                yield key, self._below(value_node, key)

    def fields(self, known: Sequence[str], needed: Sequence[str] = ()) -> dict[str, Entry]:
        """The values of a mapping by key. Unknown keys and missing needed keys are problems."""
        found: dict[str, Entry] = {}
        before = len(self.problems.lines)
        pairs = tuple(self.pairs())
        written = {key for key, _ in pairs}
        for key, entry in pairs:
            if key in known:
                found[key] = entry
            else:
                key_entry = Entry(self._key_node(key), entry.path, self.problems)
                absent = [name for name in needed if name not in written]
                key_entry.refuse(f"unknown key{_nearest(key, known, absent)}")
        if isinstance(self.node, yaml.MappingNode) or len(self.problems.lines) == before:
            for key in needed:
                if key not in found:
                    self.refuse(f"{key} is missing")
        return found

    def _key_node(self, key: str) -> yaml.Node:
        for key_node, _ in self.node.value:
            if key_node.value == key:
                return key_node  # type: ignore[no-any-return]
        return self.node

    def items(self) -> tuple[Entry, ...]:
        """The entries of a list."""
        if not isinstance(self.node, yaml.SequenceNode):
            self.refuse(f"{_shown(self.node)} where a list was wanted")
            return ()
        return tuple(self._below(node, f"[{i}]") for i, node in enumerate(self.node.value, 1))

    @property
    def raw(self) -> str | None:
        """The text of a plain value as written, None for a list, a mapping or nothing at all."""
        if isinstance(self.node, yaml.ScalarNode) and not self.node.tag.endswith(":null"):
            return str(self.node.value)
        return None

    def text(self, wanted: str = "text") -> str | None:
        """Any plain value as text."""
        raw = self.raw
        if raw is None:
            self.refuse(f"{_shown(self.node)} where {wanted} was wanted")
        elif (stray := stray_character(raw)) is not None:
            self.refuse(f"character {stray!r} does not belong in {wanted}; take it out")
            return None
        return raw

    def number(self, low: float = -math.inf, high: float = math.inf) -> float | None:
        """A plain number without unit, within [low, high]."""
        raw = self.text("a number")
        if raw is None:
            return None
        try:
            value = float(raw)
        except ValueError:
            self.refuse(f"{raw!r} is not a number")
            return None
        if not math.isfinite(value) or not low <= value <= high:
            self.refuse(f"{raw} is not {_range(low, high)}")
            return None
        return value

    def whole(self, low: int = 0, high: int = 1_000_000) -> int | None:
        """A whole number within [low, high]."""
        value = self.number(low, high)
        if value is None:
            return None
        if value != int(value):
            self.refuse(f"{self.raw} is not a whole number")
            return None
        return int(value)

    def yes_no(self) -> bool | None:
        """yes or no (true and false are read too)."""
        raw = self.text("yes or no")
        if raw is None:
            return None
        if raw.lower() in {"yes", "true", "on"}:
            return True
        if raw.lower() in {"no", "false", "off"}:
            return False
        self.refuse(f"{raw!r} is neither yes nor no")
        return None

    def choice(self, options: Sequence[str]) -> str | None:
        """One of the given words."""
        raw = self.text(f"one of {', '.join(options)}")
        if raw is not None and raw not in options:
            self.refuse(f"{raw!r} is not one of {', '.join(options)}{_nearest(raw, options)}")
            return None
        return raw

    def parsed(self, read: Callable[[str], Value]) -> Value | None:
        """What `read` makes of the text; its ValueError becomes a problem at this entry."""
        raw = self.text()
        if raw is None:
            return None
        try:
            return read(raw)
        except ValueError as error:
            self.refuse(str(error))
            return None


def items_of(fields: Mapping[str, Entry], name: str) -> tuple[Entry, ...]:
    """The entries of a list among the fields of a mapping; none where it is left out."""
    return fields[name].items() if name in fields else ()


def _one_line(message: str) -> str:
    # What a file holds is quoted in messages; it must not break the line nor fill the screen.
    clean = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in message)
    return clean if len(clean) <= LONGEST_MESSAGE else clean[: LONGEST_MESSAGE - 1] + "…"


def _nearest(word: str, known: Sequence[str], absent: Sequence[str] = ()) -> str:
    """What may have been meant: what is `absent` though it is needed, before all that is known."""
    wanted = difflib.get_close_matches(word.lower(), absent, n=1, cutoff=0.6)
    close = wanted or difflib.get_close_matches(word.lower(), known, n=1, cutoff=0.6)
    if close:
        return f"; did you mean {close[0]!r}?"
    return f"; known are {', '.join(known)}" if len(known) <= 12 else ""


def _range(low: float, high: float) -> str:
    if math.isinf(low) and math.isinf(high):
        return "a finite number"
    if math.isinf(high):
        return f"at least {low:g}"
    return f"at most {high:g}" if math.isinf(low) else f"from {low:g} to {high:g}"


def _shown(node: yaml.Node) -> str:
    if isinstance(node, yaml.MappingNode):
        return "keys with values"
    if isinstance(node, yaml.SequenceNode):
        return "a list"
    empty = not node.value or node.tag.endswith(":null")
    return "nothing" if empty else repr(textwrap.shorten(node.value, 40, placeholder=" ..."))
