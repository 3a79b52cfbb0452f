"""`shearlight lens`: what a camera's lens does, from photographs of one board held many ways."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from projector.commands.board_statement import STATEMENT_HELP

__all__ = ["lens"]


def lens(
    photos: Annotated[list[Path], typer.Argument(help="Photographs of the board, 10 are good.")],
    board: Annotated[str, typer.Option(help=STATEMENT_HELP)],
    second: Annotated[
        list[Path] | None,
        typer.Option(help="A second camera's photographs of the same moments, in the same order."),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="The figures for machines.")] = False,
) -> None:
    """Measure a camera's lens, and judge its photographs, by any coded or plain board.

    Calibrating a table does not need it. With --second, once for each photograph, the place of
    the second camera is found too.

    Example: shearlight lens held-*.jpg --board 5x7,40,20,6X6_250
    """
    from collections import Counter

    import numpy as np

    from calibration.camera_lens import CameraLens, board_sights, camera_lens, camera_pair
    from calibration.detection import Corners
    from projector.commands.board_statement import parsed_board
    from projector.commands.telling import show_json
    from projector.errors import ProjectorError
    from projector.photo import read_photo

    stated = parsed_board("--board", board)
    sets = [photos] if not second else [photos, second]
    if second and len(second) != len(photos):
        raise ProjectorError(
            f"--second: found {len(second)} photographs for {len(photos)}; wanted one of each "
            "moment"
        )
    seen: list[tuple[Corners | None, ...]] = []
    sizes = []
    for paths in sets:
        named = [(str(path), read_photo(path).image) for path in paths]
        counted = Counter((image.shape[1], image.shape[0]) for _, image in named)
        size = counted.most_common(1)[0][0]
        sizes.append(size)
        found, why = board_sights(named, stated)
        others = {
            name: (image.shape[1], image.shape[0])
            for name, image in named
            if (image.shape[1], image.shape[0]) != size
        }
        for line in why:
            typer.echo(f"left out: {line}", err=True)
        for name, (width, height) in others.items():
            typer.echo(
                f"left out: {name}: {width} x {height} pixels among {size[0]} x {size[1]}; wanted "
                "one camera's",
                err=True,
            )
        seen.append(
            tuple(
                None if name in others else corners
                for (name, _), corners in zip(named, found, strict=True)
            )
        )
    kept = [index for index in range(len(photos)) if all(part[index] is not None for part in seen)]
    sights = [[corners for corners in (part[i] for i in kept) if corners] for part in seen]

    def figures(one: CameraLens, which: int) -> dict[str, object]:
        return {
            "rms_px": one.rms_px,
            "camera_matrix": one.matrix.tolist(),
            "distortion_k1_k2_p1_p2_k3": one.distortion.tolist(),
            "focal_sd_px": one.focal_sd_px,
            "photographs": {
                str(sets[which][i]): {"rms_px": float(rms), "corners": len(corners.ids)}
                for i, rms, corners in zip(kept, one.photo_rms_px, sights[which], strict=True)
            },
        }

    if second:
        pair = camera_pair(sights[0], sights[1], stated, sizes[0], sizes[1])
        told = {
            "first": figures(pair.first, 0),
            "second": figures(pair.second, 1),
            "stereo_rms_px": pair.rms_px,
            "turn": pair.turn.tolist(),
            "shift_mm": pair.shift.tolist(),
        }
        lenses = [pair.first, pair.second]
    else:
        lenses = [camera_lens(sights[0], stated, sizes[0])]
        told = figures(lenses[0], 0)
    if as_json:
        show_json(told)
        return
    for name, one, paths in zip(("camera", "second camera"), lenses, sets, strict=False):
        k1, k2 = one.distortion[:2]
        typer.echo(
            f"{name}: {len(kept)} of {len(photos)} photographs, rms {one.rms_px:.3f} px, focal "
            f"length {one.matrix[0, 0]:.1f} ± {1.96 * one.focal_sd_px:.1f} px (95 %), lens "
            f"k1 {k1:+.3f}, k2 {k2:+.3f}"
        )
        worst = int(np.argmax(one.photo_rms_px))
        typer.echo(f"  worst: {paths[kept[worst]]}, rms {one.photo_rms_px[worst]:.3f} px")
    if second:
        far = float(np.linalg.norm(pair.shift))
        typer.echo(f"both together: rms {pair.rms_px:.3f} px, {far:.1f} mm apart")
