"""Which painter draws which content of a figure."""

from __future__ import annotations

from typing import Any

import pygame

from projector.desk.cloth_figure import ClothContent, paint_cloth
from projector.desk.draft_figure import DraftContent, paint_draft
from projector.desk.palette import Palette
from projector.desk.table_figures import (
    BoardContent,
    ErrorContent,
    LiveContent,
    PhotoContent,
    ScreenContent,
    paint_board,
    paint_error,
    paint_live,
    paint_photo,
    paint_screen,
)
from projector.desk.trace_figure import TraceContent, paint_trace

__all__ = ["painted"]

_PAINTERS: dict[type, Any] = {
    DraftContent: paint_draft,
    ClothContent: paint_cloth,
    PhotoContent: paint_photo,
    LiveContent: paint_live,
    BoardContent: paint_board,
    ErrorContent: paint_error,
    ScreenContent: paint_screen,
    TraceContent: paint_trace,
}


def painted(content: Any, size: tuple[int, int], palette: Palette, scale: float) -> pygame.Surface:
    """The picture of a content, of this size in pixels."""
    picture: pygame.Surface = _PAINTERS[type(content)](content, size, palette, scale)
    return picture
