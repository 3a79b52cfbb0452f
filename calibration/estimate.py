"""The joint estimate: one or several photographs of a projected board and sheets of known size.

Everything is found at once by robust least squares in the photographs (`adjustment`): the table
map with the projector's lens, every pose, the camera's lens, where the sheets lie, errors of print
within their beliefs, and a bow of the table where four photographs or more give evidence of one.
Begun from several focal lengths and from both poses of a mirrored plane, since some starts end in
a false rest with innocent residuals.

Whether the projector corrects keystone nobody tells: the map is fitted with and without, and the
two are averaged by how well each explains the corners, what parts them counted as error.

The covariance is that of the least squares, ``(J' W J + priors)^-1`` with the corner noise that
the residuals show, split by cause: what would be left of the error if all other causes were none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from calibration.adjustment import (
    Adjusted,
    Judgement,
    Kept,
    Priors,
    adjusted,
    told_judgement,
)
from calibration.beliefs import priors, without_keystone
from calibration.camera import Pose
from calibration.errors import CalibrationError
from calibration.evidence import PhotoSight
from calibration.homography import Array
from calibration.judging import blended, evidence, map_with_terms
from calibration.scene import (
    Scene,
    lens_of,
    map_of,
    pose_of,
    with_bow,
)
from calibration.search import (
    Progress,
    centred,
    from_all_starts,
    settled,
    untwinned,
)
from calibration.table_bow import TableBow, bow_shapes
from calibration.table_map import TableMap, lit_outline
from calibration.uncertainty import lit_grid

__all__ = ["Estimate", "Missed", "joint"]

FEWEST = 8
"""Projected corners a photograph must show; a homography needs four."""
WORST_RMS_PX = 3.0
"""Beyond this the boards are not on one plane, or are of another screen."""
OTHER_FOCAL = 1.06
"""Focal lengths in whole millimetres of a 35 mm camera differ by less, rounded, of one lens."""
USUAL_FOCAL = 0.75
"""Of the long side: between phones' main lenses and webcams (common practice, no source)."""
STEEPEST = np.deg2rad(75.0)
Fit = tuple[Adjusted, Priors]
BOW_PHOTOS = 4
BOW_EVIDENCE = 3.0
"""Logarithm of the odds, beyond which a bow is believed: twenty to one."""
THROW_GUESS = 1.2
"""Height of a projector over the width it lights, when nobody taped it."""


@dataclass(frozen=True, slots=True, eq=False)
class Missed:
    """How one board was missed in one photograph.

    `seen_px` (n, 2) and `residuals_px` (n, 2), seen less expected; `left_out` (n,) marks gross
    outliers; `noise_px` is what the residuals show. `board` is "projected" or a sheet's name.
    """

    subject: str
    board: str
    seen_px: Array
    residuals_px: Array
    left_out: Kept
    noise_px: float


@dataclass(frozen=True, slots=True, eq=False)
class Estimate:
    """A map with all that was found on the way.

    Parameters
    ----------
    table_map
        With terms of error; its frame is that of the first sheet.
    missed
        Residuals of every board in every photograph.
    rms_px
        Of the corners kept, both coordinates, all photographs.
    noise_ratio
        Noise shown by the residuals over the noise told beforehand.
    lens
        Of the camera in the first photograph, (8,): ln f (pixels), cx, cy, k1, k2, k3, p1, p2.
    poses
        Of each photograph.
    sheets
        Place of each sheet by name: x, y (mm), angle; the first is the frame.
    bow_gain
        Logarithm of the odds for a bow of the table; None when none was tried.
    """

    table_map: TableMap
    missed: tuple[Missed, ...]
    rms_px: float
    noise_ratio: float
    lens: Array
    poses: tuple[Pose, ...]
    sheets: dict[str, tuple[float, float, float]]
    bow_gain: float | None


def joint(
    photos: Sequence[PhotoSight],
    screen_size: tuple[int, int],
    projector_height: float | None = None,
    bow: bool | None = None,
    progress: Progress | None = None,
) -> Estimate:
    """The table map from photographs, with its error and what was missed by how much.

    Parameters
    ----------
    photos
        All of one camera, of one size, focused alike. The first sheet named is the table's frame.
    screen_size
        The projector's pixels.
    projector_height
        Taped from table to lens, mm; helps a bow, and nothing else.
    bow
        True or False to have a bow or none; None to let the evidence decide, from four
        photographs on.
    progress
        Called with what is being done and the part of it that is done, 0 to 1.

    Raises
    ------
    CalibrationError
        Too few corners, no sheet, a view too oblique, boards that are not on one plane,
        photographs of several sizes or focal lengths.

    Notes
    -----
    Not covered: a table bowed other than to the second order, a sheet that curls, a camera that
    changed its focus in between, distortion of the projector that is not radial.
    """
    told = progress or (lambda what, part: None)
    _check(photos)
    focal, known = _focal(photos)
    best = from_all_starts(photos, screen_size, focal, known, told)
    beliefs = priors(best.scene, photos, focal, known)
    plain = without_keystone(beliefs, best.scene.layout)
    judgement = told_judgement(best.blocks)
    best = untwinned(best, photos, beliefs, judgement)
    told("weighing the projector's lens", 0.75)
    best = centred(best, photos, plain, judgement)
    found, judgement = settled(best, photos, beliefs, judgement)
    pair = _fits((best.scene, found.scene), (plain, beliefs), photos, judgement)
    best, beliefs, proof = _likelier(pair, judgement)
    gain = None
    if bow or (bow is None and len(photos) >= BOW_PHOTOS):
        told("looking for a bow of the table", 0.9)
        frame = _with_some_bow(map_of(best.scene), projector_height)
        scene = with_bow(best.scene, frame)
        taped = projector_height is not None
        free = priors(scene, photos, focal, known, frame.bow, taped)
        both = (without_keystone(free, scene.layout), free)
        bent = _fits((scene, scene), both, photos, judgement)
        gain = _likelier(bent, judgement)[2] - proof
        if bow or gain > BOW_EVIDENCE:
            pair = bent
            best, beliefs, _ = _likelier(pair, judgement)
    best, judgement = settled(best, photos, beliefs, judgement)
    told("judging", 0.95)
    scenes, both = zip(*((fit.scene, own) for fit, own in pair), strict=True)
    pair = _fits(scenes, both, photos, judgement)
    out = _estimate(best, photos, pair, judgement, gain)
    _check_view(out)
    _check_fit(out)
    told("done", 1.0)
    return out


def _fits(
    scenes: Sequence[Scene],
    beliefs: Sequence[Priors],
    photos: Sequence[PhotoSight],
    judgement: Judgement,
) -> list[Fit]:
    return [
        (adjusted(scene, photos, own, judgement), own)
        for scene, own in zip(scenes, beliefs, strict=True)
    ]


def _likelier(fits: Sequence[Fit], judgement: Judgement) -> tuple[Adjusted, Priors, float]:
    proofs = [evidence(fit, own, judgement) for fit, own in fits]
    best = int(np.argmax(proofs))
    return (*fits[best], proofs[best])


def _check(photos: Sequence[PhotoSight]) -> None:
    if not photos:
        raise CalibrationError("no photograph was given; take one of the projected board")
    for photo in photos:
        if len(photo.screen_px) < FEWEST:
            raise CalibrationError(
                f"{photo.subject}: found {len(photo.screen_px)} corners of the projected board, "
                f"wanted {FEWEST} or more; move closer or clear the table"
            )
    first = photos[0]
    for photo in photos:
        if sorted(photo.photo_size) != sorted(first.photo_size):
            sizes = " and ".join(f"{w} x {h}" for w, h in (first.photo_size, photo.photo_size))
            raise CalibrationError(
                f"{photo.subject}: another size than {first.subject}, {sizes} pixels; wanted all "
                "of one camera as it wrote them, neither reduced nor cut"
            )
    told = {photo.subject: photo.focal_px for photo in photos if photo.focal_px is not None}
    if told and max(told.values()) > OTHER_FOCAL * min(told.values()):
        near, far = min(told, key=told.__getitem__), max(told, key=told.__getitem__)
        raise CalibrationError(
            f"{far}: zoomed {told[far] / told[near]:.2f} times as far as {near}, or taken with "
            "another lens; take all photographs with one lens, without zoom"
        )
    if not any(photo.references for photo in photos):
        raise CalibrationError(
            "no photograph shows a sheet of known size; lay a printed board on the table"
        )


def _focal(photos: Sequence[PhotoSight]) -> tuple[float, bool]:
    known = [photo.focal_px for photo in photos if photo.focal_px is not None]
    if known:
        return float(np.median(known)), True
    return USUAL_FOCAL * max(photos[0].photo_size), False


def _with_some_bow(table_map: TableMap, projector_height: float | None) -> TableMap:
    grid, outline = lit_grid(table_map), lit_outline(table_map)
    x, y = (float(value) for value in grid.mean(axis=0))
    width = float(np.hypot(*(outline[1] - outline[0])))
    height = projector_height or THROW_GUESS * width
    bow = TableBow((0.0, 0.0, 0.0), (x, y), (0.0, 0.0, 0.0), (x, y, height))
    l1, l2, l3 = (float(value) for value in bow_shapes(bow, grid).mean(axis=0))
    return replace(table_map, bow=replace(bow, level=(l1, l2, l3)))


def _estimate(
    best: Adjusted,
    photos: Sequence[PhotoSight],
    pair: Sequence[Fit],
    judgement: Judgement,
    gain: float | None,
) -> Estimate:
    scene, layout = best.scene, best.scene.layout
    missed, squares, told = [], [], []
    for block, noise, kept in zip(best.blocks, judgement.noise_px, judgement.kept, strict=True):
        photo = photos[block.photo]
        board = "projected" if block.sheet < 0 else layout.sheets[block.sheet]
        own = photo.photo_px
        for reference in photo.references:
            if block.sheet >= 0 and reference.name == board:
                own = reference.photo_px
        missed.append(Missed(photo.subject, board, own, block.residuals, ~kept, noise))
        squares.append(block.residuals[kept].ravel() ** 2)
        told.append((noise / block.noise_px) ** 2 * kept.sum())
    counted = sum(len(square) for square in squares)
    sheets = {}
    for index, name in enumerate(layout.sheets):
        x, y, angle = (float(value) for value in scene.values[layout.sheet(index)])
        sheets[name] = (x, y, angle)
    proofs = np.array([evidence(fit, own, judgement) for fit, own in pair])
    odds = np.exp(proofs - proofs.max())
    return Estimate(
        blended([map_with_terms(fit, own, judgement) for fit, own in pair], odds / odds.sum()),
        tuple(missed),
        float(np.sqrt(np.concatenate(squares).mean())),
        float(np.sqrt(2.0 * sum(told) / max(counted, 1))),
        lens_of(scene, 0),
        tuple(pose_of(scene, photo) for photo in range(len(photos))),
        sheets,
        gain,
    )


def _check_view(found: Estimate) -> None:
    middle = np.append(lit_grid(found.table_map).mean(axis=0), 0.0)
    for pose, subject in zip(
        found.poses, dict.fromkeys(part.subject for part in found.missed), strict=False
    ):
        eye = -pose.turn.T @ pose.shift - middle
        slant = float(np.arccos(abs(eye[2]) / np.linalg.norm(eye)))
        if slant > STEEPEST:
            raise CalibrationError(
                f"{subject}: taken {np.rad2deg(slant):.0f} degrees off the upright, wanted "
                f"{np.rad2deg(STEEPEST):.0f} or less; take it from higher up"
            )


def _check_fit(found: Estimate) -> None:
    for part in found.missed:
        rms = float(np.sqrt((part.residuals_px**2).mean()))
        lost = float(part.left_out.mean())
        if rms > WORST_RMS_PX and lost < 0.3:
            raise CalibrationError(
                f"{part.subject}: the {part.board} board misses the table's plane by "
                f"{rms:.1f} px rms, wanted {WORST_RMS_PX:g} or less; lay everything flat on the "
                "table, leave the projector alone, and check that the screen is the right one"
            )
        if lost >= 0.3:
            raise CalibrationError(
                f"{part.subject}: {part.left_out.sum()} of {len(part.left_out)} corners of the "
                f"{part.board} board do not fit the rest; lay it flat, and move nothing "
                "between photographs"
            )
