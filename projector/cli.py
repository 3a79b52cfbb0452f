"""The command line."""

import typer

app = typer.Typer(no_args_is_help=True, add_completion=False)


@app.callback()
def shearlight() -> None:
    """From body measurements to cut cloth, lit at true scale on the cutting table."""


def main() -> None:
    """Run the command line."""
    app()
