"""Valuing a job: what its records prove, at the job's own rates and rules."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mainwright.plan.gathering import assumed_defaults
from mainwright.prove.valuation import value
from mainwright.workflow.proving import prove_followed

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date

    from mainwright.job.records import Records
    from mainwright.plan.result import BillLine, LinedStretch, Run
    from mainwright.prove.proof import Proof
    from mainwright.prove.scans import ScanProof
    from mainwright.prove.valuation import Valuation
    from mainwright.workflow.ports import JobRead, Progress

__all__ = ["Valued", "value_job", "value_proof"]


@dataclass(frozen=True, slots=True)
class Valued:
    """What a folder holds, its valuation, and the names of the papers that were written; nothing is written where it has faults."""

    read: JobRead
    valuation: Valuation | None
    papers: Sequence[str]


def value_proof(proof: Proof, *, bill: Sequence[BillLine], records: Records, until: date | None = None, final: bool = False) -> Valuation:
    """Return the valuation of a job that was proved.

    Parameters
    ----------
    proof : Proof
        The proof. [-]
    bill : sequence of BillLine
        Of the plan. [-]
    records : Records
        What happened. [-]
    until : date or None
        Last day that counts. [-]
    final : bool
        Whether it is the final account. [-]

    Returns
    -------
    Valuation
        With the rules that nobody gave listed as assumed.
    """
    taken = [one for one in assumed_defaults(proof.job) if one.what.startswith(("measurement.", "payment."))]
    return value(proof.job, proof, bill=bill, records=records, until=until, final=final, assumed=taken)


def value_job(
    read: JobRead,
    records: Records,
    *,
    issued: object | None,
    papers: Callable[[Valuation], Sequence[str]],
    scans: Callable[[Sequence[Run], Sequence[LinedStretch]], Mapping[str, ScanProof]] | None = None,
    until: date | None = None,
    final: bool = False,
    progress: Progress | None = None,
) -> Valued:
    """Return the valuation of a job, its papers written.

    Parameters
    ----------
    read : JobRead
        The folder with its records. [-]
    records : Records
        What happened. [-]
    issued : object or None
        Content of the ``plan.json`` that was followed, None where there is none: then the job is planned anew. [-]
    papers : callable
        Writes the papers and returns their names. [-]
    scans : callable, optional
        Judges the runs that were scanned. [-]
    until : date or None
        Last day that counts. [-]
    final : bool
        Whether it is the final account. [-]
    progress : callable, optional
        Told how many runs are judged, and of how many. [-]

    Returns
    -------
    Valued
        Valuation and papers; neither where the folder has faults.

    Raises
    ------
    InputError
        If the issued plan is none.
    """
    if read.job is None:
        return Valued(read, None, ())
    plan, proof = prove_followed(read.job, records, issued=issued, scans=scans, progress=progress)
    made = value_proof(proof, bill=plan.bill, records=records, until=until, final=final)
    return Valued(read, made, papers(made))
