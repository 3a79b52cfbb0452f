"""The demonstration job: tunics for an invented choir."""

from __future__ import annotations

from importlib import resources

from projector.files.job import job_from_text
from projector.job import Job

__all__ = ["demonstration_job", "demonstration_text"]

_FILE = "choir.yaml"


def demonstration_text() -> str:
    """The job file as it ships, with its comments."""
    return resources.files(__package__).joinpath(_FILE).read_text(encoding="utf-8")


def demonstration_job() -> Job:
    """The job that ships with the program."""
    return job_from_text(demonstration_text(), _FILE)
