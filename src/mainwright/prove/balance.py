"""What went in against what was pumped: the mass balance of a run."""

import math
from dataclasses import dataclass

from mainwright.constants import WATER_DENSITY_MIXING
from mainwright.job.job import Job
from mainwright.job.records import Batch, Records
from mainwright.units import UNITS, to_si

__all__ = ["MassBalance", "batch_volume", "mass_balance"]


@dataclass(frozen=True, slots=True)
class MassBalance:
    """Volumes of one run [m3]; None where the record says nothing. ``difference`` is batched less pumped."""

    pumped: float | None
    batched: float | None
    returned: float
    wasted: float
    deposited: float | None
    difference: float | None


def batch_volume(job: Job, one: Batch) -> float | None:
    """Return the mortar of one batch, without what was thrown away; None where a weight is missing.

    Parameters
    ----------
    job : Job
        The job, whose mortar gives densities, moisture of the sand and air. [-]
    one : Batch
        As it was weighed. [-]

    Returns
    -------
    float or None
        By absolute volumes. [m3]
    """
    mortar = job.mortar
    if one.cement is None or one.sand is None or one.water is None:
        return None
    sand = one.sand / (1.0 + mortar.sand_moisture)
    water = one.water + (one.sand - sand) / WATER_DENSITY_MIXING
    solid = one.cement / mortar.cement_density + sand / mortar.sand_density + water
    return solid / (1.0 - mortar.air) - (one.discarded or 0.0)


def mass_balance(job: Job, run: str, records: Records, *, pumped: float | None, deposited: float | None) -> MassBalance:
    """Return the mass balance of a run.

    Parameters
    ----------
    job : Job
        The job, whose mortar gives densities and air. [-]
    run : str
        Id of the run. [-]
    records : Records
        Batches and events. [-]
    pumped, deposited : float or None
        By the readings. [m3]

    Returns
    -------
    MassBalance
        What was batched counts by absolute volumes of what was weighed, with the job's air, less what was discarded. The filling of the
        hose is in it, so it is more than what was pumped through the head by about that.
    """
    found = [batch_volume(job, one) for one in records.batches if one.run == run]
    volumes = [one for one in found if one is not None]
    batched = math.fsum(volumes) if volumes else None

    def lost(kind: str) -> float:
        return math.fsum(
            to_si(one.value, one.unit if one.unit in UNITS and one.unit else "l")
            for one in records.events
            if one.run == run and one.kind == kind and one.value is not None
        )

    return MassBalance(
        pumped=pumped,
        batched=batched,
        returned=lost("returned_l"),
        wasted=lost("wasted_l"),
        deposited=deposited,
        difference=None if batched is None or pumped is None else batched - pumped,
    )
