"""Lengths as people write them, to millimetres and back; only borders use this."""

from __future__ import annotations

import re
from fractions import Fraction

from drafting.errors import DraftingError

__all__ = ["exact_length", "parsed_length", "signed_length", "written_length"]

MILLIMETRES = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
"""One inch is 25.4 mm exactly (international inch, 1959)."""

_DECIMAL = r"(?P<decimal>(?:\d+(?:\.\d*)?|\.\d+)(?:e[-+]?\d+)?)"
_NUMBER = rf"(?:(?P<whole>\d+)[ -])?(?P<over>\d+)/(?P<under>\d+)|{_DECIMAL}"
_FEET = r"(?:(?P<feet>\d+)\s*(?:ft|')\s*)?"
_LENGTH = re.compile(rf"\s*{_FEET}(?:{_NUMBER})\s*(?P<unit>[a-z]+|\")?\s*")


def parsed_length(text: str, default_unit: str | None = None) -> float:
    """A length such as "92 cm", "36 1/4 in", "36.25in" or "5 ft 6 in" in mm.

    A bare number takes `default_unit`. Raises `DraftingError` when it is not a length.
    """
    found = _LENGTH.fullmatch(text)
    unit = (found["unit"] or default_unit) if found else None
    unit = "in" if unit == '"' else unit
    if found is None or unit not in MILLIMETRES:
        raise DraftingError(f"{text!r} is not a length with its unit, {_mend(text)}")
    if found["feet"] and unit != "in":
        raise DraftingError(f'{text!r} mixes feet with {unit}; write "5 ft 6 in"')
    if found["decimal"]:
        number = float(found["decimal"])
    elif int(found["under"]) == 0:
        raise DraftingError(f"{text!r} divides by 0")
    else:
        number = int(found["whole"] or 0) + int(found["over"]) / int(found["under"])
    return (int(found["feet"] or 0) * 12.0 + number) * MILLIMETRES[unit]


def signed_length(text: str, default_unit: str | None = None) -> float:
    """A length that may lie the other way, such as "-5 mm", in mm; else as `parsed_length`."""
    written = text.strip()
    if written.startswith(("-", "+")):
        size = parsed_length(written[1:], default_unit)
        return -size if written.startswith("-") else size
    return parsed_length(written, default_unit)


def _mend(text: str) -> str:
    """How to write a length that was not one."""
    bare = text.strip()
    if re.fullmatch(r"[\d./]+", bare):
        return f'such as "{bare} cm" or "{bare} in"'
    if re.fullmatch(r"[\d.]+,\d+\s*[a-z]*", bare):
        return f'such as "{bare.replace(",", ".")}": decimals follow a point'
    if re.fullmatch(r"[\d.]+( +[\d.]+)+\s*[a-z]*", bare):
        return "but two numbers; was one mistyped?"
    return 'such as "92 cm" or "36 1/4 in"'


def exact_length(size: float, unit: str) -> str:
    """A length (mm, of either sign) as a file keeps it; `signed_length` reads back the same number.

    In `unit`, "cm" or "in", where that is exact with ten figures, else in the other, else in mm.
    """
    sign, size = ("-", -size) if size < 0 else ("", size)
    sixteenths = written_length(size, "in")
    inches = f"{size / 25.4:.10g} in" if parsed_length(sixteenths) != size else sixteenths
    written = [f"{size / 10:.10g} cm", inches]
    exact = [text for text in written if parsed_length(text) == size]
    best = next((text for text in exact if text.endswith(unit)), "".join(exact[:1]))
    return sign + (best or f"{size!r} mm")


def written_length(size: float, unit: str) -> str:
    """A length (mm) as people write it: millimetres of a centimetre, or sixteenths of an inch.

    `unit` is "cm" or "in". Rounded for reading; a file keeps more figures.
    """
    if unit == "cm":
        return f"{size / 10:.1f} cm"
    sixteenths = round(abs(size) / 25.4 * 16)
    whole, part = divmod(sixteenths, 16)
    words = [str(whole)] if whole or not part else []
    if part:
        words.append(str(Fraction(part, 16)))
    return f"{'-' if size < 0 and sixteenths else ''}{' '.join(words)} in"
