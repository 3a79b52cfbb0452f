"""What a job sheet says, from the job and the record of the calibration."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

from calibration.record import Record
from calibration.uncertainty import metre_error
from drafting.draft import Draft
from drafting.exchange.piece_drawing import pieces_drawing
from drafting.finding import told_in
from drafting.labels import cut_count
from drafting.measures import MEASURES
from drafting.piece import Piece, notches_of, title_of
from drafting.plan_drawing import plan_drawing
from drafting.seams import HEADINGS, table_of, walked_all
from drafting.style import PARTS, RANGES, Style
from drafting.survey import spread
from drafting.units import written_length
from projector.cloth.lay_drawing import lay_drawing
from projector.cloth.shapes import placed_shape
from projector.cloth.yardage import bought_length, efficiency, used_length
from projector.job import Job, drafted, layout_of, pieces_of
from projector.job_checks import job_findings
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

__all__ = ["job_sections"]

SEWING = (
    "Mark every notch and the ends of the waist level before you lift a piece from the table.",
    "Stay the neckline with a line of stitching just inside its seam line, so that it keeps its "
    "length.",
    "Sew each overarm seam from the neck out to the sleeve end, notch to notch, and press it open.",
    "Finish the neckline while the garment still lies flat: bind it, or face it and understitch.",
    "Sew underarm and side in one seam from sleeve end to hem. Where it curves under the arm, sew "
    "a second time over the first for strength, then snip to just short of the stitching.",
    "Turn up the sleeve hems, then let the garment hang for a day and level the bottom hem.",
    "Turn up the bottom hem and press everything once more.",
)
"""Our own words for a top with the sleeve cut in one; common practice, no source."""

CAUTIONS = (
    "Hang and secure the projector so that it cannot fall: a second fixing, a bracket rated for "
    "more than its weight, cables out of the way. Local codes and licensed installers decide.",
    "Do not look into the beam, and keep children and mirrors out of it.",
    "Stand on a proper ladder with somebody at its foot when you reach for the projector.",
    "Blades: cut away from the other hand, close the rotary cutter each time you lay it down.",
    "Irons: switch off when you leave the table; mind steam.",
    "Measure the lit test square before the first cut, and again when anything was moved.",
)

BESIDE = 4
"""Wearers whose measurements stand side by side; more follow below."""


def job_sections(job: Job, record: Record | None = None) -> tuple[Section, ...]:
    """The sections of the sheet in the order they are needed.

    Raises `DraftingError` where the style cannot be drafted for a wearer.
    """
    drafts, pieces = drafted(job), pieces_of(job)
    made = (
        Section("", tuple(_first(job, drafts, pieces, record))),
        Section("Body and style", tuple(_body(job, drafts))),
        Section("Plan", tuple(_plans(drafts))),
        Section("Pieces", tuple(_pieces(pieces))),
        Section("Cloth", tuple(_cloth(job, pieces))),
        Section("Seams", tuple(_seams(drafts))),
        Section("What to look at", tuple(_findings(job))),
        Section("Cutting order", tuple(_cutting(job, pieces))),
        Section("The table's light", tuple(_light(record)), beside=True),
        Section("Sewing order", (Listing(SEWING),)),
        Section("Cautions", (Listing(CAUTIONS, False),), beside=True),
    )
    return tuple(section for section in made if section.blocks)


def _first(
    job: Job, drafts: tuple[Draft, ...], pieces: tuple[Piece, ...], record: Record | None
) -> Iterator[Block]:
    """What is wanted before anything else: how much to buy, how many to cut, how true the light."""
    cloths = []
    for lay in job.lays:
        if lay.placements:
            bought = bought_length(used_length(layout_of(job, pieces, lay.cloth)))
            cloths.append(f"{bought / 1000:.1f} m {lay.cloth}")
    told = [f for _, found in job_findings(job) for f in found]
    warned = sum(finding.severity in ("warning", "stop") for finding in told)
    true = "not calibrated"
    if record is not None:
        true = (
            f"± {metre_error(record.table_map):.2f} mm" if record.table_map.terms else "not known"
        )
    yield Figures(
        (
            ("for", ", ".join(one.size for one in drafts) or "-"),
            ("pieces to cut", str(sum(piece.count for piece in pieces))),
            ("cloth to buy", ", ".join(cloths) or "not laid yet"),
            (
                "checks",
                f"{warned} to decide" if warned else f"{len(told)} looked at, none to decide",
            ),
            ("a lit metre is right to", true),
        )
    )
    if job.notes.strip():
        yield Text(" ".join(job.notes.split()))


def _body(job: Job, drafts: tuple[Draft, ...]) -> Iterator[Block]:
    if not drafts:
        yield Text("No wearers: every piece of this job came from elsewhere.")
        return
    first, *others = (drafts[k : k + BESIDE] for k in range(0, len(drafts), BESIDE))
    chosen = tuple(
        (field.name.replace("_", " "), _said(job, field.name, getattr(job.style, field.name)))
        for field in dataclasses.fields(Style)
        if getattr(job.style, field.name) is not None
    )
    yield Columns(
        (
            (
                _measures(job, first),
                Text("A figure with ± was not measured: it is estimated from a body survey."),
            ),
            (Table(("style", ""), chosen),),
        ),
        (1.0 + 0.35 * len(first), 1.0),
    )
    for group in others:
        yield _measures(job, group)


def _measures(job: Job, drafts: tuple[Draft, ...]) -> Table:
    """The measurements of some wearers side by side."""
    rows: list[tuple[str, ...]] = []
    for name, measure in MEASURES.items():
        cells = [measure.term]
        for one in drafts:
            value = written_length(getattr(one.body, name), job.units)
            if name in one.body.estimated:
                value = f"{value} ± {written_length(spread(name), job.units)}"
            cells.append(value.replace(" ", "\u00a0"))
        rows.append(tuple(cells))
    return Table(("measurement", *(one.size for one in drafts)), tuple(rows))


def _said(job: Job, name: str, value: object) -> str:
    if isinstance(value, int | float):
        plain = name in PARTS or name not in RANGES
        return f"{value:g}" if plain else written_length(float(value), job.units)
    return str(value)


def _plans(drafts: tuple[Draft, ...]) -> Iterator[Block]:
    for one in drafts[:1]:
        yield Picture(plan_drawing(one), f"Plan for {one.size}, not at true scale", 150.0)
    rest = [
        (Picture(plan_drawing(one), f"Plan for {one.size}, not at true scale"),)
        for one in drafts[1:]
    ]
    for k in range(0, len(rest), 2):
        pair = (*rest[k : k + 2], ())[:2]
        yield Columns(tuple(pair), (1.0, 1.0))


def _pieces(pieces: tuple[Piece, ...]) -> Iterator[Block]:
    if not pieces:
        yield Text("No pieces yet.")
        return
    rows = tuple(
        (title_of(piece), cut_count(piece), piece.cloth, str(len(notches_of(piece))))
        for piece in pieces
    )
    names = dict.fromkeys(piece.size for piece in pieces)
    first = [piece for piece in pieces if piece.size == next(iter(names))]
    table = Table(("piece", "", "cloth", "notches"), rows)
    shown = Picture(pieces_drawing(first), f"Pieces {first[0].size}".strip(), 85.0)
    yield Columns(((table,), (shown,)), (1.0, 1.15))


def _cloth(job: Job, pieces: tuple[Piece, ...]) -> Iterator[Block]:
    laid = {lay.cloth for lay in job.lays if lay.placements}
    for cloth in job.cloths:
        if cloth.name not in laid:
            wanted = sum(piece.count for piece in pieces if piece.cloth == cloth.name)
            if wanted:
                yield Text(f"{cloth.name}: {wanted} pieces are not laid yet.")
            continue
        layout = layout_of(job, pieces, cloth.name)
        used = used_length(layout)
        yield Text(
            f"{cloth.name}: {written_length(cloth.width, job.units)} wide"
            f"{', folded' if cloth.folded else ''}; used {used / 1000:.2f} m, to buy "
            f"{bought_length(used) / 1000:.1f} m; {efficiency(layout):.0%} of it is pieces."
        )
        yield Picture(lay_drawing(layout), f"Lay on {cloth.name}")


def _seams(drafts: tuple[Draft, ...]) -> Iterator[Block]:
    rows = tuple(
        (one.size, *row)
        for one in drafts
        if one.seams
        for row in table_of(walked_all(one.pieces, one.seams))
    )
    if rows:
        yield Table(("size", *HEADINGS), rows)


def _findings(job: Job) -> Iterator[Block]:
    for subject, findings in job_findings(job):
        told = [finding for finding in findings if finding.severity != "fine"]
        fine = len(findings) - len(told)
        yield Text(f"{subject}: {fine} of {len(findings)} checks are fine.")
        if told:
            words = (told_in(finding, job.units) for finding in told)
            rows = tuple((f.severity, f.subject, f.measured, f.wanted, f.advice) for f in words)
            yield Table(("", "about", "measured", "wanted", "advice"), rows)


def _cutting(job: Job, pieces: tuple[Piece, ...]) -> Iterator[Block]:
    for lay in job.lays:
        if not lay.placements:
            continue
        layout = layout_of(job, pieces, lay.cloth)
        rows = sorted(
            ((placed_shape(layout, p).bounds, p) for p in lay.placements),
            key=lambda row: row[0],
        )
        yield Text(f"{lay.cloth}: from the cut end on, so that the cloth stays flat to the last.")
        yield Listing(
            tuple(
                f"{placement.piece}, copy {placement.copy + 1}, "
                f"from {bounds[0] / 10:.0f} to {bounds[2] / 10:.0f} cm"
                for bounds, placement in rows
            )
        )


def _light(record: Record | None) -> Iterator[Block]:
    if record is None:
        yield Text("No calibration was given with this sheet; calibrate before you cut.")
        return
    width, height = record.table_map.screen_size
    error = "not recorded; calibrate again"
    if record.table_map.terms:
        error = f"± {metre_error(record.table_map):.2f} mm (95 %)"
    yield Table(
        ("calibration", ""),
        (
            ("found by", record.route or "not recorded"),
            ("on", record.date or "not recorded"),
            ("screen", f"{width} x {height} pixels"),
            ("one metre is right to", error),
        ),
    )
    if record.findings:
        yield Listing(record.findings, False)
