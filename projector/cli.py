"""The command line: one small file a command, each importing what it needs when it runs."""

from __future__ import annotations

import io
import os
import re
import sys
from pathlib import Path
from typing import Any, get_type_hints

import typer

from calibration.errors import CalibrationError
from drafting.characters import CONTROL
from drafting.errors import DraftingError
from projector.commands.boards import boards
from projector.commands.calibrate import calibrate
from projector.commands.check import check
from projector.commands.desk import desk
from projector.commands.draft import draft
from projector.commands.grade import grade
from projector.commands.height import height
from projector.commands.import_pieces import import_pieces
from projector.commands.lay import lay
from projector.commands.lens import lens
from projector.commands.lifts import lifts
from projector.commands.light import light
from projector.commands.measures import measures
from projector.commands.plates import plates
from projector.commands.ready import ready
from projector.commands.recheck import recheck
from projector.commands.rehearse import rehearse
from projector.commands.sheet import sheet
from projector.commands.tape import crosshairs, tape
from projector.commands.trace import trace
from projector.commands.write import write
from projector.errors import ProjectorError

__all__ = ["app", "main"]

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
    help=(
        "From body measurements to cut cloth, lit at true scale on the cutting table.\n\n"
        "The commands stand in the order of the work: begin with rehearse, then draft and lay, "
        "calibrate, light. Each has --help with an example; desk has all of them in a window."
    ),
)
# In the order of the work; the words are what the list of commands shows.
COMMANDS = (
    (rehearse, "the whole job on a simulated table, measured"),
    (ready, "what is missing on this machine, and how to mend it"),
    (measures, "where each measurement is taken"),
    (draft, "back and front for every wearer, checked and written as SVG"),
    (lifts, "compare lifts: cloth they take, how far the hem rises"),
    (grade, "one style over many sizes, and how each measure grows"),
    (plates, "the construction as numbered plates"),
    (check, "seams, corners, neck, wrist, cloth width and lays"),
    (import_pieces, "pieces out of SVG, DXF and PDF files"),
    (trace, "a paper piece in a photograph becomes a piece"),
    (lay, "the pieces on the least of the cloth that is found"),
    (sheet, "the job sheet: measures, pieces, cloth, seams, orders of work"),
    (write, "pieces, lays, nested sizes, plates for programs and printers"),
    (boards, "the boards to project and to print"),
    (calibrate, "from photographs to millimetres on the table"),
    (tape, "the same without a camera: from lengths taped between lit marks"),
    (crosshairs, "the same by hand: from crosshairs moved onto a mat's marks"),
    (recheck, "whether the map still holds"),
    (height, "the projector's height, and what thick cloth costs"),
    (lens, "what a camera's lens does, by any coded or plain board"),
    (light, "the pieces on the cloth at true scale"),
    (desk, "all of it in a window on your own screen"),
)
NAMES = {command: command.__name__.removesuffix("_pieces") for command, _ in COMMANDS}
for command, words in COMMANDS:
    app.command(NAMES[command], short_help=words)(command)
OBEYED = ("ezdxf.ini", ".numba_config.yaml")
"""What libraries look for where they are called: not settings of ours, and perhaps not hers."""
VALUES = {"bool": None, "Path": "PATH", "float": "NUMBER", "int": "NUMBER", "str": "TEXT"}
"""What help calls a value, by what stands in its annotation."""


@app.callback(invoke_without_command=False)
def shearlight() -> None:
    """From body measurements to cut cloth, lit at true scale on the cutting table."""


def main() -> None:
    """Run the command line; what went wrong is told in plain lines, with exit code 2."""
    os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
    os.environ.setdefault("OPENCV_IO_MAX_IMAGE_PIXELS", "220000000")
    # Else Windows stretches what is lit, at desktop scales other than 100 %.
    os.environ.setdefault("SDL_WINDOWS_DPI_AWARENESS", "permonitorv2")
    # The processes it starts must not take modules out of the folder where it was called.
    os.environ["PYTHONSAFEPATH"] = "1"
    for stream in (sys.stdout, sys.stderr):  # names of files may hold what cannot be encoded
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        _refuse_strangers()
        _in_plain_words(typer.main.get_command(app))()
    except BrokenPipeError:  # the reader of our output has gone, as `| head` does
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)
    except (DraftingError, CalibrationError, ProjectorError) as error:
        _tell(str(error))
    except OSError as error:
        _tell(f"{f'{error.filename}: ' if error.filename else ''}{error.strerror or error}")


def _refuse_strangers() -> None:
    """Raise `ProjectorError` for what would do other than the worker reads in her command."""
    for word in sys.argv[1:]:
        if (stray := CONTROL.search(word) or re.search(r"[\t\n]", word)) is not None:
            raise ProjectorError(
                f"{word!r}: the character {stray[0]!r} does not belong in a command"
            )
    for name in OBEYED:
        if Path(name).exists():
            raise ProjectorError(
                f"{Path(name).absolute()}: a library would take its settings from this file; work "
                "in another folder, or rename it"
            )


def _in_plain_words(group: Any) -> Any:
    """The commands, their values named in help by words that are not of the language."""
    for command, name in NAMES.items():
        hints = get_type_hints(command)
        for part in group.commands[name].params:
            if part.param_type_name == "argument":
                part.metavar = part.name.upper()
            elif part.name in hints:
                kind = str(hints[part.name])
                part.metavar = next(word for known, word in VALUES.items() if known in kind)
    return group


def _tell(message: str) -> None:
    # A name in it may hold commands to the terminal.
    print(CONTROL.sub("?", message), file=sys.stderr)
    sys.exit(2)
