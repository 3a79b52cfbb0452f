"""Every ink reads on its cloth, by the contrast of WCAG 2.2 and the colour difference CIEDE2000.

Light on cloth is its reflectance times projector and room light. The reflectances are round
figures for a bleached, a dyed black and a dyed red cotton (from memory); the room gives a tenth of
the projector's white, as in a hall with its blinds down (common practice, no source).
"""

from __future__ import annotations

import numpy as np
import pytest
from skimage.color import deltaE_ciede2000, xyz2lab

from projector.stage.ink import CLOTHS, Colour

CLOTH = {"white": (0.85, 0.85, 0.85), "black": (0.04, 0.04, 0.04), "red": (0.5, 0.05, 0.05)}
ROOM, BLACK_LEVEL = 0.1, 0.002
XYZ_FROM_RGB = np.array(  # IEC 61966-2-1, linear sRGB, D65
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
)
LINES = ("cutting", "seam", "grain", "fold", "notch", "chosen", "wrong", "guide")


def seen(cloth: str, colour: Colour) -> np.ndarray:
    """CIE XYZ of a line on a cloth, the cloth in full white light having Y = 1."""
    levels = np.array(colour) / 255.0
    light = np.where(levels <= 0.04045, levels / 12.92, ((levels + 0.055) / 1.055) ** 2.4)
    reflectance = np.array(CLOTH[cloth])
    white = XYZ_FROM_RGB @ (reflectance * (1.0 + ROOM))
    return XYZ_FROM_RGB @ (reflectance * (light + ROOM + BLACK_LEVEL)) / white[1]


def contrast(cloth: str, colour: Colour) -> float:
    """Of the line with the unlit cloth beside it: the relative luminances' ratio.

    WCAG adds 0.05 to both for a screen's glare; here the room's light is counted instead.
    """
    return float(seen(cloth, colour)[1] / seen(cloth, (0, 0, 0))[1])


@pytest.mark.parametrize("cloth", CLOTH)
def test_lines_and_words_stand_out_from_the_cloth(cloth: str) -> None:
    ink = CLOTHS[cloth]
    for line in LINES:  # WCAG 2.2, success criterion 1.4.11: 3 to 1 for what is not text
        assert contrast(cloth, getattr(ink, line)) >= 3.0, line
    assert contrast(cloth, ink.text) >= 7.0  # success criterion 1.4.6, enhanced
    # What is cut already steps back, and is still there.
    assert 1.5 <= contrast(cloth, ink.cut) < min(contrast(cloth, getattr(ink, n)) for n in LINES)


@pytest.mark.parametrize("cloth", CLOTH)
def test_what_is_chosen_or_lies_wrong_looks_another_colour(cloth: str) -> None:
    ink = CLOTHS[cloth]
    lab = {n: xyz2lab(seen(cloth, getattr(ink, n)).reshape(1, 1, 3)) for n in LINES}
    for one, other in (("cutting", "chosen"), ("cutting", "wrong"), ("chosen", "wrong")):
        # Differences over 10 are seen at a glance (from memory).
        assert float(deltaE_ciede2000(lab[one], lab[other]).item()) > 10.0, (one, other)
