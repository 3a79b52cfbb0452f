"""A job sheet as one HTML page that needs nothing else: no scripts, no fetched files."""

from __future__ import annotations

import re
from collections.abc import Sequence
from html import escape

from drafting.exchange.drawing_svg import svg_bytes
from projector.job_sheet.parts import Block, Listing, Picture, Section, Table, Text

__all__ = ["html_page"]

STYLE = """
body { font: 15px/1.5 system-ui, "DejaVu Sans", sans-serif; color: #1b2a33; background: #fbfaf7;
  max-width: 64rem; margin: 2rem auto; padding: 0 1.5rem; }
h1 { font-size: 1.9rem; margin: 0; } header p { color: #5a6a72; margin: .2rem 0 1.5rem; }
h2 { font-size: 1.2rem; border-bottom: 2px solid #d8cdb6; padding-bottom: .2rem; margin-top: 2rem; }
.wide { overflow-x: auto; } table { border-collapse: collapse; margin: .7rem 0; }
th, td { text-align: left; vertical-align: top; padding: .25rem .8rem .25rem 0;
  border-bottom: 1px solid #e2dccf; }
th { font-weight: 600; color: #4a6670; }
figure { margin: 1rem 0; background: #fff; border: 1px solid #e2dccf; padding: .8rem; }
figure svg { width: 100%; height: auto; max-height: 44rem; } figcaption { color: #5a6a72; }
li { margin: .25rem 0; }
@media print { body { background: #fff; margin: 0; max-width: none; font-size: 11px; }
  h2 { break-after: avoid; } figure, tr, li { break-inside: avoid; }
  figure svg { max-height: 20cm; } }
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
    for section in sections:
        parts.append(f"<section><h2>{escape(section.title)}</h2>")
        parts += [_block(block) for block in section.blocks]
        parts.append("</section>")
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
        case Picture():
            return f"<figure>{_svg(block)}<figcaption>{escape(block.caption)}</figcaption></figure>"


def _svg(picture: Picture) -> str:
    """The drawing inside the page: without the XML line, and without ids, which would repeat."""
    text = svg_bytes(picture.drawing).decode("utf-8")
    text = text[text.index("<svg") :]
    return re.sub(r'(<(?:g|path)\b) id="[^"]*"', r"\1", text)
