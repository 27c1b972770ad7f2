"""The pressure test by the client's own written rule: what was read, and whether the client's limit for this pipe was kept."""

from collections.abc import Sequence
from dataclasses import dataclass

from mainwright.job.job import Job
from mainwright.job.records import PressureReading, Records
from mainwright.prove.verdict import PartVerdict, worst
from mainwright.words.message import Message, Quantity, message

__all__ = ["PressureProof", "PressureSection", "judge_pressure"]


@dataclass(frozen=True, slots=True)
class PressureSection:
    """One section under test.

    Attributes
    ----------
    section
        Its name in the record.
    readings
        In order of time.
    highest, first, last
        Pressures, gauge. [Pa]
    added
        Water pumped in all; None where none was written down. [m3]
    duration
        From the first reading to the last. [s]
    verdict, because
        Of this section.
    """

    section: str
    readings: tuple[PressureReading, ...]
    highest: float
    first: float
    last: float
    added: float | None
    duration: float
    verdict: PartVerdict
    because: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class PressureProof:
    """The pressure test of the job: ``rule`` and ``limit`` [Pa] as entered."""

    verdict: PartVerdict
    rule: str | None
    limit: float | None
    sections: tuple[PressureSection, ...]
    notes: tuple[Message, ...]


def judge_pressure(job: Job, records: Records) -> PressureProof:
    """Return what is on record of the pressure test.

    Parameters
    ----------
    job : Job
        The job, with the client's rule and limit for this pipe. [-]
    records : Records
        What happened. [-]

    Returns
    -------
    PressureProof
        Pressure over the client's limit does not meet what was entered: it can burst an old main. Whether the loss is small enough, an own rule
        of the client says, which this program does not know: then the section is incomplete until the client has read it.
    """
    rule = job.test.rule if job.test is not None else None
    limit = job.test.pressure if job.test is not None else None
    groups: dict[str, list[PressureReading]] = {}
    for one in records.pressure_test:
        groups.setdefault(one.section, []).append(one)
    sections = tuple(_section(name, sorted(rows, key=lambda one: one.time), rule, limit) for name, rows in sorted(groups.items()))
    notes: list[Message] = []
    if rule is None and sections:
        notes.append(message("no rule and no limit for this pipe were entered: the readings are told, and nothing is judged"))
    if rule is not None and not sections:
        notes.append(message("no reading of a pressure test is on record"))
    verdict: PartVerdict = "not_asked" if rule is None else "incomplete" if not sections else worst(one.verdict for one in sections)
    return PressureProof(verdict, rule, limit, sections, tuple(notes))


def _section(name: str, rows: Sequence[PressureReading], rule: str | None, limit: float | None) -> PressureSection:
    highest = max(one.pressure for one in rows)
    added = [one.added for one in rows if one.added is not None]
    because: list[Message] = []
    verdict: PartVerdict = "not_asked"
    if limit is not None and highest > limit * (1.0 + 1e-9):
        verdict = "does_not_meet"
        because.append(
            message(
                "{found} was read; the client allows at most {limit} in this pipe",
                found=Quantity(highest, "bar", 2),
                limit=Quantity(limit, "bar", 2),
            )
        )
    elif rule is not None:
        verdict = "incomplete"
        because.append(message("the client's own rule judges the loss: read it against the figures here and sign"))
    return PressureSection(
        section=name,
        readings=tuple(rows),
        highest=highest,
        first=rows[0].pressure,
        last=rows[-1].pressure,
        added=sum(added) if added else None,
        duration=(rows[-1].time - rows[0].time).total_seconds(),
        verdict=verdict,
        because=tuple(because),
    )
