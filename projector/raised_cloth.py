"""The map for the upper side of thick cloth, from what the worker typed."""

from __future__ import annotations

from calibration.height import ProjectorHeight, raised
from calibration.table_map import TableMap
from drafting.units import parsed_length
from projector.errors import ProjectorError

__all__ = ["on_cloth"]


def on_cloth(
    table_map: TableMap, thickness: str, lens_height: str, known: ProjectorHeight | None = None
) -> TableMap:
    """The map moved up by a thickness such as "5 mm"; as it is for "0 mm".

    `known` is the height that the record tells (`shearlight height`); a typed one goes before it.
    Raises `ProjectorError` when the height of the lens, which the correction needs, is missing.
    """
    size = parsed_length(thickness)
    if size == 0.0:
        return table_map
    if not lens_height and known is not None:
        return raised(table_map, size, known)
    if not lens_height:
        raise ProjectorError(
            f"--thickness {thickness}: --lens-height is missing; tape it from the table up to the "
            "lens (by a competent person, not from a ladder alone)"
        )
    return raised(table_map, size, ProjectorHeight(parsed_length(lens_height)))
