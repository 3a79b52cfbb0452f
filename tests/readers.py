"""Every reader of files, each with sound files to begin from and what is done with what it read.

What is read is used as the commands use it: a spoilt file may well read, and must then be a job
that drafts or is refused, linework that joins or is refused, a map that answers or refuses.
"""

from __future__ import annotations

import io
import json
import tempfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from pathlib import Path

import ezdxf
import numpy as np
import yaml
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from calibration.board import printed_board
from calibration.detection import found_corners
from calibration.errors import CalibrationError
from calibration.nudging import solve as nudged
from calibration.projector_lens import ProjectorLens
from calibration.record import Record, to_plain
from calibration.table_bow import TableBow
from calibration.table_map import TableMap, Term, screen_points, table_points
from calibration.tape import solve as taped
from calibration.uncertainty import metre_error
from drafting.draft import draft
from drafting.errors import DraftingError
from drafting.exchange import dxf
from drafting.exchange.completing import Said, completed
from drafting.exchange.drawing_pdf import pdf_bytes
from drafting.exchange.drawing_svg import svg_bytes
from drafting.exchange.linework import Linework
from drafting.exchange.outlines import outlines
from drafting.exchange.piece_drawing import piece_drawing
from drafting.exchange.reading import linework_of
from drafting.exchange.stated_pieces import stated_pieces
from drafting.exchange.tiles import Tiles
from drafting.style import Style
from drafting.survey import estimated_body
from projector.errors import ProjectorError
from projector.files.job import job_from_text, job_text
from projector.files.journal import journal_path
from projector.files.marks import lengths_text, read_crosshairs, read_lengths
from projector.files.opening import OpenJob
from projector.files.settings import read_settings
from projector.files.table import read_record, write_record
from projector.job import Job, layout_of, pieces_of
from projector.photo import read_photo
from tests.projector.choir import choir_job, hall_map

__all__ = ["OWN", "READERS", "TREES", "Reader"]

OWN = (DraftingError, CalibrationError, ProjectorError)
"""What may come out of a reader; anything else is a crash."""


@dataclass(frozen=True, slots=True)
class Reader:
    """Sound files and their reading; `read(content, folder)` may write in the folder."""

    sound: Callable[[], tuple[bytes, ...]]
    read: Callable[[bytes, Path], None]


@cache
def job_files() -> tuple[bytes, ...]:
    example = files("projector.demonstration").joinpath("choir.yaml").read_bytes()
    job = choir_job()
    piece = next(p for p in pieces_of(job) if p.marks)
    style = Style(lift=0.7, join=300.0, gusset=90.0)
    whole = job_text(Job("choir", job.wearers[:1], style, job.cloths, (piece,)))
    return example, whole.encode()


def read_job_file(content: bytes, folder: Path) -> None:
    path = folder / "job.yaml"
    path.write_bytes(content)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = None
    if text is not None:
        use_job(text)
    opened = OpenJob(path)
    opened.close()


def use_job(text: str) -> None:
    """What a text reads as, drafts, lays and writes back as the same job."""
    job = job_from_text(text, "job.yaml")
    assert job_from_text(job_text(job)) == job
    # A hundred wearers are a hundred drafts: slow and no fault.
    few = replace(job, wearers=job.wearers[:2])
    with suppress(*OWN):
        layout_of(few, pieces_of(few))


@cache
def journals() -> tuple[bytes, ...]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.yaml"
        path.write_bytes(job_files()[0])
        opened = OpenJob(path)
        for lift in (0.1, 0.6, 0.9):
            opened.note(replace(opened.job, style=Style(lift=lift)))
        opened.close()
        return (journal_path(path).read_bytes(),)


def read_journal(content: bytes, folder: Path) -> None:
    path = folder / "job.yaml"
    path.write_bytes(job_files()[0])
    journal_path(path).write_bytes(content)
    opened = OpenJob(path)
    opened.close()


def settings_files() -> tuple[bytes, ...]:
    return (b"theme: dark\ndisplay: 1\ncamera: 0\ntable: hall.yaml\nrecent:\n- a.yaml\n- b.yaml\n",)


def read_settings_file(content: bytes, folder: Path) -> None:
    path = folder / "settings.yaml"
    path.write_bytes(content)
    read_settings(path)


@cache
def records() -> tuple[bytes, ...]:
    plain = hall_map()
    lens = ProjectorLens(tuple(1e-3 for _ in ProjectorLens().values))
    bow = TableBow((1e-6, 1e-6, 0.0), (700.0, 400.0), (0.0, 0.0, 0.0), (700.0, 400.0, 2000.0))
    bent = TableMap(plain.table_from_screen, plain.screen_size, lens, bow)
    many = len(bent.parameter_names)
    bent = TableMap(
        plain.table_from_screen, plain.screen_size, lens, bow,
        (Term("corners", 1e-4 * np.eye(many)),), thickness=4.0,
    )  # fmt: skip
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "table.yaml"
        made = []
        for table_map in (plain, bent):
            write_record(path, Record(table_map, "camera", "2026-05-01 14:20", np.zeros((9, 2))))
            made.append(path.read_bytes())
    made.append(json.dumps(to_plain(Record(bent))).encode())
    return tuple(made)


def read_record_file(content: bytes, folder: Path) -> None:
    path = folder / "table.yaml"
    path.write_bytes(content)
    table_map = read_record(path).table_map
    with suppress(*OWN):
        metre_error(table_map)
        width, height = table_map.screen_size
        at = table_points(table_map, [(0.0, 0.0), (width - 1.0, height - 1.0)])
        assert np.isfinite(at).all()
        screen_points(table_map, at)


def length_files() -> tuple[bytes, ...]:
    marks = {"A": (90.0, 90.0), "B": (1800.0, 90.0), "C": (1800.0, 980.0), "D": (90.0, 980.0)}
    pairs = [("A", "B"), ("B", "C"), ("C", "D"), ("D", "A"), ("A", "C"), ("B", "D")]
    text = lengths_text((1920, 1080), marks, pairs)
    for size in ("1403 mm", "730 mm", "1400 mm", "731.5 mm", "62 1/4 in", "158 cm"):
        text = text.replace('""', size, 1)
    return (text.encode(),)


def read_length_file(content: bytes, folder: Path) -> None:
    path = folder / "lengths.yaml"
    path.write_bytes(content)
    given = read_lengths(path)
    taped(given.marks_px, given.lengths, given.screen_size, given.tape_error)


def crosshair_files() -> tuple[bytes, ...]:
    rows = [
        {"mark": [f"{x} cm", f"{y} cm"], "px": [100.5 + 12.1 * x, 1000.0 - 12.0 * y]}
        for x in (0, 50, 120) for y in (0, 40, 75)
    ]  # fmt: skip
    return (yaml.safe_dump({"screen": "1920x1080", "crosshairs": rows}).encode(),)


def read_crosshair_file(content: bytes, folder: Path) -> None:
    path = folder / "mat.yaml"
    path.write_bytes(content)
    given = read_crosshairs(path)
    nudged(given.marks, given.crosshairs_px, given.screen_size, given.placing_error)


@cache
def _pieces() -> tuple:  # type: ignore[type-arg]
    body = estimated_body({"bust": 940.0, "waist": 780.0, "hip": 1020.0, "height": 1660.0})
    return draft(body, Style(), "M").pieces


@cache
def svg_files() -> tuple[bytes, ...]:
    by_hand = b"""<svg xmlns="http://www.w3.org/2000/svg" width="30cm" height="20cm"
     viewBox="0 0 300 200"><defs><g id="a"><path d="M0 0h50v40q-20 20-50 0z"/></g></defs>
     <g id="front" transform="rotate(10) translate(5,5)" style="fill:none;stroke:#000">
     <use href="#a" x="20" y="30"/><circle cx="80" cy="80" r="20"/>
     <polygon points="100,100 150,100 150,150 100,150"/>
     <path d="M10 150 C 20 120 60 120 70 150 S 110 190 120 150 A 20 10 30 0 1 10 150 Z"/>
     <text x="5" y="5">front</text></g></svg>"""
    return by_hand, svg_bytes(piece_drawing(_pieces()[0]))


@cache
def dxf_files() -> tuple[bytes, ...]:
    document = ezdxf.new("R2010")
    document.units = ezdxf.units.MM
    block = document.blocks.new("back")
    block.add_lwpolyline([(0, 0), (200, 0), (200, 300, 0, 0, 0.4), (0, 300)], close=True)
    block.add_spline([(0, 0, 0), (50, 80, 0), (100, 20, 0), (150, 90, 0)])
    space = document.modelspace()
    space.add_blockref("back", (10, 10), {"rotation": 30, "xscale": 2, "column_count": 2})
    space.add_circle((50, 50), 20)
    space.add_arc((50, 50), 40, 10, 200)
    space.add_ellipse((90, 20), (40, 0), 0.5)
    space.add_line((0, 0), (10, 400))
    space.add_text("back", height=5)
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode(), dxf.written(_pieces()[0])


@cache
def pdf_files() -> tuple[bytes, ...]:
    target = io.BytesIO()
    page = Canvas(target, pagesize=(600, 400), pageCompression=0)
    page.beginForm("inner")
    page.rect(10, 10, 200, 100)
    page.endForm()
    page.rotate(5)
    page.doForm("inner")
    page.bezier(0, 0, 0, 100, 100, 100, 100, 0)
    page.circle(200, 200, 60)
    page.drawString(20, 20, "back")
    page.showPage()
    page.line(0, 0, 50, 50)
    page.save()
    return target.getvalue(), pdf_bytes(piece_drawing(_pieces()[0]))


def read_drawn_file(content: bytes, folder: Path) -> None:
    use_linework(linework_of(content))
    if content[:5] == b"%PDF-":
        linework_of(content, tiles=Tiles(1, 10.0, 5.0))


def use_linework(linework: Linework) -> None:
    """Join the strokes and make pieces of them, as `import` does."""
    found = outlines(linework.strokes, 0.5)
    with suppress(*OWN):
        stated_pieces(linework)
    for outline in found.outlines[:4]:
        for line in ("seam", "cutting"):
            with suppress(*OWN):
                completed(outline, Said("piece", line=line))  # type: ignore[arg-type]


@cache
def image_files() -> tuple[bytes, ...]:
    shade = np.tile(np.arange(160, dtype=np.uint8), (120, 1))
    picture = Image.fromarray(np.dstack([shade, shade, 255 - shade]))
    noted = Image.Exif()
    noted[0x0112] = 6
    noted.get_ifd(0x8769)[41989] = 27
    made = []
    for kind in ("JPEG", "PNG", "TIFF", "WEBP", "BMP"):
        stream = io.BytesIO()
        picture.save(stream, kind, exif=noted)
        made.append(stream.getvalue())
    return tuple(made)


def read_image_file(content: bytes, folder: Path) -> None:
    path = folder / "photo.jpg"
    path.write_bytes(content)
    photo = read_photo(path)
    assert photo.image.ndim == 3 and photo.image.shape[2] == 3
    if photo.image.size < 300_000:
        with suppress(*OWN):
            found_corners(photo.image, printed_board("A4"), "printed board")


READERS = {
    "job": Reader(job_files, read_job_file),
    "journal": Reader(journals, read_journal),
    "settings": Reader(settings_files, read_settings_file),
    "record": Reader(records, read_record_file),
    "lengths": Reader(length_files, read_length_file),
    "crosshairs": Reader(crosshair_files, read_crosshair_file),
    "SVG": Reader(svg_files, read_drawn_file),
    "DXF": Reader(dxf_files, read_drawn_file),
    "PDF": Reader(pdf_files, read_drawn_file),
    "image": Reader(image_files, read_image_file),
}
TREES = ("job", "settings", "record", "lengths", "crosshairs")
"""Readers of YAML: their files are spoilt value by value, too."""
