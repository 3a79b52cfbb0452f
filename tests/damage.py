"""Sound files spoilt at random: bytes and numbers changed, parts lost, doubled and moved."""

from __future__ import annotations

import copy
import random
import re
from typing import Any

__all__ = ["damaged", "damaged_tree"]

NUMBERS = (
    b"0", b"-1", b"1e999", b"-1e308", b"nan", b"inf", b"1e-320", b"99999999999999999999", b"0x10",
    b"2147483648", b"-2147483649", b"1.0000000001", b"", b"1e30", b"-0.0", b"65536", b"1e9",
)  # fmt: skip
ODD: tuple[Any, ...] = (
    None, True, False, 0, -1, 1, 10**30, -(10**30), 1e308, -1e308, 1e-320, float("nan"),
    float("inf"), "", "nan", "-1 cm", "1e999 mm", "x" * 5000, "\x00", "\u202e<b>", "../../x", [],
    {}, [[]], [None], {"": None}, "1/0 in", "92 cm", "0x7f", "yes", [1, 2, 3], {"a": {"b": 1}},
)  # fmt: skip
_NUMBER = re.compile(rb"-?\d+(?:\.\d+)?")


def damaged(content: bytes, chance: random.Random) -> bytes:
    """A file with one to four things done to it."""
    for _ in range(chance.choice((1, 1, 2, 4))):
        content = chance.choice(_WAYS)(content, chance)
    return content


def damaged_tree(plain: Any, chance: random.Random) -> Any:
    """Plain data with one to three values replaced, lost, doubled, renamed or swapped."""
    plain = copy.deepcopy(plain)
    for _ in range(chance.choice((1, 1, 2, 3))):
        holders = [each for each in _holders(plain) if each]
        if not holders:
            return chance.choice(ODD)
        holder = chance.choice(holders)
        keys = list(holder) if isinstance(holder, dict) else list(range(len(holder)))
        key = chance.choice(keys)
        match chance.randrange(6):
            case 0:
                del holder[key]
            case 1 if isinstance(holder, list):
                holder.insert(key, copy.deepcopy(holder[key]))
            case 1:
                holder[chance.choice(("", "x", 7, "name"))] = holder.pop(key)
            case 2:
                holder[key] = copy.deepcopy(holder[chance.choice(keys)])
            case 3 if isinstance(holder[key], int | float):
                holder[key] = holder[key] * chance.choice((-1, 0, 1e-9, 1.001, 1e3, 1e12))
            case _:
                holder[key] = copy.deepcopy(chance.choice(ODD))
    return plain


def _holders(plain: Any) -> list[Any]:
    if not isinstance(plain, dict | list):
        return []
    inner = plain.values() if isinstance(plain, dict) else plain
    return [plain, *(each for part in inner for each in _holders(part))]


def _place(content: bytes, chance: random.Random) -> tuple[int, int]:
    start = chance.randrange(len(content) + 1)
    return start, min(len(content), start + int(chance.expovariate(1 / 40.0)) + 1)


def _changed(content: bytes, chance: random.Random) -> bytes:
    spoilt = bytearray(content)
    for _ in range(min(len(spoilt), chance.randrange(1, 9))):
        spoilt[chance.randrange(len(spoilt))] = chance.choice((0, 255, 10, chance.randrange(256)))
    return bytes(spoilt)


def _number(content: bytes, chance: random.Random) -> bytes:
    found = list(_NUMBER.finditer(content))
    if not found:
        return content
    match = chance.choice(found)
    return content[: match.start()] + chance.choice(NUMBERS) + content[match.end() :]


def _lost(content: bytes, chance: random.Random) -> bytes:
    start, end = _place(content, chance)
    return content[:start] + content[end:]


def _doubled(content: bytes, chance: random.Random) -> bytes:
    start, end = _place(content, chance)
    return content[:end] + content[start:end] * chance.choice((1, 2, 50)) + content[end:]


def _moved(content: bytes, chance: random.Random) -> bytes:
    start, end = _place(content, chance)
    rest = content[:start] + content[end:]
    to = chance.randrange(len(rest) + 1)
    return rest[:to] + content[start:end] + rest[to:]


def _cut_off(content: bytes, chance: random.Random) -> bytes:
    return content[: chance.randrange(len(content) + 1)]


def _line_lost(content: bytes, chance: random.Random) -> bytes:
    lines = content.split(b"\n")
    start = chance.randrange(len(lines))
    del lines[start : start + chance.randrange(1, 4)]
    return b"\n".join(lines)


def _digit(content: bytes, chance: random.Random) -> bytes:
    found = [m.start() for m in re.finditer(rb"\d", content)]
    if not found:
        return content
    at = chance.choice(found)
    return content[:at] + b"%d" % chance.randrange(10) + content[at + 1 :]


_WAYS = (_changed, _number, _digit, _digit, _lost, _doubled, _moved, _cut_off, _line_lost)
