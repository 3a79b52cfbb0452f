"""`shearlight lay`: how much cloth a job takes, and where its pieces lie."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from drafting.drawing import Drawing
    from drafting.piece import Piece
    from projector.cloth.advice import Choice
    from projector.cloth.layout import Layout
    from projector.job import Job

__all__ = ["lay"]

JOINS = (200.0, 250.0, 300.0, 350.0, 400.0)
"""How far from the neckline a join across the sleeve is tried, mm; the first that can be is taken.
"""


def lay(
    job: Annotated[Path, typer.Argument(help="Job file: wearers, style, cloths.")],
    cloth: Annotated[str | None, typer.Option(help="Only this cloth; all when left out.")] = None,
    keep: Annotated[bool, typer.Option("--keep", help="Keep the lays in the job file.")] = False,
    seed: Annotated[int, typer.Option(min=0, help="Another seed searches elsewhere.")] = 0,
    budget: Annotated[
        int | None, typer.Option(min=0, help="Units of work; 0 for the plain first lay.")
    ] = None,
    seconds: Annotated[
        float | None, typer.Option(min=0.1, help="Search for so long instead.")
    ] = None,
    processes: Annotated[int, typer.Option(min=1, max=2, help="Processes that search.")] = 2,
    step: Annotated[str, typer.Option(help="Step of length in which the shop sells.")] = "10 cm",
    out: Annotated[
        Path | None, typer.Option(help="Drawing of the lay: .svg, .pdf or .png.")
    ] = None,
    advice: Annotated[
        bool, typer.Option("--advice", help="What other widths, a seam, a style would take.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Figures for machines.")] = False,
) -> None:
    """Lay the pieces of a job on the least of its cloth that is found.

    Example: shearlight lay choir.yaml --seconds 20 --out lay.pdf --keep
    """
    import dataclasses
    from contextlib import ExitStack

    from drafting.units import parsed_length
    from projector.cloth.advice_drawing import advice_drawing
    from projector.cloth.lay_drawing import lay_drawing
    from projector.commands.telling import show_json
    from projector.errors import ProjectorError
    from projector.files.job import read_job
    from projector.files.opening import changing
    from projector.job import layout_of, pieces_of, with_layout

    if out is not None and out.suffix.lower() not in (".svg", ".pdf", ".png"):
        raise ProjectorError(f"{out}: a drawing is written as .svg, .pdf or .png")
    in_steps = parsed_length(step)
    told = []
    with ExitStack() as until_saved:
        opened = until_saved.enter_context(changing(job)) if keep else None
        for line in opened.told if opened else ():
            typer.echo(line, err=True)
        known = opened.job if opened else read_job(job)
        pieces = pieces_of(known)
        names = [cloth] if cloth else [each.name for each in known.cloths]
        layouts = [layout_of(known, pieces, name) for name in names]
        layouts = [layout for layout in layouts if layout.pieces]
        if not layouts:
            raise ProjectorError(
                f"{job}: nothing is cut from cloth {names[0]!r}; add wearers or pieces"
            )
        for layout in layouts:
            laid = _searched(layout, seed, budget, seconds, processes)
            known = with_layout(known, laid)
            told.append(_figures(laid, in_steps))
            if not as_json:
                _tell(laid, in_steps, len(layouts) > 1)
            stem = "" if out is None else out.stem
            if out is not None:
                stem += f"-{laid.cloth.name}" if len(layouts) > 1 else ""
                _write(lay_drawing(laid), out.with_stem(stem))
            if advice:
                choices = _advise(known, laid, seed, in_steps, as_json)
                told[-1]["advice"] = [dataclasses.asdict(choice) for choice in choices]
                if out is not None:
                    title = f"{known.name}: ways to cut {laid.cloth.name}"
                    _write(advice_drawing(choices, title), out.with_stem(f"{stem}-advice"))
        if opened:
            opened.note(known)
    if as_json:
        show_json(told[0] if len(told) == 1 else {"cloths": told})


def _searched(
    layout: Layout, seed: int, budget: int | None, seconds: float | None, processes: int
) -> Layout:
    import time

    from rich.text import Text

    from projector.cloth.autolayout import improving_lays
    from projector.cloth.clearance import may_be_cut
    from projector.cloth.fitting import laid_flat, left_over, too_large
    from projector.cloth.lay_problem import length_limit
    from projector.cloth.yardage import lower_bound, used_length
    from projector.commands.telling import terminal
    from projector.errors import ProjectorError

    best = layout if may_be_cut(layout) else None
    began = since = time.monotonic()
    work = budget if budget is not None else 24 if seconds is None else 1_000_000_000

    def stopped() -> bool:
        now = time.monotonic()
        if best is not None:
            words = (
                f"{layout.cloth.name}: {used_length(best) / 1000:.3f} m "
                f"(never under {lower_bound(layout).length / 1000:.3f} m), "
                f"no shorter found for {now - since:.0f} s"
            )
            status.update(Text(words))
        return seconds is not None and now - began > seconds

    begun = Text(f"{layout.cloth.name}: laying the pieces")
    with terminal(errors=True).status(begun) as status:
        try:
            for better in improving_lays(layout, seed, work, processes, stopped):
                best, since = better, time.monotonic()
                stopped()
        except (ProjectorError, KeyboardInterrupt) as reason:
            if best is None:
                raise
            told = str(reason) or "the search was stopped by hand"
            typer.echo(f"warning: {told}; the lay found until then is taken", err=True)
        if best is None:
            cloth, large = layout.cloth, "; ".join(too_large(layout))
            if cloth.length is None and cloth.outline is None:
                flat = cloth.folded and not too_large(laid_flat(layout))
                raise ProjectorError(
                    f"cloth {cloth.name!r}: {large or 'the pieces do not fit'}; use a wider cloth"
                    f"{' or lay it flat' if flat else ''}"
                )
            bound = lower_bound(layout)
            if not large and bound.length > length_limit(cloth):
                large = f"they need at least {bound.length / 1000:.2f} m: {bound.reason}"
            out = ", ".join(left_over(layout, seed))
            would = f"all but {out} would" if out else "more work (--budget) may find a way"
            raise ProjectorError(
                f"cloth {cloth.name!r}: the pieces do not fit what there is of it"
                f"{large and f' ({large})'}; {would}"
            )
    return best


def _figures(laid: Layout, step: float) -> dict[str, Any]:
    import dataclasses

    from projector.cloth.leftover import largest_leftover
    from projector.cloth.yardage import MET, bought_length, efficiency, lower_bound, used_length

    bound, used, leftover = lower_bound(laid), used_length(laid), largest_leftover(laid)
    return {
        "cloth": laid.cloth.name,
        "yardage_mm": used,
        "bought_mm": bought_length(used, step),
        "efficiency": efficiency(laid),
        "lower_bound_mm": bound.length,
        "lower_bound_reason": bound.reason,
        "leftover_mm": [leftover.along, leftover.across],
        "shortest_possible": used <= bound.length + MET,
        "placements": [dataclasses.asdict(placement) for placement in laid.placements],
    }


def _tell(laid: Layout, step: float, several: bool) -> None:
    from projector.cloth.advice import seamed_length
    from projector.cloth.leftover import largest_leftover, leftover_words
    from projector.cloth.yardage import MET, bought_length, efficiency, lower_bound, used_length

    bound, used = lower_bound(laid), used_length(laid)
    typer.echo(
        f"{laid.cloth.name + ': ' if several else ''}cloth used: {used / 1000:.2f} m, "
        f"to buy {bought_length(used, step) / 1000:.2f} m; {efficiency(laid):.0%} of it is pieces"
    )
    if used <= bound.length + MET:
        seamed = seamed_length(laid)
        allow = f"; a centre seam would allow about {seamed / 1000:.2f} m" if seamed else ""
        typer.echo(f"this is the shortest possible: {bound.reason}{allow}")
    else:
        typer.echo(f"no lay can be shorter than {bound.length / 1000:.2f} m: {bound.reason}")
    left = leftover_words(largest_leftover(laid), laid.cloth)
    if left:
        typer.echo(left)
    names = {piece.name for piece in laid.pieces}
    for unknown in sorted({match.piece for match in laid.cloth.matches} - names):
        typer.echo(f"no piece {unknown!r} is cut from {laid.cloth.name}: its match does nothing")
    if (laid.cloth.repeat_along or laid.cloth.repeat_across) and not laid.cloth.matches:
        typer.echo("the cloth has a repeat, but no point of a piece is declared to match it")


def _write(drawing: Drawing, out: Path) -> None:
    from drafting.drawing import scaled
    from drafting.exchange.drawing_pdf import LONGEST, pdf_bytes
    from drafting.exchange.drawing_svg import svg_bytes
    from projector.drawing_png import png_bytes
    from projector.files.writing import write_bytes

    kind = out.suffix.lower()
    if kind == ".png":
        write_bytes(out, png_bytes(drawing, 1800.0 / drawing.box.width))
        return
    if kind == ".pdf" and drawing.box.width > LONGEST:
        drawing = scaled(drawing, 0.1)
        typer.echo(f"{out.name} is drawn at a tenth of its size: a page is never so long", err=True)
    write_bytes(out, svg_bytes(drawing) if kind == ".svg" else pdf_bytes(drawing))


def _restyled(job: Job, **change: Any) -> tuple[Piece, ...]:
    from dataclasses import replace

    from projector.job import pieces_of

    return pieces_of(replace(job, style=replace(job.style, **change)))


def _joined(job: Job) -> tuple[Piece, ...]:
    """The pieces with a join across the sleeve, as near to the body as every size allows."""
    from drafting.errors import DraftingError

    for at in JOINS:
        with suppress(DraftingError):
            return _restyled(job, join=at)
    raise DraftingError("no place on the sleeve serves every size")


def _advise(job: Job, laid: Layout, seed: int, step: float, quiet: bool) -> list[Choice]:
    from functools import partial

    from rich.table import Table
    from rich.text import Text

    from projector.cloth.advice import JOIN, advised, cheapest
    from projector.commands.telling import terminal

    style = job.style
    redrafts: dict[str, Callable[[], tuple[Piece, ...]]] = {}
    if job.wearers:
        changes = {
            "lift lower by 0.1": {"lift": style.lift - 0.1},
            "sleeve shorter by 5 cm": {"sleeve": (style.sleeve or 0.0) - 50.0},
        }
        for what, change in changes.items():
            if all(isinstance(v, float) and v > 0.0 for v in change.values()):
                redrafts[what] = partial(_restyled, job, **change)
        if style.join is None:
            redrafts[JOIN] = partial(_joined, job)
    choices = []
    with terminal(errors=True).status("trying other ways to cut it") as status:
        for choice in advised(laid, redrafts, seed=seed, step=step):
            choices.append(choice)
            status.update(Text(f"tried {choice.what}"))
    if not quiet:
        table = Table("way to cut it", "takes", "to buy", "cloth bought", "pieces")
        for choice in choices:
            if choice.length is None or choice.bought is None:
                table.add_row(choice.what, "does not fit", "", "", "")
                continue
            table.add_row(
                choice.what,
                f"{choice.length / 1000:.2f} m",
                f"{choice.bought / 1000:.2f} m",
                f"{choice.cloth_area:.2f} m²",
                f"{choice.used:.0%}",
            )
        terminal().print(table)
        least = cheapest(choices)
        if least is not None and least.bought is not None:
            typer.echo(
                f"of these widths the least cloth is {least.what}: {least.cloth_area:.2f} m², "
                f"{least.bought / 1000:.2f} m; worth it where a metre costs in proportion"
            )
    return choices
