"""The place ``proof``: what is proved, and what is missing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fastapi import HTTPException

from mainwright.web.views.drawn import shown
from mainwright.web.views.origins import told
from mainwright.words.message import message
from mainwright.workflow.making import Making

if TYPE_CHECKING:
    from mainwright.prove.proof import Proof
    from mainwright.web.place import Visit
    from mainwright.words.message import Message
    from mainwright.workflow.desk import Pictures

__all__ = ["proof_view", "run_proof_view"]

_STATES = {"meets": "good", "does_not_meet": "bad", "incomplete": "watch"}
_WORDS = {"meets": message("meets"), "does_not_meet": message("does not meet"), "incomplete": message("incomplete")}


def proof_view(visit: Visit) -> dict[str, object]:
    """Return what the page shows: what is proved, and what is missing.

    Parameters
    ----------
    visit : Visit
        Who looks. [-]

    Returns
    -------
    dict
        Answer, runs with their verdicts, sections; how far the proof is while it is made.
    """
    say = visit.reader.say
    proof = visit.uses.papers.proof(visit.at_hand.name, visit.plan)
    if proof is None:
        return {"answer": [say.text("Nothing is on record yet: a proof begins with the first batch, reading or picture.")], "making": None, "runs": [], "sections": [], "empty": True}  # fmt: skip
    if isinstance(proof, Making):
        return {"answer": [say.text("The proof could not be made.") if proof.failed else say.text("The proof is being made.")], "making": proof, "runs": [], "sections": [], "empty": False}  # fmt: skip
    runs = [{"id": one.run.id, "state": _STATES[one.verdict], "text": say.word(_WORDS[one.verdict])} for one in proof.runs]
    sections = shown(visit.uses.sheets.proof(proof, visit.plan.stretches, say, _pictures(visit)))
    return {
        "answer": told("proof", _answer(proof), say, proof.job),
        "making": None,
        "runs": runs,
        "sections": sections,
        "empty": False,
    }


def run_proof_view(visit: Visit, run: str) -> dict[str, object]:
    """Return what the records of one run prove.

    Parameters
    ----------
    visit : Visit
        Who looks. [-]
    run : str
        Id of the run. [-]

    Returns
    -------
    dict
        As `proof_view`, of that run.

    Raises
    ------
    HTTPException
        If nothing is on record, or there is no such run.
    """
    say = visit.reader.say
    proof = visit.uses.papers.proof(visit.at_hand.name, visit.plan)
    if isinstance(proof, Making):
        return proof_view(visit)
    found = None if proof is None else next((one for one in proof.runs if one.run.id == run), None)
    if proof is None or found is None:
        raise HTTPException(404)
    answer = message("{run} is {verdict}.", run=run, verdict=_WORDS["incomplete"])
    if found.verdict == "meets":
        answer = message("{run} meets the entered requirements.", run=run)
    elif found.verdict == "does_not_meet":
        answer = message("{run} does not meet the entered requirements.", run=run)
    because = found.because or found.missing
    said = [say.word(answer)]
    if because:
        text = message("Because: {what}.", what="; ".join(say.word(one) for one in because))
        said.append(say.word(text if found.because else message("Missing: {what}.", what="; ".join(say.word(one) for one in because))))
    sections = shown(visit.uses.sheets.run_proof(proof, run, visit.plan.stretches, say, _pictures(visit)))
    return {"answer": said, "making": None, "runs": [], "sections": sections, "empty": False, "run": run}


def _pictures(visit: Visit) -> Pictures:
    return visit.uses.papers.pictures(visit.at_hand.name, visit.plan)


def _answer(proof: Proof) -> list[Message]:
    counts = {verdict: sum(one.verdict == verdict for one in proof.runs) for verdict in _WORDS}
    said = [
        message(
            "Of {all} {all:run/runs} {meets} {meets:meets/meet} the entered requirements and {fails} {fails:does/do} not; incomplete: {open}.",
            all=len(proof.runs), meets=counts["meets"], fails=counts["does_not_meet"], open=counts["incomplete"],
        )
    ]  # fmt: skip
    return [*said, *(message("Missing for the whole job: {what}.", what=one) for one in proof.missing)]
