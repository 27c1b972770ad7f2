"""Proving a job: what was planned, what happened, what that proves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mainwright.plan.issued import read_issued
from mainwright.plan.plan import make_plan
from mainwright.prove.proof import prove

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from mainwright.job.job import Job
    from mainwright.job.records import Records
    from mainwright.plan.result import LinedStretch, Plan, Run
    from mainwright.prove.proof import Proof
    from mainwright.prove.scans import ScanProof
    from mainwright.workflow.ports import JobRead, Progress

__all__ = ["Proved", "prove_followed", "prove_job"]


@dataclass(frozen=True, slots=True)
class Proved:
    """What a folder holds, its proof, and the names of the papers that were written; nothing is written where it has faults."""

    read: JobRead
    proof: Proof | None
    papers: Sequence[str]


def prove_job(
    read: JobRead,
    records: Records,
    *,
    issued: object | None,
    papers: Callable[[Proof, Sequence[LinedStretch]], Sequence[str]],
    scans: Callable[[Sequence[Run], Sequence[LinedStretch]], Mapping[str, ScanProof]] | None = None,
    progress: Progress | None = None,
) -> Proved:
    """Return the proof of a job, its papers written.

    Parameters
    ----------
    read : JobRead
        The folder with its records. [-]
    records : Records
        What happened. [-]
    issued : object or None
        Content of the ``plan.json`` that was followed, None where there is none: then the job is planned anew. [-]
    papers : callable
        Writes the papers, from the proof and what the contract asks along the main, and returns their names. [-]
    scans : callable, optional
        Judges the runs that were scanned, from the runs that were followed and what the contract asks along the main. [-]
    progress : callable, optional
        Told how many runs are judged, and of how many. [-]

    Returns
    -------
    Proved
        Proof and papers; neither where the folder has faults.

    Raises
    ------
    InputError
        If the issued plan is none.
    """
    if read.job is None:
        return Proved(read, None, ())
    plan, proof = prove_followed(read.job, records, issued=issued, scans=scans, progress=progress)
    return Proved(read, proof, papers(proof, plan.stretches))


def prove_followed(
    job: Job,
    records: Records,
    *,
    issued: object | None,
    scans: Callable[[Sequence[Run], Sequence[LinedStretch]], Mapping[str, ScanProof]] | None = None,
    progress: Progress | None = None,
) -> tuple[Plan, Proof]:
    """Return the plan of a job and what its records prove of the runs that were followed.

    Parameters
    ----------
    job : Job
        Without faults. [-]
    records, issued, scans, progress
        As `prove_job` takes them. [-]

    Returns
    -------
    tuple
        Plan and proof.
    """
    followed = None if issued is None else read_issued(issued)
    plan = make_plan(job)
    runs = plan.runs if followed is None else followed.runs
    proof = prove(
        job,
        runs=runs,
        stretches=plan.stretches,
        records=records,
        issued=None if followed is None else followed.revision,
        bill=plan.bill,
        scans=scans(runs, plan.stretches) if scans is not None else {},
        progress=progress,
    )
    return plan, proof
