"""Random scenes for the simulated rig."""

from __future__ import annotations

import numpy as np

from calibration.homography import Array, fitted
from calibration.rig import Camera, Projector, Rig, Table, View

__all__ = ["MIDDLE", "looking", "random_rig"]

THROW = 1900.0
LIT_WIDTH = 1600.0
MIDDLE = np.array([800.0, 450.0, 0.0])
CAMERAS = {"phone": (4032, 3024), "webcam": (1920, 1080)}


def random_rig(
    seed: int,
    photographs: int = 1,
    camera: str = "phone",
    bow: float = 0.0,
    screen_size: tuple[int, int] = (1920, 1080),
    projector_lens: float = 0.012,
) -> Rig:
    """A table lit over about 1.6 x 0.9 m from 1.9 m above, photographed from `photographs` sides.

    The projector is tilted by a few degrees, its picture shifted by up to 0.6 of its height, in
    half of the scenes corrected for keystone; its lens has k1 of standard deviation
    `projector_lens`. The camera's lens has either sign and a centre off the middle. `bow` is the
    greatest height of the bowed table within the lit area, mm.
    """
    chance = np.random.default_rng(seed)
    projector = _projector(chance, screen_size, projector_lens)
    table = Table()
    if bow:
        shape = chance.normal(0, 1, 3)
        extreme = _bow_range(shape)
        b1, b2, b3 = (float(value) for value in shape * bow / extreme)
        table = Table((b1, b2, b3))
    lens = _camera(chance, camera)
    far = 1.0 if camera == "phone" else 1.05
    sides = chance.uniform(0, 2 * np.pi) + np.arange(photographs) * 2 * np.pi / max(photographs, 1)
    views = tuple(
        _from_a_side(chance, side, far, turned=photographs > 1 and index % 3 == 2)
        for index, side in enumerate(sides)
    )
    return Rig(projector, table, lens, views)


def _bow_range(shape: Array) -> float:
    x, y = np.meshgrid(np.linspace(-0.8, 0.8, 17), np.linspace(-0.45, 0.45, 11))
    height = shape[0] * x * x + shape[1] * x * y + shape[2] * y * y
    return float(np.ptp(height))


def looking(position: Array, at: Array, roll: float = 0.0) -> View:
    """A view from `position` towards `at` (3,), mm, turned about its axis by `roll`."""
    forward = (at - position) / np.linalg.norm(at - position)
    right = np.cross(forward, [0.0, 0.0, 1.0])
    if np.linalg.norm(right) < 1e-6:
        right = np.array([1.0, 0.0, 0.0])
    right = right / np.linalg.norm(right)
    down = np.cross(forward, right)
    c, s = np.cos(roll), np.sin(roll)
    return View(position, np.array([c * right + s * down, c * down - s * right, forward]))


def _projector(
    chance: np.random.Generator, screen_size: tuple[int, int], strength: float
) -> Projector:
    width, height = screen_size
    focal = width * THROW / LIT_WIDTH
    middle = (np.array(screen_size) - 1.0) / 2.0
    shift = np.array([chance.normal(0, 0.01) * width, chance.uniform(-0.6, 0.6) * height])
    centre = middle + shift
    radial = (float(chance.normal(0, strength)), float(chance.normal(0, strength / 2)), 0.0)
    lens = Camera(focal, (float(centre[0]), float(centre[1])), screen_size, radial)
    lean, tip, turn = np.deg2rad(chance.normal(0, [2.5, 2.5, 1.5]))
    down = np.array([[1.0, 0, 0], [0, -1.0, 0], [0, 0, -1.0]])  # right, down, forward, from above
    turned = _rotation(0, lean) @ _rotation(1, tip) @ _rotation(2, turn) @ down
    toward = np.array([*((middle - centre) / focal), 1.0]) @ turned
    aim = MIDDLE + chance.normal(0, (30, 30, 0))
    position = aim - toward * (THROW * chance.uniform(0.97, 1.03) / -toward[2])
    keystone = np.eye(3)
    if chance.uniform() < 0.5:
        # A trapezium: the upper or the lower side is drawn in, for a projector that leans.
        corners = np.array([[0.0, 0], [width, 0], [width, height], [0, height]])
        drawn_in = (middle - corners) * [chance.uniform(0, 0.06), 0.0]
        drawn_in[[0, 1] if chance.uniform() < 0.5 else [2, 3]] = 0.0
        keystone = fitted(corners, corners + drawn_in)
    return Projector(View(position, turned), lens, screen_size, keystone)


def _rotation(axis: int, angle: float) -> Array:
    out = np.eye(3)
    a, b = [index for index in range(3) if index != axis]
    out[a, a] = out[b, b] = np.cos(angle)
    out[a, b], out[b, a] = -np.sin(angle), np.sin(angle)
    return out


def _camera(chance: np.random.Generator, kind: str) -> Camera:
    size = CAMERAS[kind]
    middle = (np.array(size) - 1.0) / 2.0
    centre = middle + chance.normal(0, 0.006 * size[0], 2)
    if kind == "phone":
        focal, radial, sides = size[0] * chance.uniform(0.70, 0.79), (0.03, 0.03, 0.01), 5e-4
        bent = chance.normal(0, radial)
    else:
        focal, radial, sides = size[0] * chance.uniform(0.70, 0.85), (0.08, 0.05, 0.01), 1e-3
        bent = chance.normal((-0.08, 0.02, 0.0), radial)
    p1, p2 = (float(value) for value in chance.normal(0, sides, 2))
    k1, k2, k3 = (float(value) for value in bent)
    place = (float(centre[0]), float(centre[1]))
    return Camera(float(focal), place, size, (k1, k2, k3), (p1, p2))


def _from_a_side(chance: np.random.Generator, side: float, far: float, turned: bool) -> View:
    lean = chance.uniform(0.35, 0.65)
    away = far * chance.uniform(1550, 1800) * (1.15 if turned else 1.0)
    out = np.array([np.cos(side) * np.sin(lean), np.sin(side) * np.sin(lean), np.cos(lean)])
    aim = MIDDLE + chance.normal(0, (30, 30, 0))
    view = looking(MIDDLE + away * out, aim)
    # The long side of the photograph lies along the long side of the table, as anyone holds it.
    rolls = np.array([0.0, np.pi / 2, -np.pi / 2, np.pi])
    long = [abs((looking(view.position, aim, roll).turn @ [1.0, 0, 0])[0]) for roll in rolls]
    roll = rolls[int(np.argmax(long))] + chance.normal(0, 0.05) + (np.pi / 2 if turned else 0.0)
    return looking(view.position, aim, float(roll))
