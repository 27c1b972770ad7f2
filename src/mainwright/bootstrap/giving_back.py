"""Wires giving a main back."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from mainwright.job.job import Job
    from mainwright.plan.result import Plan
    from mainwright.workflow.planning import Planned
    from mainwright.workflow.ports import Progress

__all__ = ["give_back", "give_back_text"]


def give_back(folder: Path, *, out: Path, language: str | None = None, progress: Progress | None = None) -> Planned:
    """Plan a job folder and write the papers of giving it back: ``giveback.json``, ``giveback.pdf``, and ``notices.pdf`` where somebody is told.

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
    """
    from mainwright.bootstrap.planning import read_job, word
    from mainwright.workflow.planning import plan_job

    def make(job: Job, told: Progress | None) -> Plan:
        from mainwright.plan.plan import make_plan

        return make_plan(job, progress=told)

    def write(made: Plan, _told: Progress | None) -> Sequence[str]:
        from mainwright.folder.staging import staged
        from mainwright.paper.giving_back_pdf import giving_back_json, render_giving_back
        from mainwright.paper.notices_pdf import render_notices

        letters = render_notices(made, language=language)
        with staged(out) as place:
            (place / "giveback.json").write_bytes(giving_back_json(made, word=word(made.job)))
            (place / "giveback.pdf").write_bytes(render_giving_back(made))
            if letters is not None:
                (place / "notices.pdf").write_bytes(letters)
            names = sorted(entry.name for entry in place.iterdir())
        if letters is None:
            # Letters of an earlier job would be sent to nobody's customers.
            (out / "notices.pdf").unlink(missing_ok=True)
        return names

    return plan_job(read_job(folder), make, write, progress=progress)


def give_back_text(made: Plan) -> str:
    """Return the text of ``giveback.json``.

    Parameters
    ----------
    made : Plan
        The plan.

    Returns
    -------
    str
        In the language and units of the job.
    """
    from mainwright.bootstrap.planning import word
    from mainwright.paper.giving_back_pdf import giving_back_json

    return giving_back_json(made, word=word(made.job)).decode("utf-8")
