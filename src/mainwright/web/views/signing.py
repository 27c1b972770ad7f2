"""What is signed, by whom it was, and what a form that signs must bring."""

from __future__ import annotations

from datetime import UTC
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from fastapi import HTTPException

from mainwright.words.message import message
from mainwright.workflow.making import Making

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from mainwright.prove.proof import Proof
    from mainwright.prove.signing import Signed, Signing
    from mainwright.web.place import Visit
    from mainwright.words.message import Message

__all__ = ["signature_in", "signing_of", "signing_view"]

_VERDICTS: Final = {
    "meets": message("It meets the entered requirements."),
    "does_not_meet": message("It does not meet the entered requirements."),
    "incomplete": message("The evidence is incomplete."),
    "released": message("By its samples the water may go back."),
    "not_released": message("By its samples the water may not go back."),
    "missing": message("Results of samples are missing: the gate is closed."),
}
_STATES: Final = {
    "meets": "good", "released": "good", "does_not_meet": "bad", "not_released": "bad", "incomplete": "watch", "missing": "watch",
}  # fmt: skip
_DECISIONS: Final = {"accepts": message("accepted"), "dissents": message("dissent")}
_SHORT: Final = 80
_LONG: Final = 1000


def signing_view(visit: Visit, run: str | None, *, given: Mapping[str, str] = MappingProxyType({}), wrong: str = "") -> dict[str, object]:
    """Return what the page shows.

    Parameters
    ----------
    visit : Visit
        Who looks. [-]
    run : str or None
        Id of the run; None for the water. [-]
    given : mapping of str to str
        What somebody typed, where it was refused. [-]
    wrong : str
        Why it was. [-]

    Returns
    -------
    dict
        What is signed with its verdict, who signed before, and what the form begins with.

    Raises
    ------
    HTTPException
        If nothing is on record, or there is no such run.
    """
    say = visit.reader.say
    found = visit.uses.papers.proof(visit.at_hand.name, visit.plan)
    if isinstance(found, Making):
        text = say.text("The proof could not be made.") if found.failed else say.text("The proof is being made.")
        return {"answer": [text], "making": found}
    if found is None:
        raise HTTPException(404)
    signing, because = _what(found, run)
    title = message("Sign that the water goes back") if run is None else message("Sign for {run}", run=run)
    back = "water" if run is None else f"proof/{run}"
    return {
        "answer": [say.word(title)],
        "making": None,
        "verdict": say.word(_VERDICTS[signing.verdict]),
        "verdict_state": _STATES[signing.verdict],
        "because": [say.word(one) for one in because],
        "needs_reason": signing.needs_reason,
        "state": signing.state,
        "signatures": [_line(visit, one) for one in reversed(signing.signatures)],
        "water": run is None,
        "back": f"/jobs/{visit.at_hand.name}/{back}",
        "given": given,
        "wrong": wrong,
    }


def signing_of(visit: Visit, run: str | None) -> Signing | None:
    """Return the signatures of a run or of the water; None while nobody knows them.

    Parameters
    ----------
    visit : Visit
        Who asks. [-]
    run : str or None
        Id of the run; None for the water. [-]

    Returns
    -------
    Signing or None
        None where the proof is still made, or nothing is on record.
    """
    found = visit.uses.papers.proof(visit.at_hand.name, visit.plan)
    return None if found is None or isinstance(found, Making) else _what(found, run)[0]


def signature_in(fields: Mapping[str, str], signing: Signing, *, run: str | None, now: datetime) -> dict[str, object]:
    """Return the row of ``signatures.csv`` that a form means.

    Parameters
    ----------
    fields : mapping of str to str
        The form. [-]
    signing : Signing
        What is signed as it is now. [-]
    run : str or None
        Id of the run; None for the water. [-]
    now : datetime
        The moment. [-]

    Returns
    -------
    dict
        Cells by column.

    Raises
    ------
    ValueError
        With what is missing as a message; also where what was read is not what is proved now.
    """
    name, role, note = (fields.get(key, "").strip() for key in ("name", "role", "note"))
    decision = fields.get("decision", "")
    if decision not in _DECISIONS:
        raise ValueError(message("choose whether you accept or dissent."))
    if not name or len(name) > _SHORT or len(role) > _SHORT:
        raise ValueError(message("your name is needed, of 80 letters at most."))
    if len(note) > _LONG:
        raise ValueError(message("the reason is longer than 1000 letters."))
    if not note and decision == "dissents":
        raise ValueError(message("a dissent needs its reason."))
    if not note and signing.needs_reason:
        raise ValueError(message("the proof does not show all that was asked: who accepts it all the same gives the reason."))
    if fields.get("state") != signing.state:
        raise ValueError(message("what is proved has changed since this page was opened: read it again, then sign."))
    row = {
        "what": "water" if run is None else "run", "run": run, "decision": decision, "name": name, "role": role or None,
        "verdict": signing.verdict, "state": signing.state, "note": note or None,
        "time": now.astimezone(UTC).isoformat(timespec="seconds"),
    }  # fmt: skip
    return {key: value for key, value in row.items() if value is not None}


def _what(proof: Proof, run: str | None) -> tuple[Signing, Sequence[Message]]:
    if run is None:
        return proof.signing, (*proof.water.because, *proof.missing)
    one = next((one for one in proof.runs if one.run.id == run), None)
    if one is None:
        raise HTTPException(404)
    return one.signing, (*one.because, *one.missing)


def _line(visit: Visit, one: Signed) -> dict[str, object]:
    say, record = visit.reader.say, one.record
    when = record.time.astimezone(visit.uses.zone)
    good = record.decision == "accepts" and not one.notes
    return {
        "decision": say.word(_DECISIONS[record.decision]),
        "state": "good" if good else "bad" if record.decision == "dissents" else "watch",
        "name": f"{record.name}, {record.role}" if record.role else record.name,
        "time": f"{say.day(when.date())}, {when:%H:%M}",
        "note": record.note,
        "notes": [say.word(text) for text in one.notes],
    }
