"""Whether the water of a job is released: what its records prove, and who signed that."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.plan.issued import read_issued
from mainwright.prove.proof import prove
from mainwright.prove.release import release_of

if TYPE_CHECKING:
    from mainwright.job.records import Records
    from mainwright.plan.result import Plan
    from mainwright.prove.release import Release

__all__ = ["judge_release"]


def judge_release(plan: Plan, records: Records, *, issued: object | None) -> Release:
    """Return whether the main of a plan is released.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    records : Records
        What happened, with the signatures. [-]
    issued : object or None
        Content of the ``plan.json`` that was followed, None where there is none. [-]

    Returns
    -------
    Release
        By the same proof as the hand-over: its state is the one of ``proof.json``.
    """
    followed = None if issued is None else read_issued(issued)
    proof = prove(
        plan.job,
        runs=plan.runs if followed is None else followed.runs,
        stretches=plan.stretches,
        records=records,
        issued=None if followed is None else followed.revision,
    )
    back = plan.return_to_service
    quick = next((one.cure.quick for one in (() if back is None else back.blocks) if one.cure.quick is not None), None)
    return release_of(proof.signing, quick=quick)
