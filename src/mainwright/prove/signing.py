"""Who accepted what the records prove, or dissented. A signature never changes a verdict, and is good for the state that was signed alone."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, fields
from typing import Final

from mainwright.job.records import Records, Signature
from mainwright.prove.revision import rows_digest
from mainwright.prove.verdict import PartVerdict, Verdict
from mainwright.prove.water import WaterVerdict
from mainwright.words.message import Message, message

__all__ = ["Signed", "Signing", "run_signing", "water_signing"]

_GOOD: Final = ("meets", "released")


@dataclass(frozen=True, slots=True)
class Signed:
    """One signature.

    Attributes
    ----------
    record
        As it was written down.
    row
        Its row in ``signatures.csv``, from 1.
    current
        Whether what was signed is what is proved now; also False where the record does not say what was signed.
    notes
        What is to be told with it.
    """

    record: Signature
    row: int
    current: bool
    notes: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class Signing:
    """All signatures of a run or of the water, in order of time; the last one counts.

    ``state`` is the hash of what is proved now: what a new signature signs. ``needs_reason`` tells whether accepting needs a reason, because
    the proof does not show all that was asked.
    """

    state: str
    verdict: Verdict | WaterVerdict
    needs_reason: bool
    signatures: tuple[Signed, ...]

    @property
    def last(self) -> Signed | None:
        """The signature that counts; None where nobody signed."""
        return self.signatures[-1] if self.signatures else None


def run_signing(records: Records, run: str, *, verdict: Verdict, connections: Collection[str], asked: object) -> Signing:
    """Return who signed a run.

    Parameters
    ----------
    records : Records
        What happened. [-]
    run : str
        Id of the run. [-]
    verdict : str
        Of its proof. [-]
    connections : collection of str
        Names of its connections. [-]
    asked : object
        The acceptance rules of the job: another rule is another state. [-]

    Returns
    -------
    Signing
        Its state changes with the verdict, the rules, any row of the run, a clearing of its connections, or a pump test.
    """
    tables: list[tuple[str, Sequence[object]]] = [("run", [run, verdict, asked])]
    for table in fields(records):
        if table.name == "signatures":
            continue
        rows = getattr(records, table.name)
        if table.name == "connections":
            kept = [row for row in rows if row.ref in connections]
        elif table.name == "pump_test":
            kept = list(rows)
        else:
            kept = [row for row in rows if getattr(row, "run", None) == run]
        tables.append((table.name, kept))
    return _signing(records, "run", run, state=rows_digest(tables), verdict=verdict, open_=False)


def water_signing(records: Records, *, water: WaterVerdict, pressure: PartVerdict, missing: Sequence[Message]) -> Signing:
    """Return who signed that the water goes back to its customers.

    Parameters
    ----------
    records : Records
        What happened. [-]
    water : str
        Verdict of the samples. [-]
    pressure : str
        Verdict of the pressure test. [-]
    missing : sequence of Message
        What the whole job lacks. [-]

    Returns
    -------
    Signing
        A gate that is not open is never skipped: who signs all the same gives a reason, and the gate stays as it is.
    """
    state = rows_digest(
        [
            ("water", [water, pressure, *missing]),
            ("water_tests", records.water_tests),
            ("pressure_test", records.pressure_test),
            ("connections", records.connections),
            ("hold_points", [one for one in records.events if one.kind == "hold_point"]),
        ]
    )
    return _signing(records, "water", None, state=state, verdict=water, open_=pressure in ("does_not_meet", "incomplete") or bool(missing))


def _signing(records: Records, what: str, run: str | None, *, state: str, verdict: Verdict | WaterVerdict, open_: bool) -> Signing:
    needs = open_ or verdict not in _GOOD
    found = [
        Signed(one, row, one.state == state, _notes(one, state, needs))
        for row, one in enumerate(records.signatures, start=1)
        if one.what == what and (what == "water" or one.run == run)
    ]
    found.sort(key=lambda one: (one.record.time, one.row))
    return Signing(state, verdict, needs, tuple(found))


def _notes(one: Signature, state: str, needs: bool) -> tuple[Message, ...]:
    found = []
    if one.state is None:
        found.append(message("the record does not say which state was signed"))
    elif one.state != state:
        found.append(message("signed for an earlier state: records, rules or verdict have changed since"))
    if not one.note and (one.decision == "dissents" or needs):
        found.append(message("signed without a reason, although one is needed"))
    return tuple(found)
