"""When each batch is mixed, and when it leaves the head."""

from collections.abc import Sequence

from mainwright.constants import WATER_DENSITY_MIXING
from mainwright.plan.result import Batch, PlanWarning, Run
from mainwright.science.mortar.mix import Mix, batches
from mainwright.words.message import Quantity, message

__all__ = ["batch_clock", "batch_warnings", "longest_stop"]


def batch_clock(
    *,
    mortar: float,
    hose_filling: float,
    extra: float,
    lining_time: float,
    batch: float,
    cycle: float,
    mix: Mix,
    usable: float | None,
) -> tuple[Batch, ...]:
    """Return the batches of one run, each with its own clock.

    Parameters
    ----------
    mortar : float
        All that is mixed. [m3]
    hose_filling : float
        What the hose holds, at the start and at the end. [m3]
    extra : float
        What is mixed besides, joints and waste: reckoned as pumped away before the head moves, so that each batch is ready in time. [m3]
    lining_time : float
        From the start of the head to its end. [s]
    batch, cycle : float
        The mixer's batch [m3] and how long one takes [s].
    mix : Mix
        Masses in a cubic metre. [kg/m3]
    usable : float or None
        Life of the mortar from mixing to placing, at the day's temperature; None where nobody tested it. [s]

    Returns
    -------
    tuple of Batch
        In the order of mixing; the last holds just the rest, so that the run ends without surplus.

    Notes
    -----
    The stream is followed in its order: what enters the pump as the volume `c` of the stream leaves the head when the extra is gone
    and `c` less it has been laid, and enters the hose a hose filling earlier. Each batch begins one mixer's cycle before it is needed,
    or earlier where the mixer could not keep up otherwise.
    """
    division = batches(volume=mortar, batch=batch)
    laid = mortar - hose_filling - extra
    pace = lining_time / laid
    volumes = [division.size] * (division.count - 1) + [division.last]
    starts: list[float] = []
    reached = 0.0
    for volume in volumes:
        starts.append(reached)
        reached += volume
    mixing = [(start - extra - hose_filling) * pace - cycle for start in starts]
    for later in range(len(mixing) - 1, 0, -1):
        mixing[later - 1] = min(mixing[later - 1], mixing[later] - cycle)
    clock = []
    for number, (start, volume, begun) in enumerate(zip(starts, volumes, mixing, strict=True), start=1):
        first, last = (start - extra) * pace, (start + volume - extra) * pace
        leaves = first < lining_time - 1e-9 and last > 1e-9
        clock.append(
            Batch(
                number=number,
                volume=volume,
                cement=volume * mix.cement,
                sand=volume * mix.sand_moist,
                water=volume * mix.water_added / WATER_DENSITY_MIXING,
                mixing=begun,
                placed_from=max(0.0, first) if leaves else None,
                placed_to=min(lining_time, last) if leaves else None,
                latest=None if usable is None else begun + usable,
            )
        )
    return tuple(clock)


def longest_stop(clock: Sequence[Batch], *, usable: float) -> float:
    """Return how long the whole run may stand still before some of its mortar is too old.

    Parameters
    ----------
    clock : sequence of Batch
        Of the run. [-]
    usable : float
        Life of the mortar from mixing to placing, at the day's temperature. [s]

    Returns
    -------
    float
        The least that any batch has left; negative where one is too old without a stop. [s]
    """
    return min(batch.mixing + usable - batch.placed_to for batch in clock if batch.placed_to is not None)


def batch_warnings(run: Run, *, usable: float) -> tuple[PlanWarning, ...]:
    """Return the batches of which the last mortar would be placed too late.

    Parameters
    ----------
    run : Run
        With its clock. [-]
    usable : float
        Life of the mortar from mixing to placing, at the day's temperature. [s]

    Returns
    -------
    tuple of PlanWarning
        One for the oldest batch.
    """
    ages = [(batch.placed_to - batch.mixing, batch.number) for batch in run.batch_clock if batch.placed_to is not None]
    age, number = max(ages, default=(0.0, 0))
    if age <= usable:
        return ()
    text = message(
        "Run {run}: the last of batch {batch} is placed {age} after mixing, and the mortar is usable for {usable}. Mix smaller batches, or pump faster.",
        run=run.id,
        batch=number,
        age=Quantity(age, "minutes", 0),
        usable=Quantity(usable, "minutes", 0),
    )
    return (PlanWarning("batch_too_old", run.start, run.end, text, "act"),)
