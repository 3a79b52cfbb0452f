"""Pictures of a calibration: the photograph with what was found, the error map, the screen."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
import pygame

from calibration.board import drawn_on_screen
from calibration.errors import CalibrationError
from calibration.estimate import Missed
from calibration.table_map import TableMap
from drafting.drawing import INK, Box
from projector.desk.drawing_board import Board, Scale, fitting
from projector.desk.drawing_figure import draw_marks
from projector.desk.palette import LETTERS_PX, Palette
from projector.desk.seeing import Boards, Seen, sheet_hole
from projector.desk.watching import Live
from projector.error_drawing import error_drawing
from projector.errors import ProjectorError
from projector.photo import read_photo

__all__ = [
    "BoardContent", "ErrorContent", "LiveContent", "PhotoContent", "ScreenContent", "paint_board",
    "paint_error", "paint_live", "paint_photo", "paint_screen", "screen_scale",
]  # fmt: skip

_LARGEST = 1800


@dataclass(frozen=True, slots=True)
class PhotoContent:
    """A photograph with the corners found in it; once there is a map, those it goes by."""

    path: Path
    seen: Seen | None = None
    missed: tuple[Missed, ...] = ()


@dataclass(frozen=True, slots=True)
class LiveContent:
    """What the live camera sees, with the corners that were found a moment ago."""

    live: Live


@dataclass(frozen=True, slots=True)
class BoardContent:
    """The board as it is lit, with the white field for the printed sheet."""

    screen_size: tuple[int, int]
    paper: str


@dataclass(frozen=True, slots=True)
class ErrorContent:
    """How sure a map is over the lit table."""

    table_map: TableMap


@dataclass(frozen=True, slots=True)
class ScreenContent:
    """The projector's screen with crosshairs or marks at screen points; `lines` join pairs."""

    screen_size: tuple[int, int]
    places: tuple[tuple[float, float], ...]
    chosen: tuple[int, ...] = ()
    lines: tuple[tuple[int, int, str], ...] = ()


@lru_cache(maxsize=6)
def _photo(path: Path, changed: float) -> tuple[npt.NDArray[np.uint8], float]:
    """A photograph in red, green, blue, made smaller, and by how much."""
    image = read_photo(path).image
    part = min(1.0, _LARGEST / max(image.shape[:2]))
    size = (round(part * image.shape[1]), round(part * image.shape[0]))
    small = cv2.resize(image, size, interpolation=cv2.INTER_AREA)
    return np.asarray(small[:, :, ::-1], dtype=np.uint8), part


def paint_photo(
    content: PhotoContent, size: tuple[int, int], palette: Palette, scale: float
) -> pygame.Surface:
    """Found corners are ringed: projected ones amber, printed ones green, gross ones red."""
    board = Board(size, palette.well)
    try:
        image, part = _photo(content.path, content.path.stat().st_mtime)
    except (ProjectorError, OSError) as error:
        board.text((size[0] / 2, size[1] / 2), str(error)[:90], round(15 * scale), palette.stop)
        return board.picture()
    fit, origin = _pasted(board, image)
    if content.seen is not None and not content.missed:
        _ringed(board, content.seen, part * fit, origin, palette, scale)
    for missed in content.missed:
        colour = palette.light if missed.board == "projected" else palette.fine
        rows = (missed.seen_px + 0.5) * part * fit + origin
        for place, gone in zip(rows, missed.left_out, strict=True):
            board.dot(place, (5.0 if gone else 3.2) * scale, palette.stop if gone else colour,
                      filled=False)  # fmt: skip
    return board.picture()


def paint_live(
    content: LiveContent, size: tuple[int, int], palette: Palette, scale: float
) -> pygame.Surface:
    """The live picture; found corners are ringed as in a photograph."""
    board = Board(size, palette.well)
    image = content.live.image[:, :, ::-1]
    fit, origin = _pasted(board, image)
    seen = content.live.seen
    if seen is not None:
        _ringed(board, seen, fit * image.shape[1] / seen.size_px[0], origin, palette, scale)
    return board.picture()


def _pasted(board: Board, image: npt.NDArray[np.uint8]) -> tuple[float, tuple[int, int]]:
    """Put a picture in the middle as large as fits; its scale and its upper left corner."""
    height, width = image.shape[:2]
    high, wide = board.image.shape[:2]
    fit = min(wide / width, high / height)
    shown = (max(1, round(width * fit)), max(1, round(height * fit)))
    left, top = (wide - shown[0]) // 2, (high - shown[1]) // 2
    way = cv2.INTER_AREA if fit < 1.0 else cv2.INTER_LINEAR
    board.image[top : top + shown[1], left : left + shown[0]] = cv2.resize(
        image, shown, interpolation=way
    )
    return fit, (left, top)


def _ringed(
    board: Board, seen: Seen, fit: float, origin: tuple[int, int], palette: Palette, scale: float
) -> None:
    for rows, colour in ((seen.lit_px, palette.light), (seen.sheet_px, palette.fine)):
        for place in (rows + 0.5) * fit + origin:
            board.dot(place, 4.5 * scale, colour, filled=False)


def paint_board(
    content: BoardContent, size: tuple[int, int], palette: Palette, scale: float
) -> pygame.Surface:
    """What the table should look like before it is photographed."""
    board = Board(size, palette.panel)
    hole = sheet_hole(content.screen_size)
    image = drawn_on_screen(Boards(content.screen_size).lit, content.screen_size)
    fit, (left, top) = _pasted(board, np.repeat(image[:, :, None], 3, axis=2))
    middle = (left + fit * (hole[0] + hole[2]) / 2, top + fit * (hole[1] + hole[3]) / 2)
    board.text(middle, f"the {content.paper} sheet lies here", round(15 * scale), (29, 42, 48))
    return board.picture()


def paint_error(
    content: ErrorContent, size: tuple[int, int], palette: Palette, scale: float
) -> pygame.Surface:
    """The error map in steps of mm, hatched where it is more than wanted."""
    board = Board(size, (250, 248, 244))
    try:
        drawing = error_drawing(content.table_map)
    except CalibrationError as error:
        board.text((size[0] / 2, size[1] / 2), str(error), round(14 * scale), palette.stop)
        return board.picture()
    margin = 10 * scale
    fit = fitting(drawing.box, margin, margin, size[0] - 2 * margin, size[1] - 2 * margin)
    letters = round(min(0.78 * LETTERS_PX * scale, max(11.5 * scale, 26.0 * 1.15 * fit.px)))
    for layer in drawing.layers:
        draw_marks(board, layer.marks, fit, {INK: (29, 42, 48)}, letters, max(0.5, fit.px))
    return board.picture()


def screen_scale(content: ScreenContent, size: tuple[int, int], scale: float) -> Scale:
    """Where the screen's pixels stand in the picture; y is given as minus the pixel's row."""
    width, height = content.screen_size
    margin = 26 * scale
    return fitting(
        Box(-0.5, -(height - 0.5), width - 0.5, 0.5),
        margin, margin, size[0] - 2 * margin, size[1] - 2 * margin,
    )  # fmt: skip


def paint_screen(
    content: ScreenContent, size: tuple[int, int], palette: Palette, scale: float
) -> pygame.Surface:
    """The lit screen as the worker sees it from the near side, with its marks and lengths."""
    board = Board(size, palette.panel)
    fit = screen_scale(content, size, scale)
    width, height = content.screen_size
    corners = [(-0.5, 0.5), (width - 0.5, 0.5), (width - 0.5, 0.5 - height), (-0.5, 0.5 - height)]
    board.area(fit.pixels(corners), palette.well)
    board.line(fit.pixels(corners), palette.light, 2.0 * scale, closed=True)
    letters = round(0.85 * LETTERS_PX * scale)
    places = (
        fit.pixels([(x, -y) for x, y in content.places]) if content.places else np.zeros((0, 2))
    )
    for first, second, text in content.lines:
        live = (first, second) == content.chosen
        colour = palette.accent if live else palette.soft
        board.line(places[[first, second]], colour, (3.0 if live else 1.2) * scale)
        if text:
            middle = 0.58 * places[first] + 0.42 * places[second]
            board.text(middle - (0.0, 0.7 * letters), text, letters, palette.ink)
    for index, place in enumerate(places):
        chosen = index in content.chosen
        colour = palette.accent if chosen else palette.soft
        board.dot(place, (13 if chosen else 10) * scale, colour)
        board.text(place, str(index + 1), letters, palette.panel, bold=True)
    return board.picture()
