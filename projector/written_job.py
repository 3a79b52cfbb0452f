"""A job as files for other programs and for the printer: pieces, lays, nested sizes, plans."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from drafting.drawing import Drawing, scaled
from drafting.errors import DraftingError
from drafting.exchange import dxf
from drafting.exchange.drawing_pdf import pdf_bytes
from drafting.exchange.drawing_svg import svg_bytes
from drafting.exchange.piece_drawing import RULES_LEFT_OUT, nested_drawing, piece_drawing
from drafting.exchange.sheets import PAPERS, sheets, with_test_square
from drafting.piece import Piece
from drafting.plates import plates
from projector.cloth.lay_drawing import lay_drawing
from projector.cloth.layout import piece_key
from projector.errors import ProjectorError
from projector.file_names import apart, file_names, plain_name
from projector.files.cloth_entries import cloth_plain, lay_plain
from projector.files.piece_entries import piece_plain
from projector.job import Job, drafted, layout_of, pieces_of

__all__ = ["KINDS", "ONE_PAGE", "SCALES", "SUBJECTS", "Written", "written_job"]

KINDS = ("svg", "dxf", "pdf", "json")
SUBJECTS = ("pieces", "lay", "nested", "plates")
SCALES = {"full": 1.0, "half": 0.5, "quarter": 0.25}
_PLATES = {"full": "true", "half": "half", "quarter": "quarter"}
ONE_PAGE = "one-page"


@dataclass(frozen=True, slots=True)
class Written:
    """The content of one file and what of the job it could not carry."""

    name: str
    content: bytes
    left_out: tuple[str, ...] = ()


def written_job(
    job: Job,
    kind: str,
    what: str,
    paper: str = ONE_PAGE,
    scale: str = "full",
    overlap: float = 10.0,
) -> tuple[Written, ...]:
    """The files of a job.

    Parameters
    ----------
    kind, what, scale
        From `KINDS`, `SUBJECTS` and `SCALES`.
    paper
        A paper of `sheets.PAPERS` for tiles, or `ONE_PAGE`; only a PDF is tiled.
    overlap
        What neighbouring tiles both show, mm.

    Raises
    ------
    ProjectorError
        An option that is not known, or a job without what was asked for.
    """
    for word, given, known in (
        ("--as", kind, KINDS),
        ("--what", what, SUBJECTS),
        ("--scale", scale, tuple(SCALES)),
        ("--paper", paper, (*PAPERS, ONE_PAGE)),
    ):
        if given not in known:
            raise ProjectorError(f"{word}: found {given!r}, wanted {', '.join(known)}")
    if kind != "pdf" and paper != ONE_PAGE:
        raise ProjectorError(f"--paper {paper} is for PDF; a file of {kind} is one page")
    if kind in ("json", "dxf") and scale != "full":
        raise ProjectorError(f"--scale {scale} is for paper; a file of {kind} is always true size")
    pieces = pieces_of(job)
    if not pieces:
        raise ProjectorError(f"job {job.name!r} has no pieces yet; add wearers or import pieces")
    if kind == "json":
        return (_as_json(job, pieces, what),)
    if kind == "dxf" and what in ("pieces", "lay"):
        return _apart(_as_dxf(job, pieces, what), kind)
    made = []
    for name, drawings in _drawings(job, pieces, what, scale):
        if kind == "pdf":
            made.append(_as_pdf(name, drawings, paper, SCALES[scale], overlap))
            continue
        for number, drawing in enumerate(drawings, 1):
            own = f"{name}-{number:02}" if len(drawings) > 1 else name
            made.append(_as_file(own, drawing, kind, SCALES[scale]))
    if kind == "svg" and what in _DRAWN_ONLY:
        made = [replace(file, left_out=(_DRAWN_ONLY[what],)) for file in made]
    if kind == "svg" and what == "pieces" and any(p.corners or any(p.shrinkage) for p in pieces):
        made = [replace(file, left_out=(RULES_LEFT_OUT,)) for file in made]
    return _apart(made, kind)


def _apart(files: Iterable[Written], kind: str) -> tuple[Written, ...]:
    """The same files, none of which takes the place of another."""
    made = tuple(files)
    names = apart(file.name.removesuffix(f".{kind}") for file in made)
    return tuple(
        replace(file, name=f"{name}.{kind}") for file, name in zip(made, names, strict=True)
    )


def _as_json(job: Job, pieces: Sequence[Piece], what: str) -> Written:
    """Pieces in mm as a job file has them and, for the lay, where each copy lies."""
    if what == "plates":
        raise ProjectorError("--as json: plates are drawings; wanted pieces, nested or lay")
    plain: dict[str, object] = {
        "shearlight_pieces": 1,
        "unit": "mm",
        "pieces": [piece_plain(piece) for piece in pieces],
    }
    if what == "lay":
        wanted = set(_lays(job))
        plain["cloths"] = [cloth_plain(cloth) for cloth in job.cloths if cloth.name in wanted]
        plain["lays"] = [lay_plain(lay) for lay in job.lays if lay.cloth in wanted]
    text = json.dumps(plain, indent=1, ensure_ascii=False, allow_nan=False)
    return Written(f"{plain_name(job.name)}-{what}.json", (text + "\n").encode())


def _as_dxf(job: Job, pieces: Sequence[Piece], what: str) -> Iterator[Written]:
    told = tuple(dict.fromkeys(line for piece in pieces for line in dxf.left_out(piece)))
    if what == "pieces":
        yield Written(f"{plain_name(job.name)}-pieces.dxf", dxf.written(pieces), told)
        return
    for lay in _lays(job):
        layout = layout_of(job, tuple(pieces), lay)
        known = {piece_key(piece): piece for piece in layout.pieces}
        placed = [(known[p.piece], p.cloth_from_piece) for p in layout.placements]
        yield Written(
            f"{plain_name(job.name)}-lay-{plain_name(lay)}.dxf", dxf.written_lay(placed), told
        )


def _lays(job: Job) -> tuple[str, ...]:
    names = tuple(lay.cloth for lay in job.lays if lay.placements)
    if not names:
        raise ProjectorError(f"job {job.name!r} has no lay yet; make one with `lay --keep`")
    return names


def _drawings(
    job: Job, pieces: Sequence[Piece], what: str, scale: str
) -> Iterator[tuple[str, tuple[Drawing, ...]]]:
    """The drawings of every file, true size."""
    if what == "pieces":
        for piece, name in zip(pieces, file_names(pieces), strict=True):
            yield name, (piece_drawing(piece),)
    elif what == "lay":
        for lay in _lays(job):
            layout = layout_of(job, tuple(pieces), lay)
            yield f"lay-{plain_name(lay)}", (lay_drawing(layout, f"{job.name}, lay on {lay}"),)
    elif what == "nested":
        names = dict.fromkeys(piece.name for piece in pieces)
        for name in names:
            nest = nested_drawing([p for p in pieces if p.name == name])
            yield f"nested-{plain_name(name)}", (nest,)
    else:
        made = drafted(job)
        if not made:
            raise ProjectorError(f"job {job.name!r} has no wearers, so that nothing is drafted")
        for one in made:
            # Their letters are as large as the scale they are printed at wants.
            drawn = plates(one, _PLATES[scale])
            whole = tuple(scaled(plate, 1.0 / SCALES[scale]) for plate in drawn)
            yield f"plates-{plain_name(one.size)}", whole


_ON_PAPER = (
    "a PDF carries lines and words; what machines read (allowances, roles, counts) is in SVG, DXF "
    "and JSON",
)
_DRAWN_ONLY = {
    "lay": "a drawn lay carries its lines; to read the pieces back write them, or the lay as DXF",
    "nested": "a nest carries its lines; to read the pieces back write the pieces",
    "plates": "plates carry their lines and words only",
}


def _suffix(scale: float) -> str:
    return "" if scale == 1.0 else f"-1to{1 / scale:g}"


def _as_pdf(
    name: str, drawings: Sequence[Drawing], paper: str, scale: float, overlap: float
) -> Written:
    title = drawings[0].title
    if paper != ONE_PAGE:
        pages = [page for each in drawings for page in sheets(each, paper, overlap, scale).pages]
        return Written(f"{name}-{paper}{_suffix(scale)}.pdf", pdf_bytes(pages, title), _ON_PAPER)
    pages = [with_test_square(scaled(each, scale) if scale != 1.0 else each) for each in drawings]
    try:
        return Written(f"{name}{_suffix(scale)}.pdf", pdf_bytes(pages, title), _ON_PAPER)
    except DraftingError as error:
        raise DraftingError(f"{name}: {error}") from error


def _as_file(name: str, drawing: Drawing, kind: str, scale: float) -> Written:
    page = scaled(drawing, scale) if scale != 1.0 else drawing
    if kind == "dxf":
        told = ("fills and clips of a drawing are not written, curves as lines within 0.02 mm",)
        return Written(f"{name}.dxf", dxf.drawing_dxf(page), told)
    return Written(f"{name}{_suffix(scale)}.svg", svg_bytes(with_test_square(page)))
