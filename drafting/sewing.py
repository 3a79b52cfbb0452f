"""How a top with the sleeve cut in one is put together: its pieces, and every seam declared.

Back and front become what the style asks for beyond them: a gusset, a join, bands and facings.
"""

from __future__ import annotations

from drafting.bands import banded, facing, strip
from drafting.body import Body
from drafting.edge import edge_length
from drafting.finding import Finding
from drafting.gusset import GUSSET, gusset_piece, slashed
from drafting.joins import joined
from drafting.labels import labelled
from drafting.piece import Piece, edge_named
from drafting.seams import Run, Seam, walk_finding, walked_all
from drafting.style import Style

__all__ = ["contour_seams", "put_together", "seam_findings"]

CONTOUR = ("overarm", "underarm", "underarm below gusset", "side")
RIM = ("hem", "wrist", "neckline", "outer edge")


def put_together(
    back: Piece, front: Piece, style: Style, body: Body
) -> tuple[tuple[Piece, ...], tuple[Seam, ...]]:
    """All pieces, back and front first, and the seams between them.

    Raises `DraftingError` where a part of the style cannot be made on these pieces.
    """
    size = back.size
    halves = [back, front]
    if style.hem_band is not None:
        halves = [banded(piece, "hem", style.seam) for piece in halves]
    if style.cuff is not None:
        halves = [banded(piece, "wrist", style.seam) for piece in halves]
    facings = [] if style.neck_facing is None else [facing(p, style.neck_facing) for p in halves]
    if style.gusset is not None:
        halves = [slashed(piece, style.gusset) for piece in halves]
    sleeves: list[Piece] = []
    if style.join is not None:
        parted = [joined(piece, style.join) for piece in halves]
        halves = [body_part for body_part, _ in parted]
        sleeves = [sleeve for _, sleeve in parted]
    pieces = [*halves, *sleeves, *facings]
    seams = [*contour_seams(*halves)]
    if sleeves:
        seams += [
            Seam(f"{half.name} join", (Run(half.name, "join", True),), (Run(sleeve.name, "join"),))
            for half, sleeve in zip(halves, sleeves, strict=True)
        ]
        seams += contour_seams(*sleeves)
    if facings:
        seams += [
            Seam(
                f"{piece.name} to neckline",
                (Run(half.name, "neckline"),),
                (Run(piece.name, "neckline"),),
                0.0,
                False,
                False,
            )
            for half, piece in zip(halves, facings, strict=True)
        ]
        seams += contour_seams(*facings)
    if style.gusset is not None:
        pieces.append(gusset_piece(style.seam, style.gusset, size))
        seams += _gusset_seams()
    ends = sleeves or halves
    for name, width, runs, on_fold in (
        ("neck binding", style.neck_binding, _round(halves, "neckline", False), True),
        ("cuff", style.cuff, _round(ends, "wrist", True), False),
        ("hem band", style.hem_band, _round(halves, "hem", True), True),
    ):
        if width is not None:
            allowance = style.neck_allowance if name == "neck binding" else style.seam
            band, seam = strip(
                name, tuple(pieces), runs, width, allowance, style.band_stretch, on_fold, size
            )
            pieces.append(band)
            seams.append(seam)
    return tuple(labelled(piece, body) for piece in pieces), tuple(seams)


def _round(pair: list[Piece], edge: str, forward: bool) -> tuple[Run, ...]:
    """An opening from the centre front, or the front's overarm, to the back's."""
    back, front = pair
    return (Run(front.name, edge, not forward), Run(back.name, edge, forward))


def _gusset_seams() -> list[Seam]:
    return [
        Seam(
            f"gusset to {name} {part}",
            (Run(name, f"gusset {part}"),),
            (Run(GUSSET, f"{name} {part}"),),
            0.0,
            False,
            False,
        )
        for name in ("back", "front")
        for part in ("body", "sleeve")
    ]


def contour_seams(back: Piece, front: Piece) -> tuple[Seam, ...]:
    """The seams along the contour that the two pieces share, of those that both have.

    Their ends are wanted smooth where they come out at a hem, a wrist or a neckline. A bat sleeve
    to the waist has no side seam, a cap sleeve no underarm.
    """
    names = [edge.name for edge in back.edges]
    shared = set(names) & {edge.name for edge in front.edges}
    part = back.name.removeprefix("back").strip()
    seams = []
    for name in CONTOUR:
        if name not in shared:
            continue
        place = names.index(name)
        before, after = names[place - 1], names[(place + 1) % len(names)]
        seams.append(
            Seam(
                f"{part} {name}".strip(),
                (Run(back.name, name),),
                (Run(front.name, name),),
                smooth_start=before in RIM,
                smooth_end=after in RIM,
            )
        )
    return tuple(seams)


def seam_findings(
    pieces: tuple[Piece, ...], seams: tuple[Seam, ...], style: Style
) -> tuple[Finding, ...]:
    """What walking every seam showed: those that do not fit, or that all do."""
    walks = walked_all(pieces, seams)
    amiss = [walk_finding(walk) for walk in walks if not walk.fits]
    if not amiss:
        worst = max((abs(walk.apart) for walk in walks), default=0.0)
        amiss = [
            Finding("fine", "seams walked", f"{len(walks)}, at most {worst:.2f} mm off", "0.10 mm")
        ]
    return (*amiss, *_style_findings(pieces, style))


def _style_findings(pieces: tuple[Piece, ...], style: Style) -> list[Finding]:
    found: list[Finding] = []
    if style.band_stretch > style.neck_stretch:
        found.append(
            Finding(
                "warning",
                "stretch of the bands",
                f"cut to be stretched by {style.band_stretch:.0%}",
                f"at most what the cloth stretches, {style.neck_stretch:.0%}",
                "Set band_stretch lower, or neck_stretch to what this cloth does.",
            )
        )
    if style.gusset is not None and style.lift > 0.6:
        found.append(
            Finding(
                "note",
                "gusset and lift",
                f"lift {style.lift:g}",
                "a gusset where the sleeve is low",
                "At this lift the arm can rise without a gusset.",
            )
        )
    if style.gusset is not None:
        back = pieces[0]
        left = edge_length(edge_named(back, "underarm"))
        if left < 40.0:
            found.append(
                Finding(
                    "warning",
                    "gusset and underarm",
                    f"{left:.0f} mm of underarm left beyond it",
                    "at least 40 mm",
                    "Make the sleeve longer or leave the gusset out.",
                )
            )
    return found
