"""Colours of light that read on the worker's cloth.

Light on cloth is a product: what comes back is the cloth's own colour times the light. Red cloth
swallows blue and green, black cloth nearly everything. So each cloth has its own inks, and what
a line is can be told by its width and its dashes as well, on any cloth and by any eye.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["CLOTHS", "Colour", "Ink", "ink_for"]

Colour = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Ink:
    """The light of each kind of line, red, green and blue from 0 to 255.

    `edge` is the thin contrasting edge to both sides of every line; `broader` is how much wider
    lines are than on white, where cloth gives little light back.
    """

    cutting: Colour
    seam: Colour
    grain: Colour
    fold: Colour
    notch: Colour
    text: Colour
    chosen: Colour
    wrong: Colour
    guide: Colour
    edge: Colour
    cut: Colour = (78, 78, 86)
    broader: float = 1.0


CLOTHS: dict[str, Ink] = {
    # On white, colour stands out more than brightness; blue beside yellow is the widest step.
    "white": Ink(
        cutting=(255, 240, 40),
        seam=(60, 220, 255),
        grain=(120, 255, 120),
        fold=(120, 255, 120),
        notch=(255, 240, 40),
        text=(255, 250, 190),
        chosen=(255, 130, 20),
        wrong=(255, 30, 60),
        guide=(70, 150, 255),
        edge=(0, 0, 60),
    ),
    # Black returns a few hundredths of the light: only the brightest colours are seen.
    "black": Ink(
        cutting=(255, 255, 255),
        seam=(120, 255, 255),
        grain=(160, 255, 120),
        fold=(160, 255, 120),
        notch=(255, 255, 255),
        text=(255, 255, 255),
        chosen=(255, 225, 0),
        wrong=(255, 60, 60),
        guide=(120, 190, 255),
        edge=(0, 0, 60),
        cut=(120, 120, 128),
        broader=1.5,
    ),
    # Red returns red: lines differ by brightness and dashes, edges are blue, which it swallows.
    "red": Ink(
        cutting=(255, 255, 255),
        seam=(190, 255, 255),
        grain=(255, 255, 150),
        fold=(255, 255, 150),
        notch=(255, 255, 255),
        text=(255, 255, 255),
        chosen=(255, 255, 60),
        wrong=(255, 30, 0),
        guide=(180, 220, 255),
        edge=(0, 0, 80),
        cut=(70, 110, 110),
        broader=1.5,
    ),
    # On a print nothing is sure but white between dark edges, wide enough to interrupt it.
    "print": Ink(
        cutting=(255, 255, 255),
        seam=(255, 255, 140),
        grain=(170, 255, 255),
        fold=(170, 255, 255),
        notch=(255, 255, 255),
        text=(255, 255, 255),
        chosen=(255, 210, 0),
        wrong=(255, 80, 80),
        guide=(150, 200, 255),
        edge=(20, 0, 60),
        broader=1.3,
    ),
}


def ink_for(cloth_colour: str) -> Ink:
    """The inks for a cloth; those for print where the colour is not known."""
    return CLOTHS.get(cloth_colour, CLOTHS["print"])
