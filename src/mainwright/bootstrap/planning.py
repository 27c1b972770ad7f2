"""Wires reading, checking and planning a job folder."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from mainwright.job.job import Job
    from mainwright.plan.result import Plan
    from mainwright.words.message import Message
    from mainwright.workflow.planning import Checked, Planned
    from mainwright.workflow.ports import JobRead, Progress

__all__ = ["check", "plan", "plan_text", "read_job", "word"]


def read_job(folder: Path) -> JobRead:
    """Return what a job folder says, and what is wrong with it.

    Parameters
    ----------
    folder : Path
        The job folder.

    Returns
    -------
    JobRead
        Job, faults, warnings, and what is not known.
    """
    from mainwright.folder.reading import read_folder

    return read_folder(folder)


def check(folder: Path, *, progress: Progress | None = None) -> Checked:
    """Return what is wrong with a job folder; where nothing is, also the plan that says what it assumes and asks.

    Parameters
    ----------
    folder : Path
        The job folder.
    progress : callable, optional
        Told how far the plan is.

    Returns
    -------
    Checked
        What was read, and the plan.
    """
    from mainwright.workflow.planning import check_job

    def make(job: Job, told: Progress | None) -> Plan:
        from mainwright.plan.plan import make_plan

        return make_plan(job, progress=told)

    return check_job(read_job(folder), make, progress=progress)


def plan(
    folder: Path, *, out: Path, issued: Path | None = None, progress: Progress | None = None, writing: Progress | None = None
) -> Planned:
    """Make the plan of a job folder and write its papers, all or none.

    Parameters
    ----------
    folder : Path
        The job folder.
    out : Path
        Folder of the papers, made where it is missing; other files in it are left alone.
    issued : Path, optional
        The ``plan.json`` that was issued: what is done is frozen, and ids stay with what stands.
    progress, writing : callable, optional
        Told how far the plan is, and how many papers are made.

    Returns
    -------
    Planned
        What was read, the plan, the papers.

    Raises
    ------
    InputError
        If the issued plan is none, or `out` holds a file of a paper's name that is no paper.
    """
    from mainwright.workflow.planning import plan_job, with_records

    document = None
    records = None
    read = read_job(folder)
    if issued is not None:
        from mainwright.folder.issued_file import read_issued_file
        from mainwright.folder.records import read_records

        document = read_issued_file(issued)
        found = read_records(folder)
        records = found.records
        read = with_records(read, faults=found.faults, unknown=found.unknown)

    def make(job: Job, told: Progress | None) -> Plan:
        from mainwright.plan.plan import make_plan

        return make_plan(job, records=records, issued=document, progress=told)

    def write(made: Plan, told: Progress | None) -> Sequence[str]:
        from mainwright.folder.staging import staged_papers
        from mainwright.paper.papers import write_papers

        with staged_papers(out) as place:
            write_papers(made, place, progress=told)
            return sorted(entry.name for entry in place.iterdir())

    return plan_job(read, make, write, progress=progress, writing=writing)


def plan_text(made: Plan) -> str:
    """Return the text of ``plan.json``.

    Parameters
    ----------
    made : Plan
        The plan.

    Returns
    -------
    str
        In the language and units of the job.
    """
    from mainwright.paper.plan_json import plan_json

    return plan_json(made, word=word(made.job)).decode("utf-8")


def word(job: Job) -> Callable[[Message], str]:
    """Return what puts a message into words, in the language and units of the job."""
    from mainwright.words.wording import Wording

    return Wording(job.info.language, job.info.units).word
