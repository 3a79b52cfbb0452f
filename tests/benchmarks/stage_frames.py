"""Frames while a piece is dragged: `python -m tests.benchmarks.stage_frames`.

Thirty pieces of the demonstration job's style, for fifteen wearers, at 1920 x 1080. A scripted
hand drags a piece for 600 frames in wide circles over its neighbours; each frame is timed from the
mouse event to the changed surface of the window, the window's flip included, by the clock and by
the time the processor spent on it (what the clock would show on a quiet machine). Two lights: a
table of 1.6 m by 0.9 m, of which a section of the lay is lit, and one that lights the whole lay.
Prints medians and 99th percentiles; nothing here passes or fails.
"""

from __future__ import annotations

import math
import os
import time
from dataclasses import replace

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
os.environ.setdefault("OMP_NUM_THREADS", "1")

import cv2
import numpy as np
import pygame

from calibration.table_map import TableMap, screen_points
from drafting.plane import Motion
from projector.cloth.autolayout import arrange
from projector.job import Job, Wearer, layout_of, pieces_of
from projector.stage.applying import apply
from projector.stage.displays import displays_open
from projector.stage.loop import settled
from projector.stage.moves import middle_of
from projector.stage.session import Session
from projector.stage.window import StageWindow
from tests.projector.choir import choir_job

SCREEN = (1920, 1080)
FRAMES = 600


def thirty_pieces() -> Job:
    """The demonstration job for fifteen wearers, each cut once: thirty pieces."""
    job = choir_job()
    wearers = tuple(
        Wearer(f"{wearer.name}{turn}", wearer.body)
        for turn in range(1, 6)
        for wearer in job.wearers
    )
    cloth = replace(job.cloths[0], length=None)
    return replace(job, wearers=wearers, cloths=(cloth,), lays=())


def main() -> None:
    """Time the frames under both lights."""
    cv2.setNumThreads(1)
    job = thirty_pieces()
    layout = arrange(layout_of(job, pieces_of(job)))
    print(f"{len(layout.placements)} pieces")
    near = np.array([[0.82, 0.01, 0.0], [-0.01, -0.82, 890.0], [2e-6, -4e-6, 1.0]])
    whole = np.diag([7.5, 7.5, 1.0]) @ np.array([[1, 0, 0], [0, -1, 1079.0], [0, 0, 1]])
    for name, matrix, lie in (
        ("a section lit", near, Motion(0.0, 40.0, 60.0)),
        ("the whole lay lit", whole, Motion(0.0, 60.0, 3000.0)),
    ):
        session = Session(layout, lie)
        for layers in ("pieces", "and squares"):
            if layers == "and squares":
                session = replace(session, layers=session.layers | {"100 mm squares"})
            times = dragged(session, TableMap(matrix, SCREEN))
            for what, column in (("wall clock", times[:, 0]), ("own processor", times[:, 1])):
                median, high = np.percentile(column, [50, 99])
                print(
                    f"{name}, {layers}, {what}: median {median:.2f} ms, p99 {high:.2f} ms, "
                    f"worst {column.max():.2f} ms over {len(column)} frames"
                )


def dragged(session: Session, table_map: TableMap) -> np.ndarray:
    """Milliseconds of each frame of the drag, by the clock and of the processor: (frames, 2)."""
    with displays_open():
        window = StageWindow(table_map, fills=False)
        window.show(session)
        middle = middle_of(session.layout, session.layout.placements[1])
        at = session.table_from_cloth(middle)
        x, y = screen_points(table_map, [(at.x, at.y)])[0]
        settled()
        times = []
        for frame in range(-1, FRAMES):
            turn = 2 * math.pi * frame / 150
            reach = min(300.0, 20.0 + frame)
            place = (round(x + reach * math.sin(turn)), round(y - reach * (1 - math.cos(turn)) / 2))
            if frame < 0:
                kind, values = pygame.MOUSEBUTTONDOWN, {"button": 1, "pos": (round(x), round(y))}
            else:
                kind, values = (
                    pygame.MOUSEMOTION,
                    {"pos": place, "rel": (0, 0), "buttons": (1, 0, 0)},
                )
            begun, busy = time.perf_counter(), time.process_time()
            for command in window.heard(pygame.event.Event(kind, values), session):
                session = apply(session, command)
            window.show(session)
            if frame >= 0:
                wall, own = time.perf_counter() - begun, time.process_time() - busy
                times.append((1000.0 * wall, 1000.0 * own))
        window.close()
    return np.array(times)


if __name__ == "__main__":
    main()
