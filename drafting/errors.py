"""The errors of drafting."""

__all__ = ["DraftingError"]


class DraftingError(ValueError):
    """A draft, piece or curve cannot be made from what was given.

    The message is one line: where, what was found, what was wanted, how to mend it.
    """
