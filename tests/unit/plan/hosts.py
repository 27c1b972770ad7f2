"""The host of a job in code, with the job's own bores: what the plan makes of the main, without its tables."""

from dataclasses import replace

from mainwright.job.job import Job
from mainwright.plan.host import BoreLength, Host, HostLining, HostStretch


def host_of(job: Job) -> Host:
    """Return the main of a job; a bore that is not known is the nominal size."""
    lining = HostLining(
        job.lining.nominal, job.lining.minimum, job.lining.mean_minimum, job.lining.maximum, job.lining.single_coat_max,
        job.lining.crack_limit, job.lining.governing_document,
    )  # fmt: skip
    stretches = []
    for row in job.main:
        bore = row.dn / 1000.0 if row.bore is None else row.bore
        source = "dn" if row.bore is None else row.bore_source or "record"
        today = None if row.deposit is None else bore - 2.0 * row.deposit
        stretches.append(HostStretch(row.start, row.end, row.dn, row.material, bore, source, today, lining, row))
    lengths = tuple(BoreLength(one.start, one.end, one.dn, one.bore, one.lining) for one in stretches)
    return Host(job.main[0].start, job.main[-1].end, tuple(stretches), lengths, (), (), ())


def with_row(job: Job, **changes: object) -> Job:
    """Return a job of one stretch over the whole main, with some cells of its row changed."""
    first = replace(job.main[0], end=job.main[-1].end)
    return replace(job, main=(replace(first, **changes),))  # type: ignore[arg-type]
