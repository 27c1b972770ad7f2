"""Wires the temporary supply alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from mainwright.job.job import Job
    from mainwright.plan.result import Plan
    from mainwright.workflow.planning import Planned
    from mainwright.workflow.ports import Progress

__all__ = ["supply", "supply_text"]


def supply(folder: Path, *, out: Path, progress: Progress | None = None) -> Planned:
    """Plan a job folder and write the papers of its temporary supply: ``supply.json`` and ``supply.pdf``.

    Parameters
    ----------
    folder : Path
        The job folder.
    out : Path
        Folder of the papers, made where it is missing; other files in it are left alone.
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
        from mainwright.paper.plan_pdf import render_supply_pdf
        from mainwright.paper.supply_json import supply_json

        with staged(out) as place:
            (place / "supply.json").write_bytes(supply_json(made, word=word(made.job)))
            (place / "supply.pdf").write_bytes(render_supply_pdf(made))
            return sorted(entry.name for entry in place.iterdir())

    return plan_job(read_job(folder), make, write, progress=progress)


def supply_text(made: Plan) -> str:
    """Return the text of ``supply.json``.

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
    from mainwright.paper.supply_json import supply_json

    return supply_json(made, word=word(made.job)).decode("utf-8")
