"""How wide and how low each shape of neckline is. Common practice, no source; mm."""

from __future__ import annotations

from dataclasses import dataclass

from drafting.style import Style

__all__ = ["SHAPES", "NeckFigures", "neck_figures"]


@dataclass(frozen=True, slots=True)
class NeckFigures:
    """Wider along the overarm, lower at centre front and centre back (negative: higher)."""

    wider: float
    front_lower: float
    back_lower: float


SHAPES: dict[str, NeckFigures] = {
    "crew": NeckFigures(0.0, 0.0, 0.0),
    "boat": NeckFigures(45.0, -25.0, 0.0),
    "scoop": NeckFigures(15.0, 70.0, 15.0),
    "v": NeckFigures(0.0, 120.0, 0.0),
}
"""What each shape adds to the figures of the style."""


def neck_figures(style: Style) -> NeckFigures:
    """The figures of the style together with those of its neckline's shape."""
    shape = SHAPES[style.neckline]
    return NeckFigures(
        style.neck_wider + shape.wider,
        style.front_lower + shape.front_lower,
        style.back_lower + shape.back_lower,
    )
