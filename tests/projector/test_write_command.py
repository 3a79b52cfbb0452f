"""`shearlight write`, read back by pypdf, pdfium, svgelements and ezdxf."""

import io
import json
from dataclasses import replace
from pathlib import Path

import ezdxf
import pypdf
import pytest
import svgelements
from ezdxf import recover
from typer.testing import CliRunner

from drafting.drawing import Box, Drawing, Layer, Words
from drafting.edge import edge_length
from drafting.exchange.drawing_pdf import pdf_bytes
from drafting.plane import Point
from drafting.plates import plates
from projector.cli import app
from projector.cloth.autolayout import arrange
from projector.demonstration import demonstration_job
from projector.errors import ProjectorError
from projector.files.job import write_job
from projector.job import Job, drafted, layout_of, pieces_of, with_layout
from projector.written_job import written_job
from tests.projector.choir import choir_job


def test_no_file_takes_the_place_of_another(tmp_path: Path) -> None:
    """Names that differ only in what file systems mind, or are longer than they bear."""
    job = choir_job()
    names = ("M+", "M-", "m/", "M" * 299, "M" * 300, "\u0141" * 300)
    wearers = tuple(replace(job.wearers[0], name=name) for name in names)
    path = tmp_path / "job.yaml"
    write_job(path, replace(job, wearers=wearers))
    for words in (["draft"], ["write", "--as", "svg"]):
        out = tmp_path / words[0]
        done = CliRunner().invoke(app, [words[0], str(path), "--out", str(out), *words[1:]])
        assert done.exit_code == 0, (done.output, done.exception)
        written = {file.name.casefold() for file in out.iterdir()}
        assert len(written) == 2 * len(names), sorted(written)
        assert max(len(name.encode()) for name in written) < 240


def test_pieces_as_one_page_each_and_as_svg_at_true_scale() -> None:
    job = demonstration_job()
    files = written_job(job, "svg", "pieces")
    pieces = pieces_of(job)
    assert len(files) == len(pieces)
    for file, piece in zip(files, pieces, strict=True):
        page = svgelements.SVG.parse(io.BytesIO(file.content), ppi=25.4)
        edges = [e for e in page.elements() if e.values.get("attributes", {}).get("data-edge")]
        for edge in piece.edges:
            path = next(e for e in edges if e.id == f"edge-{edge.name}".replace(" ", "-"))
            assert svgelements.Path(path).length(error=1e-6) == pytest.approx(
                edge_length(edge), abs=0.1
            )
    page = pypdf.PdfReader(io.BytesIO(written_job(job, "pdf", "pieces")[0].content)).pages
    assert len(page) == 1


def test_tiles_have_the_size_of_the_paper_and_name_their_scale() -> None:
    job = demonstration_job()
    for paper, size in (("A4", (210, 297)), ("Letter", (215.9, 279.4))):
        file = written_job(job, "pdf", "nested", paper, "half")[0]
        assert file.name.endswith(f"{paper}-1to2.pdf")
        reader = pypdf.PdfReader(io.BytesIO(file.content))
        for page in reader.pages:
            sides = sorted(float(s) * 25.4 / 72 for s in page.mediabox[2:])
            assert sides == pytest.approx(sorted(size), abs=0.01)
            assert "scale 1 : 2" in page.extract_text()


def test_dxf_is_clean_and_json_carries_every_piece(tmp_path: Path) -> None:
    job = demonstration_job()
    (file,) = written_job(job, "dxf", "pieces")
    document, auditor = recover.read(io.BytesIO(file.content))
    assert not auditor.has_errors and {"1", "4", "7", "14"} <= {x.dxf.name for x in document.layers}
    assert len(document.modelspace().query("INSERT")) == len(pieces_of(job))
    assert b"$INSUNITS" in file.content and file.left_out
    assert ezdxf.read(io.StringIO(file.content.decode())).dxfversion == "AC1009"
    (plain,) = written_job(job, "json", "pieces")
    assert len(json.loads(plain.content)["pieces"]) == len(pieces_of(job))


def test_plates_and_letters_of_many_tongues() -> None:
    job = demonstration_job()
    assert len(written_job(job, "pdf", "plates")) == len(job.wearers)
    text = "őęşŽ Ελληνικά Кириллица"
    page = Drawing(Box(0, 0, 200, 20), (Layer("words", (Words(Point(5, 5), text, 5.0),)),))
    read = pypdf.PdfReader(io.BytesIO(pdf_bytes(page))).pages[0].extract_text()
    assert read.strip() == text


def test_command_writes_files_and_tells_what_is_left_out(tmp_path: Path) -> None:
    job = tmp_path / "choir.yaml"
    write_job(job, demonstration_job())
    result = CliRunner().invoke(
        app, ["write", str(job), "--as", "dxf", "--out", str(tmp_path / "out")]
    )
    assert result.exit_code == 0 and "note: curves are written as lines" in result.output
    assert [p.suffix for p in (tmp_path / "out").iterdir()] == [".dxf"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("doc", "pieces"), "--as"), (("pdf", "shoes"), "--what"), (("pdf", "lay"), "no lay yet"),
        (("svg", "pieces", "A4"), "for PDF"), (("dxf", "pieces", "one-page", "half"), "true size"),
        (("pdf", "pieces", "A9"), "--paper"),
    ],
)  # fmt: skip
def test_options_that_do_not_go_together_are_refused(words: tuple[str, ...], told: str) -> None:
    with pytest.raises(ProjectorError, match=told):
        written_job(demonstration_job(), *words)
    with pytest.raises(ProjectorError, match="no pieces"):
        written_job(Job("empty"), "pdf", "pieces")


def test_every_subject_in_every_format_is_clean_and_says_what_it_leaves_out() -> None:
    job = demonstration_job()
    job = with_layout(job, arrange(layout_of(job, pieces_of(job)), 0, 1))
    (lay,) = written_job(job, "json", "lay")
    plain = json.loads(lay.content)
    (laid,) = plain["lays"]
    assert len(laid["placements"]) == sum(piece.count for piece in pieces_of(job))
    assert {"x", "y", "turn_deg"} <= set(laid["placements"][0]) and plain["unit"] == "mm"
    with pytest.raises(ProjectorError, match="plates are drawings"):
        written_job(job, "json", "plates")
    for what in ("lay", "nested", "plates"):
        for kind in ("svg", "dxf", "pdf"):
            files = written_job(job, kind, what, scale="full" if kind == "dxf" else "quarter")
            assert files and all(file.left_out for file in files)
            assert len({file.name for file in files}) == len(files)
            if kind == "dxf":
                for file in files[:3]:
                    assert not recover.read(io.BytesIO(file.content))[1].has_errors


def test_plates_are_pages_of_one_file_at_the_scale_asked_for() -> None:
    job = demonstration_job()
    steps = len(plates(drafted(job)[0]))
    for scale, factor in (("full", 1.0), ("quarter", 0.25)):
        files = written_job(job, "pdf", "plates", scale=scale)
        assert len(files) == len(drafted(job))
        pages = pypdf.PdfReader(io.BytesIO(files[0].content)).pages
        assert len(pages) == steps
        wanted = plates(drafted(job)[0], "true" if factor == 1.0 else scale)[0].box.width
        wide = float(pages[0].mediabox.width) * 25.4 / 72
        assert wide == pytest.approx(max(wanted, 170.0), abs=0.01)
