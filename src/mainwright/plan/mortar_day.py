"""What the mortar does on the day: how long it lives and sets at its temperatures, what it weighs, and how it flows in a hose."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from mainwright.job.job import Job
from mainwright.job.plant import Hose, Pump
from mainwright.science.mortar.mix import Mix, mix
from mainwright.standards.source import Assumed
from mainwright.units import from_si, to_si
from mainwright.words.message import message

__all__ = ["ASSUMED_FLOW", "MortarDay", "mortar_day"]

ASSUMED_FLOW: Final = to_si(30.0, "l_min")
"""Output of the pump where the plant names none: middle of the usual 20 to 40 l/min of such pumps; practice, listed as assumed. [m3/s]"""


@dataclass(frozen=True, slots=True)
class MortarDay:
    """The mortar at the temperatures of the job.

    Attributes
    ----------
    usable
        From mixing to placing, at the mortar's temperature. [s]
    set_time, clearing_from
        From placing until it sets and until connections may be cleared, at the wall's temperature. [s]
    mix
        Masses in a cubic metre.
    loss
        Pressure that a flow takes through a whole hose [Pa], None where the mortar's flow is not known.
    assumed
        What was taken because nobody gave it.
    """

    usable: float
    set_time: float
    clearing_from: float
    mix: Mix
    loss: Callable[[float, Hose], float] | None
    assumed: tuple[Assumed, ...]

    def flow_of(self, pump: Pump | None) -> float:
        """Return the working output of a pump, the assumed one where the plant names none. [m3/s]."""
        return ASSUMED_FLOW if pump is None else pump.flow


def mortar_day(job: Job) -> MortarDay:
    """Return the job's mortar at its expected temperatures.

    Parameters
    ----------
    job : Job
        The job. [-]

    Returns
    -------
    MortarDay
        Life, setting and flow.
    """
    mortar = job.mortar
    assumed = []
    if not job.plant.pumps:
        because = message("The plant names no pump: a usual output was taken, and every speed and time depends on it.")
        assumed.append(Assumed("plant.pump.flow_l_min", from_si(ASSUMED_FLOW, "l_min"), "l_min", because))
    return MortarDay(
        usable=mortar.usable,
        set_time=mortar.set_time,
        clearing_from=mortar.clearing_from,
        mix=mix(
            sand_per_cement=mortar.sand_per_cement,
            water_per_cement=mortar.water_per_cement,
            air=mortar.air,
            cement_density=mortar.cement_density,
            sand_density=mortar.sand_density,
            sand_moisture=mortar.sand_moisture,
        ),
        loss=None,
        assumed=tuple(assumed),
    )
