"""The errors of the shell; the command line prints these as one line and exits with 2."""

__all__ = ["ProjectorError"]


class ProjectorError(ValueError):
    """A file, cloth, layout, camera or display is not what was wanted.

    The message is one line, or one line a problem where a file has several.
    """
