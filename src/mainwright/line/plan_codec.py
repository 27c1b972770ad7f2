"""What a run was meant to be, as plain values at the head of its record, and back."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields
from typing import Any, Final

from mainwright.errors import InputError
from mainwright.line.alarms import AlarmRules
from mainwright.line.run_plan import PlannedBatch, PlannedLength, RunPlan
from mainwright.plan.result import ConnectionWindow

__all__ = ["FORMAT", "Header", "header_document", "read_header"]

FORMAT: Final = 1
"""Of the header."""

Header = tuple[RunPlan, AlarmRules, float, float]
"""Plan, rules of the alarms, length of the bins [m], lag of the hose [s]."""


def header_document(
    plan: RunPlan, *, rules: AlarmRules, bin_length: float, lag: float, about: Mapping[str, str | None] | None = None
) -> dict[str, Any]:
    """Return what a run was meant to be.

    Parameters
    ----------
    plan : RunPlan
        Its plan. [-]
    rules : AlarmRules
        When alarms go up. [-]
    bin_length : float
        Of the bins. [m]
    lag : float
        Time constant of the hose. [s]
    about : mapping or None
        What else the record should say of the run: revision of the job, names of pump, hose and head. [-]

    Returns
    -------
    dict
        Plain values, in SI, as they come back from JSON.
    """
    document = {name: [list(part.values()) for part in value] if name in _PARTS else value for name, value in asdict(plan).items()}
    return {"format": FORMAT, "plan": document, "rules": asdict(rules), "bin_length": bin_length, "lag": lag, "about": dict(about or {})}


_PARTS: Final[dict[str, Any]] = {"lengths": PlannedLength, "windows": ConnectionWindow, "batches": PlannedBatch}


def read_header(document: Mapping[str, object]) -> Header:
    """Return what a run was meant to be.

    Parameters
    ----------
    document : mapping
        As `header_document` gives it. [-]

    Returns
    -------
    tuple
        Plan, rules, length of the bins [m], lag [s].

    Raises
    ------
    InputError
        If it is of a newer format, or no header.
    """
    told = document.get("format")
    if told != FORMAT:
        raise InputError("format of a run's header", told, "", f"{FORMAT}; a newer program wrote it")
    try:
        values: dict[str, Any] = dict(_mapping(document["plan"]))
        for name, part in _PARTS.items():
            values[name] = tuple(part(*row) for row in _rows(values[name]))
        known = {one.name for one in fields(RunPlan)}
        plan = RunPlan(**{name: value for name, value in values.items() if name in known})
        rules = AlarmRules(**_mapping(document["rules"]))
        return plan, rules, float(str(document["bin_length"])), float(str(document["lag"]))
    except (KeyError, TypeError, ValueError) as error:
        raise InputError("header of a run", str(error), "", "what this program writes at the beginning of a run") from error


def _mapping(value: object) -> Mapping[str, Any]:
    if not isinstance(value, Mapping):
        raise TypeError("no table")
    return value


def _rows(value: object) -> Sequence[Sequence[Any]]:
    if not isinstance(value, Sequence):
        raise TypeError("no list")
    return value
