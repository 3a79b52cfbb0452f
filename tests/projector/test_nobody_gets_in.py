"""Nothing listens, nothing is fetched, no file runs code, leaves its folder or is laid open."""

from __future__ import annotations

import ast
import html.parser
import os
import socket
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
import yaml
from typer.testing import CliRunner

from drafting.errors import DraftingError
from drafting.exchange.reading import linework_of
from projector.cli import app
from projector.errors import ProjectorError
from projector.files.job import job_from_text, read_job, write_job
from projector.files.opening import OpenJob
from projector.files.settings import write_settings
from projector.files.sheet import _Loader
from projector.files.table import read_record
from projector.files.writing import write_text
from projector.job import Job, Wearer
from projector.settings import Settings
from tests.projector.choir import choir_job
from tests.test_architecture import FILES

HOSTILE = (
    "<script>alert(1)</script>", "../../x", "/etc/passwd", "a\\..\\b", '"><img src=x onerror=y>',
    "]]>&xxe;", "{0.__class__}", "%n%s", "\u202etxt.exe", "CON", "x" * 300,
)  # fmt: skip
RUNS_CODE = {"eval", "exec", "compile", "__import__", "breakpoint"}
NETWORK = {
    "socket", "socketserver", "ssl", "urllib", "http", "ftplib", "smtplib", "telnetlib", "xmlrpc",
    "asyncio", "requests", "httpx", "aiohttp", "websockets", "webbrowser",
}  # fmt: skip
UNPACKS = {"pickle", "shelve", "marshal", "dill", "joblib", "cloudpickle"}


def calls(tree: ast.AST) -> list[tuple[str, ast.Call]]:
    return [(ast.unparse(n.func), n) for n in ast.walk(tree) if isinstance(n, ast.Call)]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_no_source_runs_text_as_code_or_opens_a_connection(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        names = (
            [alias.name for alias in node.names] if isinstance(node, ast.Import)
            else [str(node.module)] if isinstance(node, ast.ImportFrom) else []
        )  # fmt: skip
        assert not {name.split(".")[0] for name in names} & (NETWORK | UNPACKS), names
    for name, call in calls(tree):
        assert name not in RUNS_CODE and name not in {"os.system", "os.popen"}, ast.unparse(call)
        assert not any(k.arg == "shell" for k in call.keywords), ast.unparse(call)
        assert name not in {"yaml.load", "yaml.unsafe_load", "yaml.full_load", "tempfile.mktemp"}
        if name in {"np.load", "numpy.load"}:
            assert not any(k.arg == "allow_pickle" for k in call.keywords)
        assert not name.endswith(("Listener", "connection.Client", "SyncManager", ".listen"))


def test_a_whole_job_opens_no_connection(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, null_driver: None, choir: Path
) -> None:
    def refused(*words: object) -> None:
        raise AssertionError("a connection was opened")

    for name in ("connect", "connect_ex", "bind", "listen"):
        monkeypatch.setattr(socket.socket, name, refused, raising=False)
    for words in (
        ["check", str(choir)],
        ["lay", str(choir), "--budget", "0", "--keep"],
        ["sheet", str(choir), "--out", str(tmp_path / "sheet.html")],
        ["write", str(choir), "--as", "pdf", "--out", str(tmp_path / "out")],
    ):
        done = CliRunner().invoke(app, words)
        assert done.exit_code in (0, 1) and not isinstance(done.exception, AssertionError), words


def test_yaml_makes_no_objects(tmp_path: Path) -> None:
    touched = tmp_path / "touched"
    text = f"!!python/object/apply:os.system ['touch {touched}']"
    (tmp_path / "table.yaml").write_text(text)
    with pytest.raises(ProjectorError):
        read_record(tmp_path / "table.yaml")
    with pytest.raises(ProjectorError):
        job_from_text(f"shearlight_job: 1\nname: {text}\n")
    assert not touched.exists()


@pytest.mark.parametrize(
    "text",
    [
        '<!DOCTYPE svg [<!ENTITY a "{0}"><!ENTITY b "&a;&a;&a;&a;">]><svg>&b;</svg>',
        '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg><text>&x;</text></svg>',
        '<!DOCTYPE svg SYSTEM "http://127.0.0.1/x.dtd"><svg/>',
        '<?xml-stylesheet href="http://127.0.0.1/x.css"?><!DOCTYPE a [<!ENTITY % p "x">]><svg/>',
    ],
)
def test_entities_are_neither_unfolded_nor_fetched(
    text: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(socket.socket, "connect", lambda *words: pytest.fail("fetched"))
    with pytest.raises(DraftingError) as caught:
        linework_of(text.replace("{0}", "x" * 1000).encode())
    assert "root:" not in str(caught.value)


class Tags(html.parser.HTMLParser):
    """Every tag, attribute and text of a page, as a browser would see them."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[str] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [name for name, _ in attrs]

    def handle_data(self, data: str) -> None:
        self.text += data


@pytest.mark.parametrize("name", HOSTILE)
def test_no_name_in_a_job_becomes_a_tag_or_leaves_the_folder(name: str, tmp_path: Path) -> None:
    folder = tmp_path / "work"
    folder.mkdir()
    known = choir_job()
    wearer = Wearer(name, known.wearers[0].body)
    cloth = replace(known.cloths[0], name=name)
    path = folder / "job.yaml"
    write_job(path, Job(name, (wearer,), known.style, (cloth,), notes=name))
    before = {each for each in tmp_path.rglob("*") if each.parent != folder}
    for words in (
        ["sheet", str(path), "--out", str(folder / "sheet.html")],
        ["draft", str(path), "--out", str(folder / "pieces")],
        ["write", str(path), "--as", "svg", "--out", str(folder / "svg")],
        ["write", str(path), "--as", "dxf", "--out", str(folder / "dxf")],
        ["lay", str(path), "--budget", "0", "--keep", "--out", str(folder / "lay.svg")],
    ):
        done = CliRunner().invoke(app, words)
        assert done.exit_code in (0, 1), (words, done.output, done.exception)
    outside = {each for each in tmp_path.rglob("*") if folder not in (each, *each.parents)}
    assert outside <= before
    assert read_job(path).name == name
    page = Tags()
    page.feed((folder / "sheet.html").read_text(encoding="utf-8"))
    assert not {"script", "img", "iframe", "object", "link", "form"} & set(page.tags)
    assert not [each for each in page.attributes if each.startswith("on") or each == "src"]
    assert name in page.text or len(name) > 100
    for drawing in folder.rglob("*.svg"):
        tags = Tags()
        tags.feed(drawing.read_text(encoding="utf-8"))
        assert not {"script", "img", "image", "foreignobject"} & set(tags.tags)


def test_no_text_of_a_job_is_obeyed_in_the_pdf_job_sheet(tmp_path: Path) -> None:
    """The library of PDF reads tags, and would fetch a picture that one of them names."""
    known = choir_job()
    name = '<img src="/etc/hostname"/><b>'
    path, sheet = tmp_path / "job.yaml", tmp_path / "sheet.pdf"
    notes = " & ".join(each for each in HOSTILE if len(each) < 60)
    wearer = Wearer(name, known.wearers[0].body)
    write_job(path, Job(name, (wearer,), known.style, known.cloths, notes=notes))
    done = CliRunner().invoke(app, ["sheet", str(path), "--out", str(sheet)])
    assert done.exit_code == 0, (done.output, done.exception)
    words = "".join(page.extract_text() for page in pypdf.PdfReader(sheet).pages)
    packed = "".join(words.split())
    assert '<imgsrc="/etc/hostname"/><b>' in packed and "<script>alert(1)</script>" in packed


@pytest.mark.skipif(os.name != "posix", reason="permissions of POSIX")
def test_temporary_files_are_private(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen = []

    def looked_at(handle: int) -> None:
        seen.extend(path.stat().st_mode & 0o777 for path in tmp_path.glob(".*.new"))

    monkeypatch.setattr(os, "fsync", looked_at)
    old = os.umask(0)
    try:
        write_text(tmp_path / "job.yaml", "name: x")
    finally:
        os.umask(old)
    assert seen and set(seen) == {0o600}


@pytest.mark.skipif(os.name != "posix", reason="permissions of POSIX")
def test_settings_are_read_by_their_owner_alone(tmp_path: Path) -> None:
    path = tmp_path / "settings.yaml"
    old = os.umask(0)
    try:
        for before in (None, 0o644):
            if before:
                path.chmod(before)
            write_settings(Settings(table="hall.yaml"), path)
            assert path.stat().st_mode & 0o777 == 0o600
    finally:
        os.umask(old)


@pytest.mark.skipif(os.name != "posix", reason="permissions of POSIX")
def test_a_journal_is_no_more_open_than_its_job(choir: Path) -> None:
    choir.chmod(0o600)
    opened = OpenJob(choir)
    opened.note(replace(opened.job, notes="private"))
    for path in choir.parent.glob(f".{choir.name}*"):
        if path.suffix == ".held":  # it is empty
            assert not path.read_bytes()
            continue
        assert path.stat().st_mode & 0o077 == 0, path.name
    opened.save()
    assert choir.stat().st_mode & 0o777 == 0o600
    opened.close()


def test_the_safe_loader_is_really_the_one_in_use() -> None:
    assert _Loader in (yaml.SafeLoader, getattr(yaml, "CSafeLoader", None))
