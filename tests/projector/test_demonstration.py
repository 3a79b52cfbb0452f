"""The demonstration job reads, and is in a form a worker can copy and change."""

from __future__ import annotations

from pathlib import Path

from projector.cloth.autolayout import arrange
from projector.cloth.clearance import missing, violations
from projector.demonstration import demonstration_job, demonstration_text
from projector.files.job import job_from_text, job_text, read_job
from projector.job import layout_of, pieces_of
from projector.job_checks import job_findings


def test_it_reads_and_comes_back(tmp_path: Path) -> None:
    path = tmp_path / "choir.yaml"
    path.write_text(demonstration_text(), encoding="utf-8")
    assert read_job(path) == demonstration_job() == job_from_text(job_text(demonstration_job()))


def test_its_lengths_carry_their_units() -> None:
    (cloth,) = demonstration_job().cloths
    assert (cloth.width, cloth.length, cloth.selvage) == (1500.0, 12_000.0, 12.0)


def test_every_size_drafts_without_a_warning_and_is_laid() -> None:
    job = demonstration_job()
    for about, findings in job_findings(job):
        for finding in findings:
            assert finding.severity in ("fine", "note"), (about, finding)
    layout = arrange(layout_of(job, pieces_of(job)))
    assert not violations(layout) and not missing(layout)
