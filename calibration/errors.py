"""The errors of calibration."""

__all__ = ["CalibrationError"]


class CalibrationError(ValueError):
    """A map cannot be found, or cannot be trusted, from what was given.

    The message is one line: where, what was found, what was wanted, how to mend it.
    """
