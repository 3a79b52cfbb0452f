"""The camera route judged from outside: another rig, the written boards, the command's own JSON.

    python -m tests.benchmarks.outside_rig --case phone3 --scenes 20 --seed 900

Nothing of `calibration` makes these photographs: OpenCV's pinhole with its own distortion
(`projectPoints`, `undistortPoints`) stands for both the projector and the camera, and the pictures
are what `shearlight boards` wrote. A case is judged by the true place of a grid of lit pixels after
the best rigid motion, by metre-long lengths, by how many points the 95 % ellipse holds, and by the
mean square of the error in units of what is told (`square`, 1 on average over many scenes).
"""

from __future__ import annotations

import argparse
import json
import math
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np

from calibration.record import from_plain
from calibration.table_map import table_points
from calibration.uncertainty import point_covariance

SCREEN = (1920, 1080)
HOLE = (745, 380, 1175, 700)


@dataclass(frozen=True)
class Eye:
    """A pinhole with OpenCV's distortion: a camera, or a projector run backwards."""

    matrix: np.ndarray
    bent: np.ndarray
    turn: np.ndarray
    shift: np.ndarray

    def pixels(self, table: np.ndarray) -> np.ndarray:
        space = np.column_stack([table, np.zeros(len(table))]).astype(np.float64)
        seen, _ = cv2.projectPoints(space, self.turn, self.shift, self.matrix, self.bent)
        return seen.reshape(-1, 2)

    def table(self, pixels: np.ndarray) -> np.ndarray:
        stop = (cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 60, 1e-12)
        rays = cv2.undistortPoints(
            pixels.reshape(-1, 1, 2).astype(np.float64),
            self.matrix,
            self.bent,
            None,
            None,
            None,
            stop,
        ).reshape(-1, 2)
        turn = cv2.Rodrigues(self.turn)[0]
        centre = -turn.T @ self.shift
        rays = np.column_stack([rays, np.ones(len(rays))]) @ turn
        return centre[:2] + rays[:, :2] * (-centre[2] / rays[:, 2])[:, None]


def looking(at: np.ndarray, eye: np.ndarray, roll: float) -> tuple[np.ndarray, np.ndarray]:
    """Rotation vector and shift of an eye that looks at a point of the table."""
    forward = (at - eye) / np.linalg.norm(at - eye)
    right = np.cross(forward, [math.sin(roll), math.cos(roll), 0.0])
    right /= np.linalg.norm(right)
    turn = np.stack([right, np.cross(forward, right), forward])
    return cv2.Rodrigues(turn)[0].ravel(), -turn @ eye


def projector(rng: np.random.Generator) -> Eye:
    """Throw about 1.9 m, lit width about 1.6 m, lens shift up, a little keystone."""
    focal = 1920 * 1.9 / 1.6
    matrix = np.array(
        [
            [focal, 0, 959.5 + rng.normal(0, 8)],
            [0, focal, 539.5 + rng.uniform(-300, 300)],
            [0, 0, 1],
        ]
    )
    bent = np.array([rng.normal(0, 0.012), rng.normal(0, 0.01), 0.0, 0.0, 0.0])
    eye = np.array([rng.normal(0, 60), rng.normal(0, 60), 1900 + rng.normal(0, 30)])
    at = np.array([rng.normal(0, 80), rng.normal(0, 80), 0.0])
    turn, shift = looking(at, eye, rng.normal(0, 0.03))
    return Eye(matrix, bent, turn, shift)


def camera_lens(rng: np.random.Generator, size: tuple[int, int]) -> tuple[np.ndarray, np.ndarray]:
    """Pixels of focal length and centre, and distortion: one camera for all its photographs."""
    focal = size[0] * 0.79 * (1 + rng.normal(0, 0.03))
    centre = (np.array(size) - 1) / 2 + rng.normal(0, 0.006 * size[0], 2)
    matrix = np.array([[focal, 0, centre[0]], [0, focal, centre[1]], [0, 0, 1]])
    strength = 1.6 if size[0] < 2500 else 1.0
    bent = [rng.normal(0, 0.06), rng.normal(0, 0.04), *rng.normal(0, 5e-4, 2), 0]
    return matrix, strength * np.array(bent)


def camera(
    rng: np.random.Generator, lens: tuple[np.ndarray, np.ndarray], at: np.ndarray, part: float
) -> Eye:
    """From one side, `part` of the way round the table, at arm's reach and steep."""
    way = 2 * math.pi * part + rng.uniform(-0.5, 0.5)
    lean, far = rng.uniform(0.35, 0.6), rng.uniform(1750, 2050)
    at = np.array([*(at + rng.normal(0, 40, 2)), 0.0])
    eye = at + far * np.array(
        [math.sin(lean) * math.cos(way), math.sin(lean) * math.sin(way), math.cos(lean)]
    )
    turn, shift = looking(at, eye, rng.normal(0, 0.1))
    return Eye(*lens, turn, shift)


@dataclass(frozen=True)
class Sheet:
    """A printed picture lying on the table: its corner, turn, and size in mm."""

    picture: np.ndarray
    corner: np.ndarray
    turn: float
    width: float
    height: float


def light(values: np.ndarray) -> np.ndarray:
    return np.power(values / 255.0, 2.2)


def photograph(
    rng: np.random.Generator,
    eye: Eye,
    lamp: Eye,
    lit: np.ndarray,
    sheets: list[Sheet],
    size: tuple[int, int],
    fine: int = 2,
) -> np.ndarray:
    """What the camera sees, 8 bits, with blur, vignetting, noise and uneven room light."""
    wide, high = size
    photo = np.empty((high, wide), np.float32)
    shade = rng.normal(0, 0.25, 2)
    rows = 250
    for top in range(0, high, rows):
        low = min(top + rows, high)
        v, u = np.meshgrid(
            (np.arange((low - top) * fine) + 0.5) / fine - 0.5 + top,
            (np.arange(wide * fine) + 0.5) / fine - 0.5,
            indexing="ij",
        )
        # Exact rays at every eighth sample, straight between: both lenses are smooth.
        step = 8
        su, sv = (
            samples[0, 0] + (np.arange(-2, n // step + 4) * step) / fine
            for samples, n in ((u, u.shape[1]), (v, v.shape[0]))
        )
        gv, gu = np.meshgrid(sv, su, indexing="ij")
        coarse = eye.table(np.column_stack([gu.ravel(), gv.ravel()]))
        both = np.column_stack([coarse, lamp.pixels(coarse)]).astype(np.float32)
        kx, ky = np.meshgrid(
            np.arange(v.shape[1], dtype=np.float32) / step + 2,
            np.arange(v.shape[0], dtype=np.float32) / step + 2,
        )
        places = cv2.remap(both.reshape(*gu.shape, 4), kx, ky, cv2.INTER_LINEAR)
        flat, screen = places[..., :2].reshape(-1, 2), places[..., 2:]
        lamplight = cv2.remap(
            lit, screen[..., 0], screen[..., 1], cv2.INTER_NEAREST, borderValue=0.0
        )
        albedo = np.full(v.shape, 0.55, np.float32)
        for sheet in sheets:
            c, s = math.cos(sheet.turn), math.sin(sheet.turn)
            away = flat - sheet.corner.astype(np.float32)
            x = (away[:, 0] * c + away[:, 1] * s).reshape(v.shape)
            y = (-away[:, 0] * s + away[:, 1] * c).reshape(v.shape)
            px = sheet.picture.shape[1] / sheet.width
            ink = cv2.remap(
                sheet.picture, x * px - 0.5, (-y) * px - 0.5, cv2.INTER_LINEAR, borderValue=-1.0
            )
            albedo = np.where(ink >= 0, 0.06 + 0.8 * ink, albedo)
        u0, v0 = u / wide - 0.5, v / high - 0.5
        room = 0.10 * (1 + shade[0] * u0 + shade[1] * v0)
        seen = albedo * (room + 0.9 * (0.004 + lamplight))
        seen = seen * (1 - 0.5 * (u0**2 + v0**2))
        photo[top:low] = cv2.resize(
            seen.astype(np.float32), (wide, low - top), interpolation=cv2.INTER_AREA
        )
    photo = cv2.GaussianBlur(photo, (0, 0), rng.uniform(0.6, 1.0))
    photo = photo * (0.8 / np.quantile(photo, 0.995))
    photo = photo + rng.normal(0, 1, photo.shape).astype(np.float32) * np.sqrt(
        1e-5 + 2e-4 * np.maximum(photo, 0)
    )
    return (255 * np.clip(photo, 0, 1) ** (1 / 2.2) + 0.5).astype(np.uint8)


def rigid(found: np.ndarray, true: np.ndarray) -> np.ndarray:
    a, b = found - found.mean(0), true - true.mean(0)
    u, _, vt = np.linalg.svd(a.T @ b)
    if np.linalg.det(u @ vt) < 0:
        u[:, -1] *= -1
    return a @ u @ vt - b


CASES = {
    # name: photographs, camera pixels, sheets (paper, x, y)
    "phone1": (1, (4000, 3000), [("A4", -148.0, 100.0)]),
    "phone3": (3, (4000, 3000), [("A4", -148.0, 100.0)]),
    "webcam3": (3, (1920, 1080), [("A4", -148.0, 100.0)]),
}


def scene(case: str, seed: int, folder: Path, boards: Path, exact: bool) -> dict[str, float] | str:
    rng = np.random.default_rng(seed)
    shots, size, papers = CASES[case]
    lamp = projector(rng)
    lit = light(cv2.imread(str(boards / "projected-board.png"), 0).astype(np.float32))
    hole_middle = lamp.table(np.array([[(HOLE[0] + HOLE[2]) / 2, (HOLE[1] + HOLE[3]) / 2]]))[0]
    sheets = []
    stretch = 1.0 if exact else 1 + rng.normal(0, 0.0015)
    for paper, _, _ in papers:
        printed = cv2.imread(str(boards / f"printed-board-{paper}.png"), 0)
        ink = light(printed.astype(np.float32))
        turn = rng.normal(0, 0.05)
        half = np.array([297.0, -210.0]) * stretch / 2
        c, s = math.cos(turn), math.sin(turn)
        corner = hole_middle - np.array([[c, -s], [s, c]]) @ half
        sheets.append(Sheet(ink, corner, turn, 297.0 * stretch, 210.0 * stretch))
    photos, lens = [], camera_lens(rng, size)
    middle = lamp.table(np.array([[959.5, 539.5]]))[0]
    for number in range(shots):
        eye = camera(rng, lens, middle, number / max(shots, 3))
        picture = photograph(rng, eye, lamp, lit, sheets, size)
        photos.append(str(folder / f"{case}-{seed}-{number}.jpg"))
        cv2.imwrite(photos[-1], picture, [cv2.IMWRITE_JPEG_QUALITY, 93])
    bar = 200.0 * stretch + (0.0 if exact else rng.normal(0, 0.1))
    words = [sys.executable, "-m", "projector", "calibrate", *photos, "--json"]
    words += ["--bar-error", "0.001"] if exact else []
    words += ["--hole", ",".join(map(str, HOLE)), "--bar", f"{bar:.2f}"]
    began = time.monotonic()
    run = subprocess.run(words, capture_output=True, text=True, check=False)
    spent = time.monotonic() - began
    if run.returncode:
        return (run.stderr or run.stdout).strip()
    found_map = from_plain(json.loads(run.stdout)).table_map
    x, y = np.meshgrid(np.linspace(20, 1900, 24), np.linspace(20, 1060, 14))
    pixels = np.column_stack([x.ravel(), y.ravel()])
    true, found = lamp.table(pixels), table_points(found_map, pixels)
    off = rigid(found, true)
    errors = np.hypot(*off.T)
    spread = np.random.default_rng(1)
    a, b = spread.integers(0, len(true), (2, 4000))
    apart = np.hypot(*(true[a] - true[b]).T)
    kept = apart > 700
    metre = 1000 * (np.hypot(*(found[a] - found[b]).T) - apart)[kept] / apart[kept]
    covariance = point_covariance(found_map, found)
    squares = np.einsum("ni,nij,nj->n", off, np.linalg.inv(covariance), off)
    return {
        "p95": float(np.quantile(errors, 0.95)),
        "metre": float(np.quantile(np.abs(metre), 0.95)),
        "held": float((squares < 5.991).mean()),
        "square": float(squares.mean() / 2),
        "seconds": spent,
    }


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--case", choices=CASES, nargs="+", default=list(CASES))
    words.add_argument("--scenes", type=int, default=4)
    words.add_argument("--seed", type=int, default=900)
    words.add_argument("--keep", type=Path, help="Folder in which the photographs stay.")
    words.add_argument("--exact", action="store_true", help="Boards printed without fault.")
    given = words.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        folder = given.keep or Path(temporary)
        folder.mkdir(parents=True, exist_ok=True)
        boards = folder / "boards"
        hole = ",".join(map(str, HOLE))
        subprocess.run(
            [sys.executable, "-m", "projector", "boards", "--hole", hole, "--out", str(boards)],
            check=True,
            stdout=subprocess.DEVNULL,
        )
        for case in given.case:
            rows = []
            for seed in range(given.seed, given.seed + given.scenes):
                result = scene(case, seed, folder, boards, given.exact)
                if isinstance(result, str):
                    print(f"{case} seed {seed}: refused: {result}", flush=True)
                    continue
                rows.append(result)
                told = ", ".join(f"{name} {value:.3f}" for name, value in result.items())
                print(f"{case} seed {seed}: {told}", flush=True)
            if rows:
                middle = {name: np.median([row[name] for row in rows]) for name in rows[0]}
                told = ", ".join(f"{name} {value:.3f}" for name, value in middle.items())
                print(f"{case}: median of {len(rows)}: {told}", flush=True)


if __name__ == "__main__":
    main()
