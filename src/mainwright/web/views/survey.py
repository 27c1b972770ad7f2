"""The place ``survey``: what is known of the main."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.words.message import Quantity, message

if TYPE_CHECKING:
    from mainwright.web.reader import Reader
    from mainwright.workflow.visiting import JobAtHand

__all__ = ["survey_view"]


def survey_view(at_hand: JobAtHand, reader: Reader) -> list[str]:
    """Return the answer: what is known of the main."""
    job, faults = at_hand.read.job, at_hand.read.faults
    if job is None:
        text = message("1 fault") if len(faults) == 1 else message("{n} faults", n=len(faults))
        return [reader.say.word(text)]
    length = Quantity(job.main[-1].end - job.main[0].start, "m", 0)
    text = message("{length} of main, {services} services, {features} fittings and other features.", length=length, services=len(job.services), features=len(job.features))  # fmt: skip
    return [reader.say.word(text)]
