"""Everything a set of photographs leaves unknown, in one vector, and how well it explains them.

The vector holds, in turn: the camera (ln f, k1, k2, k3), then for each way the sensor was held
its centre and p1, p2; each photograph's pose; the table map; each sheet's place on the table (x,
y, angle) and each printer's errors of scale, along and across.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from calibration.camera import Pose, View, seen, turned_by
from calibration.evidence import PhotoSight, ReferenceSight
from calibration.homography import Array
from calibration.projector_lens import LENS_NAMES
from calibration.table_bow import BOW_NAMES, bow_heights, bow_shapes, bow_slopes
from calibration.table_map import TableMap, parameters, table_points, with_parameters
from calibration.uncertainty import moves

__all__ = [
    "FLAT_COUNT",
    "Block",
    "Layout",
    "Scene",
    "arranged",
    "blocks",
    "lens_of",
    "map_of",
    "moved",
    "pose_of",
    "with_bow",
    "with_lens_centre",
    "with_pose",
]

FLAT_COUNT = 8 + len(LENS_NAMES)
BOWED_COUNT = FLAT_COUNT + len(BOW_NAMES)
Columns = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """Which columns of the vector belong to what.

    `sensors` names each photograph's way of holding; `sheets` and `printers` are names in order;
    `frame` is the sheet that is the table's frame and does not move.
    """

    sensors: tuple[int, ...]
    sheets: tuple[str, ...]
    printers: tuple[str, ...]
    printer_of: tuple[int, ...]
    map_count: int

    @property
    def count(self) -> int:
        """Length of the vector."""
        return 4 + 4 * (max(self.sensors) + 1) + 6 * len(self.sensors) + self._behind_poses

    @property
    def _behind_poses(self) -> int:
        return self.map_count + 3 * len(self.sheets) + 3 * len(self.printers)

    @property
    def camera(self) -> slice:
        """ln f, k1, k2, k3."""
        return slice(0, 4)

    def sensor(self, index: int) -> slice:
        """cx, cy, p1, p2 of one way of holding."""
        return slice(4 + 4 * index, 8 + 4 * index)

    def pose(self, photo: int) -> slice:
        """Three turns and the shift of a photograph."""
        start = 4 + 4 * (max(self.sensors) + 1) + 6 * photo
        return slice(start, start + 6)

    @property
    def table_map(self) -> slice:
        """The parameters of the map."""
        start = self.pose(len(self.sensors)).start
        return slice(start, start + self.map_count)

    def sheet(self, index: int) -> slice:
        """x, y, angle of a sheet."""
        start = self.table_map.stop + 3 * index
        return slice(start, start + 3)

    def printer(self, index: int) -> slice:
        """The share a printer is off in both directions, beyond it along x, and along y."""
        start = self.sheet(len(self.sheets)).start + 3 * index
        return slice(start, start + 3)


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """Values for the unknowns. `turns` holds the rotations; their three columns stay 0."""

    layout: Layout
    values: Array
    turns: tuple[Array, ...]
    frame: TableMap


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """Corners of one board in one photograph.

    `residuals` (n, 2), seen less expected, and `slopes` (n, 2, k), of what is expected, over
    `columns` (k,); pixels. `sheet` is -1 for the projected board.
    """

    photo: int
    sheet: int
    residuals: Array
    slopes: Array
    columns: Columns
    noise_px: float


def arranged(photos: Sequence[PhotoSight], map_count: int = FLAT_COUNT) -> Layout:
    """The layout for photographs; the first sheet named is the table's frame."""
    sizes: list[tuple[int, int]] = []
    sheets: dict[str, ReferenceSight] = {}
    for photo in photos:
        if photo.photo_size not in sizes:
            sizes.append(photo.photo_size)
        for reference in photo.references:
            sheets.setdefault(reference.name, reference)
    printers = tuple(dict.fromkeys(sheet.printer or name for name, sheet in sheets.items()))
    return Layout(
        tuple(sizes.index(photo.photo_size) for photo in photos),
        tuple(sheets),
        printers,
        tuple(printers.index(sheet.printer or name) for name, sheet in sheets.items()),
        map_count,
    )


def map_of(scene: Scene) -> TableMap:
    """The table map of a scene; raises `CalibrationError` when it is none."""
    return with_parameters(scene.frame, scene.values[scene.layout.table_map])


def lens_of(scene: Scene, photo: int) -> Array:
    """The lens (8,) of a photograph, in the order of `camera.seen`."""
    focal, *radial = scene.values[scene.layout.camera]
    cx, cy, p1, p2 = scene.values[scene.layout.sensor(scene.layout.sensors[photo])]
    return np.array([focal, cx, cy, *radial, p1, p2])


def pose_of(scene: Scene, photo: int) -> Pose:
    """The pose of a photograph."""
    return Pose(scene.turns[photo], scene.values[scene.layout.pose(photo)][3:])


def moved(scene: Scene, step: Array) -> Scene:
    """The scene a step (count,) away."""
    layout, values = scene.layout, scene.values + step
    turns = []
    for photo, turn in enumerate(scene.turns):
        pose = layout.pose(photo)
        turns.append(turned_by(Pose(turn, np.zeros(3)), step[pose]).turn)
        values[pose.start : pose.start + 3] = 0.0
    return replace(scene, values=values, turns=tuple(turns))


def with_pose(scene: Scene, photo: int, pose: Pose) -> Scene:
    """The scene with another pose of one photograph."""
    values, turns = scene.values.copy(), list(scene.turns)
    values[scene.layout.pose(photo)][3:] = pose.shift
    turns[photo] = pose.turn
    return replace(scene, values=values, turns=tuple(turns))


def with_lens_centre(scene: Scene, down: float) -> Scene:
    """The scene with a faultless projector lens about another centre, half diagonals down."""
    values = scene.values.copy()
    part = scene.layout.table_map
    values[part.start + 8 : part.start + FLAT_COUNT] = 0.0
    values[part.start + 11] = down
    return replace(scene, values=values)


def with_bow(scene: Scene, frame: TableMap) -> Scene:
    """The scene with the bow of `frame` among its unknowns, the rest as it is."""
    layout = replace(scene.layout, map_count=BOWED_COUNT)
    old = scene.layout.table_map
    of_bow = parameters(frame)[FLAT_COUNT:]
    values = np.concatenate([scene.values[: old.stop], of_bow, scene.values[old.stop :]])
    return Scene(layout, values, scene.turns, frame)


def blocks(scene: Scene, photos: Sequence[PhotoSight]) -> list[Block]:
    """How every board in every photograph is missed, with derivatives.

    Raises `CalibrationError` for scenes that cannot be: a table behind the camera, a horizon on
    the screen.
    """
    out = []
    table_map = map_of(scene)
    # All photographs at once: most of the work is the same few steps on short arrays.
    lit = np.concatenate([sight.screen_px for sight in photos])
    places, field = table_points(table_map, lit), moves(table_map, lit)
    start = 0
    for photo, sight in enumerate(photos):
        own = slice(start, start + len(sight.screen_px))
        start = own.stop
        if len(sight.screen_px):
            by_map = np.zeros((len(sight.screen_px), 3, scene.layout.map_count))
            by_map[:, :2] = field[own]
            of_map = scene.layout.table_map
            out.append(_block(scene, table_map, photo, -1, places[own], 0.0, by_map,
                              np.arange(of_map.start, of_map.stop),
                              sight.photo_px, sight.noise_px))  # fmt: skip
        for reference in sight.references:
            out.append(_of_sheet(scene, table_map, photo, reference))
    return out


def _of_sheet(scene: Scene, table_map: TableMap, photo: int, reference: ReferenceSight) -> Block:
    layout = scene.layout
    sheet = layout.sheets.index(reference.name)
    printer = layout.printer(layout.printer_of[sheet])
    x, y, angle = scene.values[layout.sheet(sheet)]
    scale, along, across = scene.values[printer]
    nominal = reference.plane * reference.scale
    own = nominal * [1.0 + scale + along, 1.0 + scale + across]
    c, s = np.cos(angle), np.sin(angle)
    turn = np.array([[c, s], [-s, c]])  # rows of points times this
    table = own @ turn + [x, y]
    by = np.zeros((len(own), 3, 6))
    by[:, 0, 0] = by[:, 1, 1] = 1.0
    by[:, :2, 2] = own @ np.array([[-s, c], [-c, -s]])
    by[:, :2, 3] = nominal @ turn
    by[:, :2, 4] = (nominal * [1.0, 0.0]) @ turn
    by[:, :2, 5] = (nominal * [0.0, 1.0]) @ turn
    of_sheet = layout.sheet(sheet)
    columns = np.array([*range(of_sheet.start, of_sheet.stop), *range(printer.start, printer.stop)])
    return _block(scene, table_map, photo, sheet, table, reference.height, by, columns,
                  reference.photo_px, reference.noise_px)  # fmt: skip


def _block(
    scene: Scene, table_map: TableMap, photo: int, sheet: int, table: Array, above: float,
    by_own: Array, own_columns: Columns, photo_px: Array, noise_px: float,
) -> Block:  # fmt: skip
    layout, bow = scene.layout, table_map.bow
    points = np.column_stack([table, np.full(len(table), above)])
    if bow is not None:
        points[:, 2] += bow_heights(bow, table)
        by_own[:, 2] = np.einsum("ni,nik->nk", bow_slopes(bow, table), by_own[:, :2])
        shapes = bow_shapes(bow, table)
        if sheet < 0:
            by_own[:, 2, FLAT_COUNT : FLAT_COUNT + 3] += shapes
        else:
            start = layout.table_map.start + FLAT_COUNT
            by_own = np.concatenate([by_own, np.zeros((len(table), 3, 3))], axis=2)
            by_own[:, 2, -3:] = shapes
            own_columns = np.concatenate([own_columns, np.arange(start, start + 3)])
    view: View = seen(lens_of(scene, photo), pose_of(scene, photo), points)
    sensor, pose = layout.sensor(layout.sensors[photo]), layout.pose(photo)
    # The order of `camera.seen`: ln f, cx, cy, k1, k2, k3, p1, p2.
    lens_columns = [0, sensor.start, sensor.start + 1, 1, 2, 3, sensor.start + 2, sensor.start + 3]
    columns = np.concatenate([lens_columns, np.arange(pose.start, pose.stop), own_columns])
    slopes = np.concatenate([view.by_lens, view.by_pose, view.by_point @ by_own], axis=2)
    return Block(photo, sheet, photo_px - view.points_px, slopes, columns, noise_px)
