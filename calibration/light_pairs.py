"""The projected board alone, out of photographs of one still camera under different light.

What the projector adds between black and white is the same share of the board's light whatever
the table gives back, so that cloth, prints and sheets cancel:
``(board - inverse) / (white - black)`` runs from -1 (black square) to 1 (white square). The board
and its inverse alone do nearly as well: ``(board - inverse) / (board + inverse)``.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from calibration.detection import grey_of
from calibration.errors import CalibrationError
from calibration.light import coded, linear

__all__ = ["board_alone"]

LEAST_LIGHT = 0.01
"""Places that give back less than this, parts of full scale, show nothing and are made grey."""

Photograph = npt.NDArray[np.uint8]


def board_alone(
    board: Photograph,
    inverse: Photograph,
    white: Photograph | None = None,
    black: Photograph | None = None,
    subject: str = "camera",
) -> Photograph:
    """A grey picture (h, w) of the projected board as if it lay on an even white table.

    Parameters
    ----------
    board, inverse
        Photographs, (h, w) or (h, w, 3, BGR), of one camera that did not move, its exposure held.
    white, black
        The same with the whole screen white and black; both or none.

    Raises `CalibrationError` for photographs of different sizes, or hardly any light.
    """
    if (white is None) != (black is None):
        raise CalibrationError(f"{subject}: white and black belong together; give both or none")
    given = [board, inverse] + ([] if white is None or black is None else [white, black])
    greys = [grey_of(photograph, subject) for photograph in given]
    if len({grey.shape for grey in greys}) > 1:
        raise CalibrationError(f"{subject}: the photographs are of different sizes")
    light = [linear(grey) for grey in greys]
    change = light[0] - light[1]
    whole = light[2] - light[3] if len(light) == 4 else light[0] + light[1]
    seen = whole > LEAST_LIGHT
    if float(seen.mean()) < 0.02:
        raise CalibrationError(f"{subject}: hardly any of the projector's light is seen")
    share = np.where(seen, change / np.where(seen, whole, 1.0), 0.0)
    return coded(np.clip(0.5 + 0.5 * share, 0.0, 1.0).astype(np.float32))
