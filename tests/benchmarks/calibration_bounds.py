"""The least error that any estimate from the corners of photographs can have, for both rigs.

Bayesian Cramer-Rao bounds from the true model: the information of the corners at their true noise,
and of the very widths that the scenes are drawn from; root mean square over the lit area after
the best rigid motion, mm.
"""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np

from calibration.adjustment import Judgement, Priors, adjusted
from calibration.beliefs import priors
from calibration.evidence import PhotoSight
from calibration.judging import map_with_terms
from calibration.rig import Rig
from calibration.scene import arranged, with_lens_centre
from calibration.starting import started
from calibration.uncertainty import free_covariance, moves
from tests.calibration.second_rig import LENS_SD, SCREEN, Eye, SecondRig
from tests.calibration.sights import screen_grid

GRID = screen_grid(SCREEN, 13, 9, 0.0)


def own_bound(photos: tuple[PhotoSight, ...], rig: Rig, camera: str, noise: float) -> float:
    """For the project's rig: its own model with the lens radial about a shifted centre; a keystone
    correction counts as unknown where there is one."""
    start = started(photos, SCREEN, arranged(photos), rig.camera.focal_px, False)
    known = priors(start, photos, rig.camera.focal_px, True)
    sd = known.sd.copy()
    size = photos[0].photo_size[0]
    sd[0] = 0.035 if camera == "phone" else 0.056
    sd[1:4] = (0.03, 0.03, 0.01) if camera == "phone" else (0.08, 0.05, 0.01)
    sd[4:8] = [0.006 * size] * 2 + [5e-4 if camera == "phone" else 1e-3] * 2
    of_map = start.layout.table_map
    corrected = not np.allclose(rig.projector.panel_from_screen, np.eye(3))
    sd[of_map][8:14] = (0.0028, 0.0003, 0.02, 0.34, 1e-9, 1e-9)
    sd[of_map][14:18] = 0.03 if corrected else 1e-9
    told = Priors(known.mean, sd)
    middle = (np.array(SCREEN) - 1) / 2
    shift = (np.array(rig.projector.lens.centre_px) - middle) / (np.hypot(*SCREEN) / 2)
    near = adjusted(with_lens_centre(start, float(shift[1])), photos, known)
    judgement = Judgement(
        tuple(noise for _ in near.blocks),
        tuple(np.ones(len(block.residuals), bool) for block in near.blocks),
    )
    there = adjusted(near.scene, photos, known, judgement)
    table_map = map_with_terms(there, told, judgement)
    field = moves(table_map, GRID)
    free = free_covariance(table_map, table_map.covariance)
    return float(np.sqrt(np.einsum("nim,mk,nik->", field, free, field) / len(field)))


def second_bound(
    photos: tuple[PhotoSight, ...],
    rig: SecondRig,
    places: dict[str, tuple[float, float, float]],
    noise: float,
    strength: float,
) -> float:
    """For the second rig: finite differences of all that was drawn for it, and of where the
    sheets lie; a keystone correction counts as unknown where there is one. `strength` is that of
    the camera's lens, 1 for a phone."""
    wide = rig.photo_size[0]
    sd = [0.05, 15.0, 0.32 * SCREEN[1], LENS_SD, LENS_SD / 2, 3e-4, 3e-4]  # the lamp's lens
    sd += [100.0] * 3 + [0.1] * 3  # and its place
    corrected = not np.allclose(rig.panel_from_screen, np.eye(3))
    sd += [60.0 if corrected else 1e-3] * 8
    sd += [0.054, 0.007 * wide, 0.007 * wide]
    sd += [strength * s for s in (0.06, 0.05, 5e-4, 5e-4)]
    sd += ([1000.0] * 3 + [1.0] * 3) * len(rig.views)
    names = list(places)
    sd += [1000.0, 1000.0, 1.0] * (len(names) - 1)
    widths = np.array(sd)
    screens = [photo.screen_px for photo in photos]
    every = np.vstack([*screens, GRID])
    at = np.cumsum([0, *(len(screen) for screen in screens)])
    begun = rig.table(every)
    last = 28 + 6 * len(rig.views)

    def seen(values: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        there = _moved(rig, values)
        out = []
        lights = _lit(there, every, begun)
        for index, (photo, view) in enumerate(zip(photos, there.views, strict=True)):
            table = [lights[at[index] : at[index + 1]]]
            for reference in photo.references:
                number = names.index(reference.name)
                x, y, angle = places[reference.name]
                if number:
                    own = values[last + 3 * (number - 1) :][:3]
                    x, y, angle = x + own[0], y + own[1], angle + own[2]
                c, s = np.cos(angle), np.sin(angle)
                table.append(reference.plane @ np.array([[c, s], [-s, c]]) + [x, y])
            out.append(view.pixels(rig.space(np.vstack(table))))
        return np.vstack(out).ravel(), lights[at[-1] :].ravel()

    zero = np.zeros(len(widths))
    here = seen(zero)
    rows, field = (np.empty((len(part), len(widths))) for part in here)
    for index, width in enumerate(widths):
        step = zero.copy()
        step[index] = 1e-4 * min(width, 10.0)
        ahead, behind = seen(step), seen(-step)
        rows[:, index] = (ahead[0] - behind[0]) / (2 * step[index])
        field[:, index] = (ahead[1] - behind[1]) / (2 * step[index])
    scaled = rows * widths / noise
    matrix = scaled.T @ scaled + np.eye(len(widths))
    table = here[1].reshape(-1, 2)
    x, y = (table - table.mean(axis=0)).T / 1000
    rigid = np.zeros((len(table), 2, 3))
    rigid[:, 0, 0] = rigid[:, 1, 1] = 1.0
    rigid[:, 0, 2], rigid[:, 1, 2] = -y, x
    basis, _ = np.linalg.qr(rigid.reshape(-1, 3))
    moved = field * widths
    moved = moved - basis @ (basis.T @ moved)
    spread = np.einsum("im,mi->i", moved, np.linalg.solve(matrix, moved.T))
    return float(np.sqrt(spread.sum() / len(table)))


def _moved(rig: SecondRig, values: np.ndarray) -> SecondRig:
    """The rig with small changes of all that is unknown."""
    lamp = _bent(rig.lamp, values[:7])
    lamp = _placed(lamp, values[7:13])
    corners = np.array([[0, 0], [1919, 0], [1919, 1079], [0, 1079.0]])
    panel = cv2.perspectiveTransform(corners[None], rig.panel_from_screen)[0]
    moved = panel + values[13:21].reshape(4, 2)
    rows = []
    for (x, y), (u, v) in zip(corners, moved, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
    matrix = np.append(np.linalg.solve(np.array(rows), moved.ravel()), 1.0).reshape(3, 3)
    views = tuple(
        _placed(_bent(view, values[21:28]), values[28 + 6 * index :][:6])
        for index, view in enumerate(rig.views)
    )
    return replace(rig, lamp=lamp, panel_from_screen=matrix, views=views)


def _bent(eye: Eye, change: np.ndarray) -> Eye:
    inner, bent = eye.matrix.copy(), eye.bent.copy()
    inner[0, 0] *= np.exp(change[0])
    inner[1, 1] *= np.exp(change[0])
    inner[:2, 2] += change[1:3]
    bent[:4] += change[3:7]
    return replace(eye, matrix=inner, bent=bent)


def _placed(eye: Eye, change: np.ndarray) -> Eye:
    turn = cv2.Rodrigues(change[3:])[0] @ eye.turn
    return replace(eye, turn=turn, place=eye.place + change[:3])


def _lit(there: SecondRig, screen: np.ndarray, table: np.ndarray) -> np.ndarray:
    """Where the moved rig lights, by steps from where the rig itself does."""
    right = there.screen(table + np.array([0.5, 0.0])) - there.screen(table - [0.5, 0.0])
    away = there.screen(table + np.array([0.0, 0.5])) - there.screen(table - [0.0, 0.5])
    slopes = np.stack([right, away], axis=-1)
    for _ in range(3):
        miss = screen - there.screen(table)
        table = table + np.linalg.solve(slopes, miss[:, :, None])[:, :, 0]
    return table
