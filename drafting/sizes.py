"""Standard sizes: a bust class and a height, the rest from the survey.

Bust classes of EN 13402-3 (4 cm apart to 104, then 6 cm apart); heights 160, 168 and 176 cm
(from memory). Every measurement but bust and height is the survey's mean for the two, hence
named in `Body.estimated`; a standard size is nobody in particular.
"""

from __future__ import annotations

from drafting.body import Body
from drafting.errors import DraftingError
from drafting.survey import completed

__all__ = ["BUST_CLASSES_CM", "HEIGHTS_CM", "standard_body", "standard_sizes"]

BUST_CLASSES_CM = (76, 80, 84, 88, 92, 96, 100, 104, 110, 116, 122, 128, 134, 140)
HEIGHTS_CM = (160, 168, 176)


def standard_body(name: str) -> Body:
    """The body of a standard size such as "92/168". Raises `DraftingError` for an unknown one."""
    sizes = standard_sizes()
    if name not in sizes:
        busts = ", ".join(map(str, BUST_CLASSES_CM))
        raise DraftingError(
            f"{name!r} is not a standard size; write bust/height in cm, such as 92/168: "
            f"bust {busts}; height {', '.join(map(str, HEIGHTS_CM))}"
        )
    bust, height = sizes[name]
    return completed({"bust": bust, "height": height})


def standard_sizes() -> dict[str, tuple[float, float]]:
    """Bust and height in mm of every standard size, by its name, smallest first."""
    return {
        f"{bust}/{height}": (bust * 10.0, height * 10.0)
        for height in HEIGHTS_CM
        for bust in BUST_CLASSES_CM
    }
