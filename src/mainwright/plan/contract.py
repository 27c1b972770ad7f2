"""What the contract must still say before the job is priced or begun: only what the job has not answered."""

import re
from collections.abc import Callable
from typing import Final

from mainwright.job.job import Job
from mainwright.job.measurement import Measurement
from mainwright.plan.result import ContractGap
from mainwright.words.message import Message, message

__all__ = ["contract_gaps"]

_Answered = Callable[[Job], bool]

_VAGUE: Final = ("tbd", "tba", "unknown", "to be", "n/a", "...", "?")


_EDITION: Final = re.compile(r"\b(?:1[89]|20)\d\d\b|[-:]\d\d\b|\b(?:edition|revision|issue|version|amendment)\b")


def _document(job: Job) -> bool:
    text = job.lining.governing_document.strip().casefold()
    return bool(text) and not any(text.startswith(word) for word in _VAGUE)


def _edition(job: Job) -> bool:
    """Return whether the document is named with its edition: by a year, a year's end (``C602-17``), or the word itself."""
    return _EDITION.search(job.lining.governing_document.casefold()) is not None


def _everywhere(job: Job, name: str) -> bool:
    """Return whether the value is given in ``[lining]``, or by a row of ``by_dn`` for each stretch of the main."""
    if getattr(job.lining, name) is not None:
        return True
    rows = job.lining.by_dn
    return bool(job.main) and all(
        any(
            getattr(row, name) is not None and row.dn_from <= stretch.dn <= row.dn_to and row.material in (None, stretch.material)
            for row in rows
        )
        for stretch in job.main
    )


def _evidence(job: Job, kind: str) -> bool:
    return job.acceptance is not None and kind in job.acceptance.evidence


def _never(job: Job) -> bool:
    return False


_CHECKS: Final[tuple[tuple[str, _Answered, Message], ...]] = (
    ("document", _document, message("Which document governs the lining.")),
    ("edition", _edition, message("Which edition of the governing document, and which amendments.")),
    (
        "mean_minimum",
        lambda job: _everywhere(job, "mean_minimum"),
        message("The least mean thickness of a run, beside the least single value; and how a mean is taken."),
    ),
    ("maximum", lambda job: _everywhere(job, "maximum"), message("The greatest thickness, and what happens to a run above it.")),
    (
        "single_coat",
        lambda job: _everywhere(job, "single_coat_max"),
        message("The greatest single coat, and how long to wait between coats."),
    ),
    (
        "crack_limit",
        lambda job: _everywhere(job, "crack_limit"),
        message("How wide a crack may be and when it is looked at: before water or under it."),
    ),
    ("finish", lambda job: "lining.finish" not in job.defaulted, message("Smoothed or as sprayed.")),
    (
        "evidence",
        lambda job: job.acceptance is not None and bool(job.acceptance.evidence),
        message("Which evidence proves a run: consumption, readings at the ends, camera, specimens, scan."),
    ),
    (
        "readings",
        lambda job: not _evidence(job, "end_readings") or (job.acceptance is not None and job.acceptance.readings_per_end is not None),
        message("How many readings at each end, where on the clock, wet or hard."),
    ),
    (
        "strength",
        lambda job: (
            not _evidence(job, "specimens")
            or (job.acceptance is not None and job.acceptance.strength is not None and job.acceptance.strength_age is not None)
        ),
        message("Strength of the specimens, their age, their shape, how many, and which laboratory."),
    ),
    ("who_measures", _never, message("Who measures thickness and bore, who is present, and whose reading counts when two differ.")),
    (
        "video",
        lambda job: job.acceptance is not None and bool(job.acceptance.evidence) and not _evidence(job, "camera"),
        message(
            "By when the client looks at the video and decides (48 hours in one specification), and what counts as refused: water in the pipe."
        ),
    ),
    (
        "cure_to_fill",
        lambda job: job.curing is not None and job.curing.fill is not None,
        message("Hours from closing the ends to filling, and whether temperature changes them."),
    ),
    (
        "test_rule",
        lambda job: job.test is not None and bool(job.test.rule),
        message("Whether there is a pressure test, by which rule, after how long under water: mortar drinks."),
    ),
    (
        "test_pressure",
        lambda job: job.test is not None and job.test.pressure is not None,
        message("The greatest test pressure for this old pipe, in writing."),
    ),
    (
        "water_quality",
        _never,
        message(
            "Who answers for pH, aluminium and lead after hand-over, what is sampled, how long the watch lasts, who pays for flushing."
        ),
    ),
    ("dialysis", _never, message("Who finds and tells dialysis patients, clinics and other sensitive users, and by when.")),
    ("hygiene", _never, message("Disinfection rule, samples, laboratory, who releases, and who pays for a repeat after a failed sample.")),
    (
        "obstruction",
        _never,
        message("Pay item for what is not on the drawings: each opening, and standing time; what proves it the same day."),
    ),
    (
        "deductions",
        _never,
        message("What is deducted: length of fittings and openings, thin lining, missed dates; and the most it can come to."),
    ),
    ("relining", _never, message("That relining a failed length is not paid again, and who pays where the host pipe was the cause.")),
    ("cleaning_extra", _never, message("What more passes, cleaning without water, or harder deposits than shown are paid.")),
    (
        "disposal",
        _never,
        message("Class of the deposits, who samples them, who is the waste's owner, where they and the wash water go. Tar above all."),
    ),
    (
        "supply_rule",
        lambda job: job.supply is not None and job.supply.pressure_min is not None and bool(job.supply.demand_rule),
        message("Rule for the temporary supply: least pressure, demand, how long a customer may be on it."),
    ),
    (
        "fire",
        lambda job: job.supply is not None and job.supply.fire is not None,
        message("Fire flow while hydrants are off, and who agrees it with the brigade."),
    ),
    (
        "connections",
        _never,
        message("Who gives access to houses, who repairs stop taps, and who pays to dig up a connection that stays blocked."),
    ),
    ("valves", _never, message("Who works valves, how fast, and who pays the day when one does not hold.")),
    ("host_pipe", _never, message("Who carries the risk of a host pipe that is too weak: burst in cleaning, leak in the test.")),
    (
        "permits",
        lambda job: bool(job.permits) and all(permit.overrun_first_rate is not None for permit in job.permits),
        message("Who holds the road permits, their days and hours, and who pays for each day over."),
    ),
    (
        "measurement",
        lambda job: not any(key.startswith("measurement.") for key in job.defaulted) and job.measurement != Measurement(),
        message("How length is measured: along the pipe or the street, rounding, who signs, and the smallest run that is paid."),
    ),
    ("warranty", _never, message("Warranty: from when, how long, and what the first inspection looks at.")),
)
"""Code, whether the job answers it, and the question. What no file of a job can answer is always asked."""


def contract_gaps(job: Job) -> tuple[ContractGap, ...]:
    """Return what the contract must still say.

    Parameters
    ----------
    job : Job
        The job. [-]

    Returns
    -------
    tuple of ContractGap
        In the order of the work; only questions that the job has not answered.
    """
    return tuple(ContractGap(code, text) for code, answered, text in _CHECKS if not answered(job))
