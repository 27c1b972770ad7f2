"""Signatures on paper: who accepts or dissents, for which state, and a line to sign on where nobody has."""

from typing import Final

from mainwright.paper.blocks import Block, Tone, box
from mainwright.paper.pen import Pen
from mainwright.paper.run_parts import moment
from mainwright.prove.signing import Signed, Signing
from mainwright.words.message import message

__all__ = ["signature_blocks", "signature_text"]

_DECISIONS: Final = {"accepts": message("accepted"), "dissents": message("dissent")}


def signature_text(one: Signed, zone: str, pen: Pen) -> str:
    """Return a signature as one line.

    Parameters
    ----------
    one : Signed
        The signature. [-]
    zone : str
        Time zone of the job. [-]
    pen : Pen
        Of the paper. [-]

    Returns
    -------
    str
        What it says, whose it is and when; then its reason and what is to be told with it.
    """
    say, record = pen.say, one.record
    name = f"{record.name} ({record.role})" if record.role else record.name
    said = say.word(message("{what}: {name}, {time}", what=_DECISIONS[record.decision], name=name, time=moment(record.time, zone, pen)))
    return "; ".join([said, *([record.note] if record.note else []), *(say.word(text) for text in one.notes)])


def signature_blocks(signing: Signing, zone: str, pen: Pen) -> list[Block]:
    """Return the signatures of a run or of the water.

    Parameters
    ----------
    signing : Signing
        All its signatures. [-]
    zone : str
        Time zone of the job. [-]
    pen : Pen
        Of the paper. [-]

    Returns
    -------
    list of Block
        A box, the last signature first; it says so where nobody has signed.
    """
    say = pen.say
    if signing.last is None:
        return [box("note", say.text("Signature"), [say.text("Not signed yet.")])]
    kind: Tone = "note" if signing.last.current and signing.last.record.decision == "accepts" and not signing.last.notes else "act"
    return [box(kind, say.text("Signature"), [signature_text(one, zone, pen) for one in reversed(signing.signatures)])]
