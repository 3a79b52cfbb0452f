"""`shearlight sheet`: the whole job on paper, or as one page for a browser."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["sheet"]


def sheet(
    job: Annotated[Path, typer.Argument(help="Job file.")],
    table: Annotated[
        Path | None, typer.Option(help="Record of the calibration; the one used last otherwise.")
    ] = None,
    out: Annotated[Path, typer.Option(help="A .pdf or .html file.")] = Path("sheet.pdf"),
    paper: Annotated[str, typer.Option(help="A4 or Letter, for PDF.")] = "A4",
) -> None:
    """Write the job sheet: body, plan, pieces, cloth, seams, findings, cutting and sewing order.

    Example: shearlight sheet choir.yaml --table table.yaml --out sheet.html
    """
    from datetime import datetime

    from projector.commands.record_in_use import record_used_last
    from projector.errors import ProjectorError
    from projector.files.job import read_job
    from projector.files.table import read_record
    from projector.files.writing import write_bytes
    from projector.job_sheet.content import job_sections
    from projector.job_sheet.html_page import html_page
    from projector.job_sheet.pdf_pages import pdf_pages

    kind = out.suffix.lower()
    if kind not in (".pdf", ".html"):
        raise ProjectorError(f"--out: found {str(out)!r}, wanted a file ending in .pdf or .html")
    known = read_job(job)
    used = table if table is not None else record_used_last()
    gone = used is None or (table is None and not used.exists())
    sections = job_sections(known, None if used is None or gone else read_record(used))
    told = f"Job sheet, written {datetime.now().astimezone():%Y-%m-%d %H:%M}"
    if kind == ".html":
        content = html_page(known.name, told, sections)
    else:
        content = pdf_pages(known.name, told, sections, paper)
    write_bytes(out, content)
    typer.echo(f"{out}: {len(content) / 1000:.0f} kB")
