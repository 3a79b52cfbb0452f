"""`shearlight import` from the outside: files of other programs into a job, and hostile ones."""

import gzip
import io
from collections.abc import Callable
from pathlib import Path

import ezdxf
import pytest
from typer.testing import CliRunner

from drafting.edge import edge_length
from projector.cli import app
from projector.demonstration import demonstration_job
from projector.errors import ProjectorError
from projector.file_reading import read_linework
from projector.files.job import read_job, write_job
from projector.job import Job
from projector.written_job import written_job

SVG = '<svg xmlns="http://www.w3.org/2000/svg" {}>{}</svg>'
FRONT = (
    '<g id="cut"><path d="M10 10h200v300h-200z" fill="none" stroke="#f00"/></g>'
    '<rect x="300" y="10" width="96" height="96" fill="none" stroke="#00f"/>'
)


def run(*words: object):
    result = CliRunner().invoke(app, [str(word) for word in words])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.output


def test_look_and_import_a_piece_that_lays_like_any_other(tmp_path: Path) -> None:
    file, job = tmp_path / "front.svg", tmp_path / "job.yaml"
    file.write_text(SVG.format('width="420mm" height="420mm" viewBox="0 0 420 420"', FRONT))
    write_job(job, Job("choir"))
    told = run("import", file, "--look")
    assert "outline 1" in told and "200.0 mm" in told and "layer cut" in told
    run(
        "import", file, "--into", job, "--layer", "cut", "--name", "tabard front",
        "--line", "cutting", "--allowance", "1 cm", "--edge", "1=hem 3 cm bottom",
        "--edge", "4=fold", "--notch", "2=12 cm",
    )  # fmt: skip
    (piece,) = read_job(job).pieces
    assert piece.fold_edge == "edge 4" and piece.edges[0].name == "bottom"
    assert [edge_length(e) for e in piece.edges] == pytest.approx([190, 260, 190, 260], abs=1e-3)
    assert run("lay", job, "--tries", 1).strip()
    with pytest.raises(ProjectorError, match="already"):
        run("import", file, "--into", job, "--layer", "cut", "--name", "tabard front")


def test_a_scale_that_is_not_stated_is_asked_for_and_set_by_the_test_square(tmp_path: Path) -> None:
    file, job = tmp_path / "front.svg", tmp_path / "job.yaml"
    file.write_text(SVG.format("", FRONT))
    write_job(job, Job("choir"))
    with pytest.raises(ProjectorError, match="--test-square"):
        run("import", file, "--into", job)
    run("import", file, "--into", job, "--test-square", "100 mm", "--name", "front")
    (piece,) = read_job(job).pieces
    assert [edge_length(e) for e in piece.edges][:2] == pytest.approx(
        [200 / 96 * 100, 300 / 96 * 100], abs=1e-3
    )


def million() -> bytes:
    return SVG.format(
        'width="1m"', f'<path d="M 0 0 {"L 1 2 " * 1_000_000}" stroke="red"/>'
    ).encode()


def dxf_million() -> bytes:
    return b"0\nSECTION\n2\nENTITIES\n" + b"0\nPOINT\n10\n1.0\n20\n2.0\n" * 1_000_000


def pdf(stream: bytes, box: str = "0 0 720 720", resources: str = "", extra: bytes = b"") -> bytes:
    page = f"<< /Type /Page /Parent 2 0 R /MediaBox [{box}] /Contents 4 0 R {resources} >>"
    parts = [
        b"<< /Type /Catalog /Pages 2 0 R >>", b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        page.encode(), b"<< /Length %d >>\nstream\n" % len(stream) + stream + b"\nendstream",
    ]  # fmt: skip
    body = b"".join(b"%d 0 obj\n" % n + part + b"\nendobj\n" for n, part in enumerate(parts, 1))
    return b"%PDF-1.4\n" + body + extra + b"trailer << /Root 1 0 R >>\n"


def forms_without_end() -> bytes:
    """Ten levels of forms that each draw the next one twelve times."""
    extra = b""
    for k in range(10):
        stream = b"/F Do " * 12 if k < 9 else b"0 0 m 9 9 l S"
        inner = b"/Resources << /XObject << /F %d 0 R >> >>" % (11 + k)
        extra += (
            b"%d 0 obj\n<< /Type /XObject /Subtype /Form /BBox [0 0 9 9] %s /Length %d >>\nstream\n"
            % (10 + k, inner, len(stream))
            + stream
            + b"\nendstream\nendobj\n"
        )
    return pdf(b"/F Do", resources="/Resources << /XObject << /F 10 0 R >> >>", extra=extra)


def spline_dxf() -> bytes:
    made = ezdxf.new()
    made.modelspace().add_line((0, 0), (1, 0))
    target = io.StringIO()
    made.write(target)
    return target.getvalue().replace("\n 11\n1.0\n", "\n 11\nnan\n").encode()


ENTITIES = "".join(f'<!ENTITY a{k} "{f"&a{k - 1};" * 10}">' for k in range(1, 10))
BOMB = f'<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY a0 "ha">{ENTITIES}]><svg>&a9;</svg>'
OUTSIDE = '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg><text>&x;</text></svg>'
DEEP = "<svg>" + "<g>" * 100_000 + "</g>" * 100_000 + "</svg>"

HOSTILE: dict[str, Callable[[], bytes]] = {
    "empty": lambda: b"",
    "noise": lambda: bytes(range(256)) * 500,
    "truncated svg": lambda: SVG.format("", FRONT).encode()[:150],
    "entity bomb": lambda: BOMB.encode(),
    "outside entity": lambda: OUTSIDE.encode(),
    "deep svg": lambda: DEEP.encode(),
    "million points": million,
    "not a number": lambda: SVG.format("", '<path d="M nan nan L 1 1" stroke="red"/>').encode(),
    "negative page": lambda: SVG.format('width="-5mm" height="5mm"', FRONT).encode(),
    "huge page": lambda: SVG.format('width="1e9mm" viewBox="0 0 9 9"', FRONT).encode(),
    "packed svg": lambda: gzip.compress(b"<svg>" + b" " * 10_000_000 + b"</svg>"),
    "zip": lambda: b"PK\x03\x04" + b"\0" * 1000,
    "million dxf": dxf_million,
    "truncated dxf": lambda: b"0\nSECTION\n2\nENTITIES\n0\nLINE\n10\n1.0\n20",
    "not a number dxf": spline_dxf,
    "truncated pdf": lambda: pdf(b"0 0 m 9 9 l S")[:150],
    "million pdf": lambda: pdf(b"0 0 m " + b"1 2 l " * 1_000_000 + b"S"),
    "huge pdf": lambda: pdf(b"0 0 m 9e9 9 l S", "0 0 9e9 9e9"),
    "forms in forms": forms_without_end,
    "no lines": lambda: pdf(b"BT ET"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_files_end_in_one_line(name: str, tmp_path: Path) -> None:
    file = tmp_path / "hostile"
    file.write_bytes(HOSTILE[name]())
    with pytest.raises(ProjectorError) as caught:
        read_linework(file, patience=3.0)
    assert "\n" not in str(caught.value) and str(file) in str(caught.value)
    assert len(str(caught.value)) < 400


def test_our_own_file_takes_what_the_worker_says_and_refuses_what_it_cannot(tmp_path: Path) -> None:
    job, own = demonstration_job(), tmp_path / "job.yaml"
    write_job(own, Job("choir"))
    (pieces,) = written_job(job, "dxf", "pieces")
    file = tmp_path / "pieces.dxf"
    file.write_bytes(pieces.content)
    run("import", file, "--into", own, "--count", 4, "--paired", "--cloth", "lining")
    assert {(p.count, p.paired, p.cloth) for p in read_job(own).pieces} == {(4, True, "lining")}
    with pytest.raises(ProjectorError, match="--afresh"):
        run("import", file, "--into", own, "--allowance", "2 cm")
    with pytest.raises(ProjectorError, match="one --name"):
        run("import", file, "--into", own, "--name", "front")


def test_a_measured_edge_sets_the_scale_or_agrees_with_it(tmp_path: Path) -> None:
    file, job = tmp_path / "front.svg", tmp_path / "job.yaml"
    file.write_text(SVG.format("", FRONT))
    write_job(job, Job("choir"))
    told = run("import", file, "--into", job, "--known-length", "1.1=40 cm", "--outline", 1)
    assert "times as large" in told
    (piece,) = read_job(job).pieces
    assert edge_length(piece.edges[0]) == pytest.approx(400.0, abs=1e-3)
    true = tmp_path / "true.svg"
    true.write_text(SVG.format('width="420mm" height="420mm" viewBox="0 0 420 420"', FRONT))
    assert "agree" in run("import", true, "--look", "--known-length", "1.1=20.01 cm")
    with pytest.raises(ProjectorError, match=r"OUTLINE\.EDGE"):
        run("import", true, "--look", "--known-length", "20 cm")


def test_a_piece_of_the_name_of_a_drafted_one_is_refused_at_once(choir: Path) -> None:
    # It would be found out only when the cloth is laid.
    before = choir.read_bytes()
    made = CliRunner().invoke(app, ["draft", str(choir), "--out", str(choir.parent / "pieces")])
    assert made.exit_code in (0, 1)
    drawing = sorted((choir.parent / "pieces").glob("front*.svg"))[0]
    done = CliRunner().invoke(app, ["import", str(drawing), "--into", str(choir)])
    assert "already; give another name" in str(done.exception)
    assert choir.read_bytes() == before
    kept = CliRunner().invoke(app, ["import", str(drawing), "--into", str(choir), "--afresh",
                                    "--name", "another front"])  # fmt: skip
    assert kept.exit_code == 0, kept.output
