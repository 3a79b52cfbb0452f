"""How far corners in rendered photographs are from where the rig's geometry puts them.

Run as ``python -m tests.benchmarks.corner_bias [SCENES]``: for phone and webcam, and the projected
and the printed board, the bias (mean error over all corners of all scenes, pixels, each way), the
worst bias of one scene, and the scatter. Wanted is a bias below 0.03 px.
"""

from __future__ import annotations

import sys

import numpy as np

from calibration.board import corner_screen_points, drawn_on_screen, printed_board, screen_board
from calibration.detection import found_corners
from calibration.errors import CalibrationError
from calibration.rig import photo_points, true_table_points
from calibration.rig_camera import PHONE, WEBCAM
from calibration.rig_picture import photograph
from calibration.rig_scenes import random_rig
from calibration.rig_surface import board_sheet, sheet_points

FIRST_SEED = 91_000
HOLE = (740.0, 380.0, 1180.0, 700.0)


def errors(camera: str, seed: int) -> dict[str, np.ndarray]:
    """Found less true, (n, 2), pixels, of the boards that are found in one photograph."""
    rig = random_rig(seed, camera=camera)
    lit, printed = screen_board(rig.screen_size, hole=HOLE), printed_board("A4")
    middle = true_table_points(rig, np.array([[959.5, 539.5]]))[0]
    sheet = board_sheet(printed, "A4", (float(middle[0]), float(middle[1])), 0.02)
    screen = drawn_on_screen(lit, rig.screen_size)
    conditions = PHONE if camera == "phone" else WEBCAM
    photo = photograph(rig, screen, seed, (sheet,), 0.6, conditions)
    on_table = true_table_points(rig, corner_screen_points(lit))
    out = {}
    for name, board, table in (
        ("projected", lit, on_table),
        ("printed", printed, sheet_points(sheet, printed)),
    ):
        try:
            found = found_corners(photo, board, f"{camera} {seed}, {name} board")
        except CalibrationError as error:
            print(f"  {error}")
            continue
        out[name] = found.points_px - photo_points(rig, table)[found.ids]
    return out


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 6
    for camera in ("phone", "webcam"):
        seen: dict[str, list[np.ndarray]] = {"projected": [], "printed": []}
        for number in range(count):
            for name, missed in errors(camera, FIRST_SEED + number).items():
                seen[name].append(missed)
        for name, parts in seen.items():
            if not parts:
                continue
            every = np.concatenate(parts)
            x, y = every.mean(axis=0)
            worst = max(float(np.abs(part.mean(axis=0)).max()) for part in parts)
            scatter = float(np.sqrt(((every - every.mean(axis=0)) ** 2).mean()))
            print(
                f"{camera}, {name} board: {len(every)} corners in {len(parts)} scenes, bias "
                f"{x:+.4f}, {y:+.4f} px, worst of one scene {worst:.3f} px, scatter "
                f"{scatter:.3f} px",
                flush=True,
            )


if __name__ == "__main__":
    main()
