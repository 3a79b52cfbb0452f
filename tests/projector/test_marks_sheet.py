"""The printed table marks, read back by pypdf, pdfium and svgelements."""

import io

import numpy as np
import pypdf
import pypdfium2
import pytest
import svgelements

from calibration.board import PAPER
from projector.marks_sheet import SIDE, marks_pdf, marks_svg


@pytest.mark.parametrize("paper", sorted(PAPER))
def test_marks_lie_at_their_places_on_the_paper(paper: str) -> None:
    height, width = PAPER[paper]
    content = marks_pdf(paper)
    box = pypdf.PdfReader(io.BytesIO(content)).pages[0].mediabox
    assert [float(side) * 25.4 / 72 for side in box[2:]] == pytest.approx([width, height], abs=0.01)
    page = svgelements.SVG.parse(io.BytesIO(marks_svg(paper)), ppi=25.4)
    bar = next(e for e in page.elements() if getattr(e, "id", "") == "scale-bar")
    assert svgelements.Path(bar).length() == pytest.approx(100.0, abs=0.01)
    crosses = [e.bbox() for e in page.elements() if str(getattr(e, "id", "")).startswith("cross-A")]
    left, top, right, bottom = (
        f(b[k] for b in crosses) for k, f in enumerate((min, min, max, max))
    )
    middle = ((left + right) / 2, (top + bottom) / 2)
    assert middle == pytest.approx(((width - 3 * SIDE) / 2 + SIDE / 2, 12 + SIDE / 2), abs=0.01)
    # The rendered cross is where the drawing says: its middle changes from black to white and back.
    dots = 300 / 25.4
    picture = np.asarray(
        pypdfium2.PdfDocument(content)[0].render(scale=300 / 72).to_pil().convert("L")
    )
    x, y = middle[0] * dots, middle[1] * dots
    reach = int(5 * dots)
    dark = [
        picture[int(y + sy * reach), int(x + sx * reach)] < 128 for sx in (-1, 1) for sy in (-1, 1)
    ]
    assert sum(dark) == 2 and dark[0] == dark[3]
