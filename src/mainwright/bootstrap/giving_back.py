"""Wires giving a main back."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from mainwright.job.job import Job
    from mainwright.plan.result import Plan
    from mainwright.prove.release import Release
    from mainwright.workflow.planning import Planned
    from mainwright.workflow.ports import Progress

__all__ = ["give_back", "give_back_text"]


def give_back(folder: Path, *, out: Path, language: str | None = None, progress: Progress | None = None) -> tuple[Planned, Release | None]:
    """Plan a job folder and write the papers of giving it back: ``giveback.json``, ``giveback.pdf``, and ``notices.pdf`` where somebody is told.

    Records are read for who signed the release, and for the state that a signature is good for.

    Parameters
    ----------
    folder : Path
        The job folder.
    out : Path
        Folder of the papers, made where it is missing; other files in it are left alone.
    language : str, optional
        Of the letters; without it that of the job.
    progress : callable, optional
        Told how far the plan is.

    Returns
    -------
    Planned
        What was read, the plan, the papers; nothing is written where the folder has faults.
    Release or None
        Who released the main; None where the folder has faults.

    Raises
    ------
    InputError
        If ``plan.json`` is no plan.
    """
    from mainwright.bootstrap.planning import read_job, word
    from mainwright.folder.issued_file import read_issued_file
    from mainwright.folder.records import read_records
    from mainwright.workflow.planning import plan_job, with_records
    from mainwright.workflow.releasing import judge_release

    found = read_records(folder)
    followed = folder / "plan.json"
    issued = read_issued_file(followed) if followed.exists() else None
    releases: list[Release] = []

    def make(job: Job, told: Progress | None) -> Plan:
        from mainwright.plan.plan import make_plan

        return make_plan(job, progress=told)

    def write(made: Plan, _told: Progress | None) -> Sequence[str]:
        from mainwright.folder.staging import staged
        from mainwright.paper.giving_back_pdf import giving_back_json, render_giving_back
        from mainwright.paper.notices_pdf import render_notices

        letters = render_notices(made, language=language)
        release = judge_release(made, found.records, issued=issued)
        releases.append(release)
        with staged(out) as place:
            (place / "giveback.json").write_bytes(giving_back_json(made, word=word(made.job), release=release))
            (place / "giveback.pdf").write_bytes(render_giving_back(made, release=release))
            if letters is not None:
                (place / "notices.pdf").write_bytes(letters)
            names = sorted(entry.name for entry in place.iterdir())
        if letters is None:
            # Letters of an earlier job would be sent to nobody's customers.
            (out / "notices.pdf").unlink(missing_ok=True)
        return names

    read = with_records(read_job(folder), faults=found.faults, unknown=found.unknown)
    planned = plan_job(read, make, write, progress=progress)
    return planned, releases[0] if releases else None


def give_back_text(made: Plan, release: Release | None) -> str:
    """Return the text of ``giveback.json``.

    Parameters
    ----------
    made : Plan
        The plan.
    release : Release or None
        Who released the main.

    Returns
    -------
    str
        In the language and units of the job.
    """
    from mainwright.bootstrap.planning import word
    from mainwright.paper.giving_back_pdf import giving_back_json

    return giving_back_json(made, word=word(made.job), release=release).decode("utf-8")
