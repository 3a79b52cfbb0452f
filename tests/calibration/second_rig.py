"""Another rig than the project's own: OpenCV's pinhole and lens stand for projector and camera.

Nothing of `calibration` makes these scenes, and their strengths are not those of its rig: a
stronger and partly decentred projector lens, a lean up to eight degrees squared up by a keystone
correction in both directions, corner noise with long tails. Table mm (z up), pixels y down.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np

from calibration.evidence import PhotoSight, ReferenceSight

SCREEN = (1920, 1080)
SIZES = {"phone": (4000, 3000), "webcam": (1920, 1080)}
LENS_SD = 0.018
"""Of the projector's k1: some 0.4 % of the half diagonal at the corners of the picture."""


@dataclass(frozen=True)
class Eye:
    """A pinhole with OpenCV's distortion (5 numbers): a camera, or a projector run backwards."""

    matrix: np.ndarray
    bent: np.ndarray
    turn: np.ndarray
    place: np.ndarray

    def pixels(self, space: np.ndarray) -> np.ndarray:
        shift = -self.turn @ self.place
        vector = cv2.Rodrigues(self.turn)[0]
        return cv2.projectPoints(space, vector, shift, self.matrix, self.bent)[0].reshape(-1, 2)


@dataclass(frozen=True)
class SecondRig:
    """One projector with its keystone correction, one table, one camera's views."""

    lamp: Eye
    panel_from_screen: np.ndarray
    views: tuple[Eye, ...]
    photo_size: tuple[int, int]
    bow: tuple[float, float, float] = (0.0, 0.0, 0.0)
    raised: float = 0.0
    screen_size: tuple[int, int] = SCREEN

    def space(self, table: np.ndarray) -> np.ndarray:
        """Table points (n, 2) with their heights: (n, 3)."""
        x, y = table.T / 1000.0
        b1, b2, b3 = self.bow
        return np.column_stack([table, self.raised + b1 * x * x + b2 * x * y + b3 * y * y])

    def screen(self, table: np.ndarray) -> np.ndarray:
        """The screen pixels (n, 2) that light table points (n, 2), mm."""
        panel = self.lamp.pixels(self.space(table)).reshape(-1, 1, 2)
        back = np.linalg.inv(self.panel_from_screen)
        return cv2.perspectiveTransform(panel, back).reshape(-1, 2)

    def table(self, screen: np.ndarray) -> np.ndarray:
        """Where screen pixels (n, 2) fall: `screen` solved for by Newton's steps."""
        table = np.zeros_like(screen, dtype=float)
        for _ in range(25):
            here = self.screen(table)
            right = (self.screen(table + np.array([0.5, 0.0])) - here) / 0.5
            away = (self.screen(table + np.array([0.0, 0.5])) - here) / 0.5
            step = np.linalg.solve(np.stack([right, away], axis=-1), (screen - here)[:, :, None])
            table = table + step[:, :, 0]
            if np.abs(step).max() < 1e-7:
                break
        assert np.abs(self.screen(table) - screen).max() < 1e-5
        return table


def second_rig(
    seed: int, photographs: int = 1, camera: str = "phone", bow: float = 0.0, lens: float = LENS_SD
) -> SecondRig:
    """A table lit over about 1.6 x 0.9 m from 1.9 m, its middle below the picture's middle."""
    chance = np.random.default_rng((seed, 2024))
    lamp, panel = _lamp(chance, lens)
    coefficients = chance.normal(0, 1, 3)
    x, y = np.meshgrid(np.linspace(-0.8, 0.8, 33), np.linspace(-0.45, 0.45, 19))
    heights = np.tensordot(coefficients, np.stack([x * x, x * y, y * y]), 1)
    b1, b2, b3 = (float(value) for value in coefficients * bow / np.ptp(heights))
    wide, high = SIZES[camera]
    focal = wide * chance.uniform(0.68, 0.82)
    cx, cy = (np.array([wide, high]) - 1) / 2 + chance.normal(0, 0.007 * wide, 2)
    inner = np.array([[focal, 0, cx], [0, focal, cy], [0, 0, 1]])
    strength = 1.0 if camera == "phone" else 1.5
    bent = strength * chance.normal(0, [0.06, 0.05, 5e-4, 5e-4, 0.0])
    first = chance.uniform(0, 2 * np.pi)
    views = []
    for index in range(photographs):
        way = first + 2 * np.pi * index / max(photographs, 3) + chance.uniform(-0.4, 0.4)
        lean, far = chance.uniform(0.35, 0.65), chance.uniform(1700, 2050)
        place = far * np.array(
            [np.sin(lean) * np.cos(way), np.sin(lean) * np.sin(way), np.cos(lean)]
        )
        roll = 1.57 * (photographs > 1 and index % 3 == 2) + chance.normal(0, 0.08)
        views.append(Eye(inner, bent, _looking(place, chance.normal(0, 35, 2), roll), place))
    return SecondRig(lamp, panel, tuple(views), (wide, high), (b1, b2, b3))


def _lamp(chance: np.random.Generator, lens: float) -> tuple[Eye, np.ndarray]:
    focal = SCREEN[0] * 1.9 / 1.6
    cx, cy = 959.5 + chance.normal(0, 15), 539.5 + chance.uniform(-0.55, 0.55) * SCREEN[1]
    inner = np.array([[focal, 0, cx], [0, focal, cy], [0, 0, 1]])
    bent = np.array([*chance.normal(0, [lens, lens / 2, 3e-4, 3e-4]), 0.0])
    corrected = chance.uniform() < 0.6
    lean, tip = np.deg2rad(chance.uniform(-8, 8, 2) if corrected else chance.normal(0, 2.5, 2))
    down = np.diag([1.0, -1.0, -1.0])
    tilt = cv2.Rodrigues(np.array([lean, tip, 0.0]))[0]
    turn = down @ tilt @ cv2.Rodrigues(np.array([0, 0, chance.normal(0, 0.03)]))[0]
    ray = turn.T @ np.linalg.inv(inner) @ [959.5, 539.5, 1.0]
    place = -ray * (1900 + chance.normal(0, 40)) / -ray[2]
    eye = Eye(inner, bent, turn, place)
    panel = np.eye(3)
    if corrected:  # the worker moves the four corners until the picture looks square
        corners = np.array([[0, 0], [1919, 0], [1919, 1079], [0, 1079]], np.float32)
        square = np.array([[-790, 444], [790, 444], [790, -444], [-790, -444.0]])
        wanted = eye.pixels(np.column_stack([square, np.zeros(4)])) + chance.normal(0, 3, (4, 2))
        middle = wanted.mean(axis=0)
        share = min(1.0, *(_room(middle, corner) for corner in wanted))
        drawn = (middle + share * (wanted - middle)).astype(np.float32)
        panel = cv2.getPerspectiveTransform(corners, drawn).astype(float)
    return eye, panel


def _room(middle: np.ndarray, corner: np.ndarray) -> float:
    """How far a corner may go from the middle and stay on the panel, as a part of its way."""
    way = corner - middle
    edge = np.where(way > 0, np.array(SCREEN) - 0.5, -0.5)
    return float(((edge - middle) / way).min())


def _looking(place: np.ndarray, aim: np.ndarray, roll: float) -> np.ndarray:
    forward = np.array([*aim, 0.0]) - place
    forward = forward / np.linalg.norm(forward)
    right = np.cross(forward, [0.0, 1.0, 0.0])
    right /= np.linalg.norm(right)
    turn = np.stack([right, np.cross(forward, right), forward])
    return cv2.Rodrigues(np.array([0.0, 0.0, -roll]))[0] @ turn


def second_sights(
    rig: SecondRig,
    screen_px: np.ndarray,
    sheets: Sequence[tuple[str, np.ndarray, tuple[float, float, float]]],
    noise_px: float,
    seed: int,
    tails: bool = True,
) -> tuple[PhotoSight, ...]:
    """What every view shows; noise is Student's with six degrees of freedom when it has `tails`,
    of the same standard deviation. `sheets` are exact, placed from the middle of the table."""
    chance = np.random.default_rng((seed, 78))

    def seen(view: Eye, table: np.ndarray, own: float) -> tuple[np.ndarray, np.ndarray]:
        shown = view.pixels(rig.space(table))
        inside = (shown > 2).all(axis=1) & (shown < np.array(rig.photo_size) - 3).all(axis=1)
        noise = chance.standard_t(6, shown.shape) / np.sqrt(1.5) if tails else None
        noise = chance.normal(0, 1, shown.shape) if noise is None else noise
        return shown + own * noise, inside

    lit, out = rig.table(screen_px), []
    for index, view in enumerate(rig.views):
        shown, inside = seen(view, lit, noise_px)
        references = []
        for name, plane, (x, y, angle) in sheets:
            c, s = np.cos(angle), np.sin(angle)
            places = plane @ np.array([[c, s], [-s, c]]) + [x, y]
            own, whole = seen(view, places, noise_px)
            if whole.sum() >= 4:
                references.append(ReferenceSight(name, plane[whole], own[whole], noise_px=noise_px))
        out.append(
            PhotoSight(
                screen_px[inside],
                shown[inside],
                rig.photo_size,
                tuple(references),
                subject=f"photograph {index + 1}",
            )
        )
    return tuple(out)


def lifted(rig: SecondRig, height: float) -> SecondRig:
    """The same table with a cloth of this thickness, mm."""
    return replace(rig, raised=height)
