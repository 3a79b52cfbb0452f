"""A job sheet as one HTML page that needs nothing else: no scripts, no fetched files."""

from __future__ import annotations

import re
from collections.abc import Sequence
from html import escape

from drafting.exchange.drawing_svg import svg_bytes
from projector.job_sheet.parts import (
    Block,
    Columns,
    Figures,
    Listing,
    Picture,
    Section,
    Table,
    Text,
)

__all__ = ["html_page"]

STYLE = """
:root { --ink: #1b2a33; --quiet: #5a6a72; --line: #e2dccf; --warm: #b3461e; --paper: #fbfaf7; }
* { box-sizing: border-box; }
body { font: 15px/1.45 system-ui, "DejaVu Sans", sans-serif; color: var(--ink);
  background: var(--paper); max-width: 68rem; margin: 0 auto; padding: 2rem 1.5rem 4rem; }
header { border-top: 5px solid var(--warm); padding-top: .9rem; }
h1 { font-size: 2.1rem; line-height: 1.15; letter-spacing: -.01em; margin: 0; }
header p { color: var(--quiet); margin: .2rem 0 1rem; }
h2 { font-size: 1.15rem; margin: 0 0 .5rem; padding-top: .5rem; border-top: 2px solid var(--ink); }
section { margin-top: 1.9rem; } p { margin: .4rem 0; }
.figures { display: flex; flex-wrap: wrap; gap: .9rem 2.4rem; margin: 0; padding: .8rem 1rem;
  background: #fff; border: 1px solid var(--line); }
.figures dt { color: var(--quiet); font-size: .8rem; } .figures div { display: grid; }
.figures dd { margin: 0; font-size: 1.15rem; font-weight: 650; }
.beside { display: grid; grid-template-columns: repeat(auto-fit, minmax(20rem, 1fr));
  gap: 0 2.2rem; align-items: start; }
.columns { display: flex; flex-wrap: wrap; gap: .4rem 2.2rem; align-items: flex-start; }
.columns > div { min-width: min(17rem, 100%); }
.wide { overflow-x: auto; }
table { border-collapse: collapse; margin: .2rem 0 .6rem; width: 100%; font-size: .9rem;
  font-variant-numeric: tabular-nums; }
th, td { text-align: left; vertical-align: top; padding: .22rem .8rem .22rem 0;
  border-bottom: 1px solid var(--line); }
th { font-weight: 600; color: var(--quiet); font-size: .8rem; border-bottom-color: #b9b19d; }
figure { margin: .5rem 0 .8rem; background: #fff; border: 1px solid var(--line); padding: .7rem; }
figure svg { display: block; width: 100%; height: auto; max-height: 42rem; }
figcaption { color: var(--quiet); font-size: .85rem; margin-top: .4rem; }
ol, ul { padding-left: 1.4rem; margin: .3rem 0; } li { margin: .25rem 0; }
li::marker { color: var(--warm); font-weight: 600; }
@media print { body { background: #fff; padding: 0; max-width: none; font-size: 10.5px; }
  h2 { break-after: avoid; } figure, tr, li { break-inside: avoid; } section { margin-top: 1rem; }
  figure svg { max-height: 15cm; } }
"""


def html_page(title: str, told: str, sections: Sequence[Section]) -> bytes:
    """The page, UTF-8. Every text is escaped; a policy in the page forbids scripts and fetching."""
    parts = [
        '<!doctype html><html lang="en"><head><meta charset="utf-8">',
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        "style-src 'unsafe-inline'\">",
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{escape(title)}</title><style>{STYLE}</style></head><body>",
        f"<header><h1>{escape(title)}</h1><p>{escape(told)}</p></header>",
    ]
    for number, section in enumerate(sections):
        followed = number + 1 < len(sections) and sections[number + 1].beside
        if followed:
            parts.append('<div class="beside">')
        parts.append("<section>")
        if section.title:
            parts.append(f"<h2>{escape(section.title)}</h2>")
        parts += [_block(block) for block in section.blocks]
        parts.append("</section>")
        if section.beside:
            parts.append("</div>")
    text = "\n".join([*parts, "</body></html>\n"])
    return text.encode("utf-8", errors="replace")


def _block(block: Block) -> str:
    match block:
        case Text():
            return f"<p>{escape(block.words)}</p>"
        case Listing():
            tag = "ol" if block.numbered else "ul"
            items = "".join(f"<li>{escape(item)}</li>" for item in block.items)
            return f"<{tag}>{items}</{tag}>"
        case Table():
            head = "".join(f"<th>{escape(cell)}</th>" for cell in block.headings)
            rows = "".join(
                "<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>"
                for row in block.rows
            )
            return f'<div class="wide"><table><tr>{head}</tr>{rows}</table></div>'
        case Figures():
            pairs = "".join(
                f"<div><dt>{escape(what)}</dt><dd>{escape(much)}</dd></div>"
                for what, much in block.items
            )
            return f'<dl class="figures">{pairs}</dl>'
        case Columns():
            made = "".join(
                f'<div style="flex: {width:g} 1 0">{"".join(map(_block, column))}</div>'
                for column, width in zip(block.columns, block.widths, strict=True)
            )
            return f'<div class="columns">{made}</div>'
        case Picture():
            return f"<figure>{_svg(block)}<figcaption>{escape(block.caption)}</figcaption></figure>"


def _svg(picture: Picture) -> str:
    """The drawing inside the page: without the XML line, and without ids, which would repeat."""
    text = svg_bytes(picture.drawing).decode("utf-8")
    text = text[text.index("<svg") :]
    return re.sub(r'(<(?:g|path)\b) id="[^"]*"', r"\1", text)
