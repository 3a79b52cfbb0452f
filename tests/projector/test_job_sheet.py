"""The job sheet as HTML and PDF, read by the standard parser, pypdf and eyes elsewhere."""

import io
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pypdf
import pytest
from typer.testing import CliRunner

from calibration.record import Record
from calibration.table_map import TableMap
from drafting.seams import walked_all
from projector.cli import app
from projector.cloth.autolayout import arrange
from projector.demonstration import demonstration_job
from projector.errors import ProjectorError
from projector.files.job import write_job
from projector.job import drafted, layout_of, pieces_of, with_layout
from projector.job_sheet.content import job_sections
from projector.job_sheet.html_page import html_page
from projector.job_sheet.parts import Columns, Listing, Section, Table, Text
from projector.job_sheet.pdf_pages import pdf_pages
from tests.projector.choir import choir_job

TITLES = (
    "Body and style", "Plan", "Pieces", "Cloth", "Seams", "What to look at", "Cutting order",
    "The table's light", "Sewing order", "Cautions",
)  # fmt: skip


class Page(HTMLParser):
    """Every tag, attribute and text of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.links: list[str] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.links += [str(v) for k, v in attrs if k in ("src", "href", "srcset", "xlink:href")]
        assert not any(k.startswith("on") for k, _ in attrs)

    def handle_data(self, data: str) -> None:
        self.text += data


@pytest.fixture(scope="module")
def job():
    known = demonstration_job()
    known = replace(known, name='<script>alert("choir & co")</script>', notes="<img src=x> ő Ω")
    return with_layout(known, arrange(layout_of(known, pieces_of(known)), 0, 1))


@pytest.fixture(scope="module")
def sections(job):
    table_map = TableMap(np.diag([0.6, 0.6, 1.0]), (1920, 1080))
    return job_sections(job, Record(table_map, "by hand", "2026-05-01 14:20"))


def test_html_needs_nothing_else_and_escapes_every_text(job, sections) -> None:
    page = Page()
    page.feed(html_page(job.name, "told", sections).decode())
    assert not {"script", "img", "link", "iframe"} & set(page.tags) and not page.links
    assert job.name in page.text and "<img src=x> ő Ω" in page.text
    assert all(title in page.text for title in TITLES)
    assert page.tags.count("svg") >= 5


def test_pdf_holds_every_section_on_its_paper(job, sections) -> None:
    for paper, size in (("A4", (210, 297)), ("Letter", (215.9, 279.4))):
        reader = pypdf.PdfReader(io.BytesIO(pdf_pages(job.name, "told", sections, paper)))
        text = "\n".join(page.extract_text() for page in reader.pages)
        assert all(title in text for title in TITLES) and "ő Ω" in text
        for page in reader.pages:
            sides = [float(side) * 25.4 / 72 for side in page.mediabox[2:]]
            assert sides == pytest.approx(size, abs=0.01)
    with pytest.raises(ProjectorError, match="--paper"):
        pdf_pages("x", "", sections, "A9")


def test_figures_are_those_of_the_draft_the_lay_and_the_record(job, sections) -> None:
    page = Page()
    page.feed(html_page(job.name, "told", sections).decode())
    page.text = page.text.replace("\u00a0", " ")
    for one in drafted(job):
        for walk in walked_all(one.pieces, one.seams):
            assert f"{walk.first:.1f}" in page.text
        assert f"{one.body.bust / 10:.1f} cm" in page.text
        assert f"{one.body.hand / 10:.1f} cm ±" in page.text  # hands were not measured
    assert "2026-05-01 14:20" in page.text and "by hand" in page.text
    order = page.text[page.text.index("Cutting order") : page.text.index("Sewing order")]
    places = [int(line.split("from ")[1].split()[0]) for line in order.split(", copy")[1:]]
    assert places == sorted(places) and len(places) == len(pieces_of(job))


def test_command_writes_both_and_refuses_others(tmp_path: Path) -> None:
    file = tmp_path / "choir.yaml"
    write_job(file, demonstration_job())
    for name in ("sheet.pdf", "sheet.html"):
        result = CliRunner().invoke(app, ["sheet", str(file), "--out", str(tmp_path / name)])
        assert result.exit_code == 0 and (tmp_path / name).stat().st_size > 20_000
    wrong = CliRunner().invoke(app, ["sheet", str(file), "--out", "sheet.doc"])
    assert isinstance(wrong.exception, ProjectorError)


def test_columns_too_tall_for_a_page_stand_one_under_the_other() -> None:
    rows = tuple((str(number), "words " * 30) for number in range(200))
    tall = (
        Section("Cutting order", (Listing(tuple(f"piece {k}" for k in range(300))),)),
        Section("Light", (Text("beside it"),), beside=True),
        Section("Body", (Columns(((Table(("a", "b"), rows),), (Text("right"),)), (1.0, 1.0)),)),
    )
    reader = pypdf.PdfReader(io.BytesIO(pdf_pages("tall", "told", tall)))
    text = "\n".join(page.extract_text() for page in reader.pages)
    assert len(reader.pages) > 3 and all(f"piece {k}" in text for k in (0, 150, 299))
    assert "beside it" in text and "right" in text


@pytest.mark.parametrize(("count", "letters"), [(30, 12), (2, 299)])
def test_many_wearers_and_long_names_find_room(count: int, letters: int) -> None:
    job = choir_job()
    names = [f"{k}{'m' * (letters - len(str(k)))}" for k in range(count)]
    wearers = tuple(replace(job.wearers[0], name=name) for name in names)
    cloth = replace(job.cloths[0], name="c" * letters)
    sections = job_sections(replace(job, wearers=wearers, cloths=(cloth,), lays=()))
    pages = pypdf.PdfReader(io.BytesIO(pdf_pages("choir", "now", sections))).pages
    packed = "".join("".join(page.extract_text().split()) for page in pages)
    assert all(f"{k}m" in packed for k in range(count))
