"""The command line: one small file a command, each importing what it needs when it runs."""

from __future__ import annotations

import os
import sys

import typer

from calibration.errors import CalibrationError
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
    help="From body measurements to cut cloth, lit at true scale on the cutting table.",
)
COMMANDS = (
    rehearse,
    measures,
    draft,
    grade,
    lifts,
    plates,
    check,
    lay,
    boards,
    calibrate,
    tape,
    crosshairs,
    recheck,
    height,
    desk,
    light,
    ready,
)
for command in COMMANDS:
    app.command()(command)
app.command()(write)
app.command()(trace)
app.command()(sheet)
app.command("import")(import_pieces)


@app.callback(invoke_without_command=False)
def shearlight() -> None:
    """From body measurements to cut cloth, lit at true scale on the cutting table."""


def main() -> None:
    """Run the command line; what went wrong is told in plain lines, with exit code 2."""
    try:
        app()
    except BrokenPipeError:  # the reader of our output has gone, as `| head` does
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)
    except (DraftingError, CalibrationError, ProjectorError) as error:
        _tell(str(error))
    except OSError as error:
        place = f"{error.filename}: " if error.filename else ""
        _tell(f"{place}{error.strerror or error}")


def _tell(message: str) -> None:
    print(message, file=sys.stderr)
    sys.exit(2)
