"""`python -m projector` and the installed command `shearlight`."""

from projector.cli import main

__all__ = ["main"]

if __name__ == "__main__":
    main()
