"""What photographs show: projected corners, and sheets of known size lying on the table."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calibration.errors import CalibrationError
from calibration.homography import Array

__all__ = ["PhotoSight", "ReferenceSight"]

CORNER_NOISE_PX = 0.05


@dataclass(frozen=True, slots=True, eq=False)
class ReferenceSight:
    """Known points of one sheet, board or mat, as one photograph shows them.

    Parameters
    ----------
    name
        Which sheet. The same name in several photographs is the same sheet, not moved between.
    plane
        The points in the sheet's own frame, (n, 2), nominal mm, x right and y up as it is seen
        from above; four or more.
    photo_px
        Where the photograph shows them, (n, 2), pixels, y down.
    scale
        Measured over nominal length: 0.998 for a bar of 200 mm that measures 199.6.
    scale_sd
        How sure `scale` is, standard deviation: 0.0005 for a bar measured to 0.1 mm in 200; 0 for
        a sheet known to be exact.
    along_sd, across_sd
        Of the shares by which the sheet is off along x and along y, beyond that of `scale`: paper
        is cut, and a printer shrinks, in each direction by itself.
    printer
        Sheets of one printer share these three errors; empty: its own.
    height
        Of the points above the table, mm: the thickness of a mat.
    noise_px
        Standard deviation of the points, each way, as far as known beforehand.
    """

    name: str
    plane: Array
    photo_px: Array
    scale: float = 1.0
    scale_sd: float = 0.0
    along_sd: float = 0.0
    across_sd: float = 0.0
    printer: str = ""
    height: float = 0.0
    noise_px: float = CORNER_NOISE_PX

    def __post_init__(self) -> None:
        _freeze_pair(self, "plane", "photo_px", f"reference {self.name!r}", 4)
        if not 0.9 <= self.scale <= 1.1:
            raise CalibrationError(
                f"reference {self.name!r}: scale {self.scale:g}, wanted 0.9 to 1.1; "
                "measure the printed bar again"
            )
        shares = (self.scale_sd, self.along_sd, self.across_sd)
        if min(shares) < 0.0 or not self.noise_px > 0.0:
            raise CalibrationError(f"reference {self.name!r}: a standard deviation is below 0")
        if not abs(self.height) <= 100.0:
            raise CalibrationError(
                f"reference {self.name!r}: height {self.height:g} mm, wanted 0 to 100 mm"
            )


@dataclass(frozen=True, slots=True, eq=False)
class PhotoSight:
    """Everything one photograph shows.

    Parameters
    ----------
    screen_px, photo_px
        Projected corners on the screen and in the photograph, (n, 2) each, pixels, both with the
        origin at the centre of the first pixel and y down.
    references
        Sheets seen, none, one or several. At least one photograph must show one.
    photo_size
        Width and height in pixels. Give photographs as the sensor took them, not turned upright:
        the lens belongs to the sensor. Those of width and height exchanged are taken for turned
        by a quarter, with a lens centre of their own.
    focal_px
        What the photograph itself says (EXIF), in pixels of this photograph; None when it does
        not say.
    subject
        What to call it in messages.
    noise_px
        Standard deviation of the projected corners, each way, as far as known beforehand.
    """

    screen_px: Array
    photo_px: Array
    photo_size: tuple[int, int]
    references: tuple[ReferenceSight, ...] = ()
    focal_px: float | None = None
    subject: str = "photograph"
    noise_px: float = CORNER_NOISE_PX

    def __post_init__(self) -> None:
        _freeze_pair(self, "screen_px", "photo_px", self.subject, 0)
        if min(self.photo_size) < 100:
            raise CalibrationError(f"{self.subject}: {self.photo_size} pixels are too few")
        if self.focal_px is not None and not self.focal_px > 0.0:
            raise CalibrationError(f"{self.subject}: a focal length of {self.focal_px} pixels")
        names = [reference.name for reference in self.references]
        if len(set(names)) < len(names):
            raise CalibrationError(f"{self.subject}: one reference is named twice: {names}")


def _freeze_pair(value: object, first: str, second: str, subject: str, fewest: int) -> None:
    pair = []
    for name in (first, second):
        points = np.array(getattr(value, name), dtype=np.float64).reshape(-1, 2)
        if not np.isfinite(points).all():
            raise CalibrationError(f"{subject}: {name} holds a number that is not finite")
        points.setflags(write=False)
        object.__setattr__(value, name, points)
        pair.append(points)
    if len(pair[0]) != len(pair[1]) or len(pair[0]) < fewest:
        raise CalibrationError(
            f"{subject}: found {len(pair[0])} points and {len(pair[1])} seen, "
            f"wanted as many, {fewest} or more"
        )
