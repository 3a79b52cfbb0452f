"""The demonstration job and a session of it, for the tests of the stage."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np

from calibration.table_map import TableMap, Term
from drafting.plane import Motion
from projector.cloth.autolayout import arrange
from projector.files.job import read_job
from projector.job import Job, layout_of, pieces_of
from projector.stage.session import Session


@cache
def choir_job() -> Job:
    """The demonstration job."""
    return read_job(Path(str(files("projector.demonstration") / "choir.yaml")))


@cache
def choir_session() -> Session:
    """The demonstration job, laid, on the table of `hall_map`."""
    job = choir_job()
    return Session(arrange(layout_of(job, pieces_of(job))), Motion(0.0, 60.0, 60.0))


def hall_map(screen: tuple[int, int] = (1920, 1080)) -> TableMap:
    """A projector that hangs a little crooked over a table of 1.6 m by 0.9 m."""
    part = 1574.0 / screen[0]
    matrix = np.array(
        [[part, 0.012, -10.0], [-0.008, -part, part * screen[1] + 15.0], [3e-6, -5e-6, 1.0]]
    )
    count = len(TableMap(matrix, screen).parameter_names)
    spread = np.diag([0.04] * 8 + [0.0] * (count - 8))
    return TableMap(matrix, screen, terms=(Term("corners", spread),))
