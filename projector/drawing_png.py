"""A drawing as a PNG picture."""

from __future__ import annotations

import io
import math

import pypdfium2

from drafting.drawing import Drawing, scaled
from drafting.exchange.drawing_pdf import LONGEST, pdf_bytes
from projector.errors import ProjectorError

__all__ = ["png_bytes"]

MAXIMUM_PIXELS = 100_000_000


def png_bytes(drawing: Drawing, pixels_a_mm: float = 2.0) -> bytes:
    """The drawing rendered on white, anti-aliased, at a number of pixels a millimetre."""
    pixels = drawing.box.width * drawing.box.height * pixels_a_mm**2
    if not math.isfinite(pixels) or not 1.0 <= pixels <= MAXIMUM_PIXELS:
        raise ProjectorError(f"a picture of {pixels:.0f} pixels cannot be made; choose fewer a mm")
    # A long drawing is rendered from a page made smaller, as a page can be.
    smaller = min(1.0, 0.99 * LONGEST / max(drawing.box.width, drawing.box.height))
    page = drawing if smaller == 1.0 else scaled(drawing, smaller)
    document = pypdfium2.PdfDocument(pdf_bytes(page))
    try:
        picture = document[0].render(scale=pixels_a_mm * 25.4 / 72.0 / smaller).to_pil()
    finally:
        document.close()
    target = io.BytesIO()
    picture.save(target, "PNG", dpi=(pixels_a_mm * 25.4, pixels_a_mm * 25.4))
    return target.getvalue()
