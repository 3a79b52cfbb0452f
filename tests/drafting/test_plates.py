"""Plates: the construction at scale, against hand computation and a PDF reader."""

import io

import pypdf
import pytest

from drafting.draft import draft
from drafting.drawing import Curve, Drawing, Polyline, Words
from drafting.errors import DraftingError
from drafting.exchange.drawing_pdf import pdf_bytes, text_width
from drafting.plane import distance
from drafting.plates import SCALES, plates
from drafting.style import Style
from tests.drafting.known_pieces import MEDIUM

STYLES = (
    {},
    {"lift": 0.0, "neckline": "v", "flare": 60.0, "hem_to": "tunic"},
    {"lift": 1.0, "sleeve_kind": "bat", "neck_facing": 60.0},
    {"sleeve_to": "cap", "neck_binding": 15.0, "hem_band": 60.0},
)


def words_of(plate: Drawing) -> list[Words]:
    return [m for layer in plate.layers for m in layer.marks if isinstance(m, Words)]


@pytest.mark.parametrize("options", STYLES)
@pytest.mark.parametrize("scale", sorted(SCALES))
def test_words_stay_on_the_page_and_numbers_apart(options: dict[str, object], scale: str) -> None:
    for plate in plates(draft(MEDIUM, Style(**options), "M"), scale):  # type: ignore[arg-type]
        words = words_of(plate)
        for word in words:
            wide = text_width(word.text, word.size, word.bold)
            left = word.point.x - {"start": 0.0, "middle": wide / 2, "end": wide}[word.anchor]
            if word.angle == 0.0:
                assert left > plate.box.left and left + wide < plate.box.right, word.text
            assert plate.box.bottom < word.point.y < plate.box.top
            # Letters that can be read from a table: from memory, 4 mm.
            assert word.size >= 1.2
        caption = next(layer for layer in plate.layers if layer.name == "caption")
        sizes = [m.size for m in caption.marks if isinstance(m, Words)]
        assert min(sizes) >= 3.99


@pytest.mark.parametrize(("scale", "factor"), [("true", 1.0), ("half", 0.5), ("quarter", 0.25)])
def test_the_overarm_is_drawn_to_scale(scale: str, factor: float) -> None:
    made = draft(MEDIUM, Style(lift=1.0), "M")
    plate = plates(made, scale)[3]
    line = next(
        m
        for layer in plate.layers
        if layer.name == "new"
        for m in layer.marks
        if isinstance(m, Curve) and not m.pen.dash
    )
    length = distance(line.segments[0].start, line.segments[-1].end)
    # By hand: at the highest lift shoulder, 120 mm, and arm lie straight out.
    assert length == pytest.approx(factor * (120.0 + MEDIUM.arm))
    page = pypdf.PdfReader(io.BytesIO(pdf_bytes(plate))).pages[0].mediabox
    assert float(page.width) == pytest.approx(plate.box.width * 72 / 25.4, abs=0.01)


def test_every_plate_has_its_number_and_sentence_and_builds_on_the_last() -> None:
    drawn = plates(draft(MEDIUM, Style(cuff=60.0), "M"))
    steps = [p for p in drawn if any(layer.name == "new" for layer in p.layers)]
    for number, plate in enumerate(drawn, 1):
        assert words_of(plate) and plate.title.startswith(f"Plate {number}: ")
        assert not [w for w in words_of(plate) if "{" in w.text]
    boxes = {(p.box.left, p.box.right, p.box.top, round(p.box.bottom, 6)) for p in steps}
    assert len(boxes) == 1  # projected one after the other, they lie on each other
    counts = [len(next(x for x in p.layers if x.name == "before").marks) for p in steps]
    assert counts == sorted(counts) and counts[0] == 0 and len(set(counts)) == len(counts)
    assert any(isinstance(m, Polyline) for layer in drawn[-1].layers for m in layer.marks)


def test_another_scale_is_refused() -> None:
    with pytest.raises(DraftingError, match="'third' is not one of true, half, quarter"):
        plates(draft(MEDIUM, Style()), "third")
