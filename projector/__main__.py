"""`python -m projector` and the installed command `shearlight`."""

__all__ = ["main"]


def main() -> None:
    """Carry out the command line; nothing is loaded before it is wanted."""
    from projector.cli import main as carried_out

    carried_out()


if __name__ == "__main__":
    main()
