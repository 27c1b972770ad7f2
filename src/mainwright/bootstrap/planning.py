"""Wires reading, checking and planning a job folder."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from mainwright.job.job import Job
    from mainwright.plan.programme.programme import Search
    from mainwright.plan.result import Plan
    from mainwright.words.message import Message
    from mainwright.workflow.planning import Checked, Planned
    from mainwright.workflow.ports import JobRead, Progress

__all__ = ["check", "plan", "plan_text", "programme_text", "read_job", "thorough", "word"]


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
    folder: Path,
    *,
    out: Path,
    issued: Path | None = None,
    search: Search | None = None,
    programme_only: bool = False,
    progress: Progress | None = None,
    writing: Progress | None = None,
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
    search : Search, optional
        How long to look for a programme.
    programme_only : bool
        Whether the papers are those of the programme alone.
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

        return make_plan(job, records=records, issued=document, search=search, progress=told)

    def write(made: Plan, told: Progress | None) -> Sequence[str]:
        from mainwright.folder.staging import staged_papers
        from mainwright.paper.papers import write_papers, write_programme

        with staged_papers(out) as place:
            (write_programme if programme_only else write_papers)(made, place, progress=told)
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


def thorough(seconds: float, *, progress: Progress | None = None, enough: Callable[[], bool] | None = None) -> Search:
    """Return a search for a programme that looks for so long.

    Parameters
    ----------
    seconds : float
        Deterministic seconds of the exact solver; our own search looks before it.
    progress : callable, optional
        Told the weight and the bound so far.
    enough : callable, optional
        Asked now and then: true ends the search with the best so far.

    Returns
    -------
    Search
        For `plan`.
    """
    from importlib.util import find_spec

    from mainwright.plan.programme.programme import Search
    from mainwright.plan.programme.solve import Effort

    # Without the solver our own search and its bound stand alone.
    exact = seconds if find_spec("ortools") is not None else 0.0
    return Search(Effort(lists=max(200, round(4_000 * seconds)), exact=exact), progress, enough)


def programme_text(made: Plan) -> str:
    """Return the text of ``programme.json``.

    Parameters
    ----------
    made : Plan
        The plan that the programme is part of.

    Returns
    -------
    str
        In the language and units of the job.
    """
    from mainwright.paper.programme_json import programme_json

    return programme_json(made, word=word(made.job)).decode("utf-8")
