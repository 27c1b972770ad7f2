"""What the mortar does on the day: how long it lives and sets at its temperatures, what it weighs, and how it flows in a hose."""

from dataclasses import dataclass
from typing import Final

from mainwright.job.job import Job
from mainwright.job.plant import Hose, MortarFlow, Pump
from mainwright.science.mortar.hose import hose_pressure
from mainwright.science.mortar.mix import Mix, mix
from mainwright.science.mortar.rheology import MortarReading, calibrate
from mainwright.science.mortar.setting import time_at_temperature
from mainwright.standards.source import Assumed
from mainwright.units import from_si, significant, to_si
from mainwright.words.message import message

__all__ = ["ASSUMED_FLOW", "MortarDay", "mortar_day"]

ASSUMED_FLOW: Final = to_si(30.0, "l_min")
"""Output of the pump where the plant names none: middle of the usual 20 to 40 l/min of such pumps; practice, listed as assumed. [m3/s]"""

_COLDEST, _WARMEST = to_si(0.0, "c"), to_si(45.0, "c")


@dataclass(frozen=True, slots=True)
class MortarDay:
    """The mortar at the temperatures of the job.

    Attributes
    ----------
    usable
        From mixing to placing, at the mortar's temperature; the shortest of the published laws. [s]
    set_time, clearing_from
        From placing until it sets (the shortest), and until connections may be cleared (the longest), at the wall's temperature. [s]
    mix
        Masses in a cubic metre.
    yield_stress, plastic_viscosity
        How it flows in a hose; both None where that is not known. [Pa] [Pa s]
    assumed
        What was taken because nobody gave it.
    """

    usable: float
    set_time: float
    clearing_from: float
    mix: Mix
    yield_stress: float | None
    plastic_viscosity: float | None
    assumed: tuple[Assumed, ...]

    def flow_of(self, pump: Pump | None) -> float:
        """Return the working output of a pump, the assumed one where the plant names none. [m3/s]."""
        return ASSUMED_FLOW if pump is None else pump.flow

    def friction_in(self, hose: Hose, flow: float) -> float | None:
        """Return the pressure that a flow takes through a whole hose, None where the mortar's flow is not known. [Pa]."""
        if self.yield_stress is None or self.plastic_viscosity is None:
            return None
        return hose_pressure(
            flow=flow,
            length=hose.length,
            bore=hose.bore,
            yield_stress=self.yield_stress,
            plastic_viscosity=self.plastic_viscosity,
        )


def _rheology(flow: MortarFlow | None, hoses: tuple[Hose, ...]) -> tuple[float | None, float | None, list[Assumed]]:
    """Return yield stress and plastic viscosity, given or from the gauge, and in which hose the gauge was taken to be read."""
    if flow is None:
        return None, None, []
    if flow.yield_stress is not None and flow.plastic_viscosity is not None:
        return flow.yield_stress, flow.plastic_viscosity, []
    if len({reading[0] for reading in flow.readings}) < 2 or not hoses:
        return None, None, []
    length = flow.readings[0][1]
    hose = next((one for one in hoses if abs(one.length - length) < 1e-6), hoses[0])
    found = calibrate(readings=[MortarReading(*reading) for reading in flow.readings], bore=hose.bore)
    assumed = []
    if len({one.bore for one in hoses}) > 1:
        because = message(
            "The readings of the mortar's flow do not say which hose they were taken in: the one of their length, or the first."
        )
        assumed.append(Assumed("plant.mortar_flow.hose", hose.name, "", because))
    return found.yield_stress, found.plastic_viscosity, assumed


def _bounded(name: str, temperature: float, assumed: list[Assumed]) -> float:
    """Return a temperature within what the law of setting knows; a value that was moved there is told."""
    kept = min(max(temperature, _COLDEST), _WARMEST)
    if kept != temperature:
        because = message(
            "The law of setting holds from 0 to 45 °C only: times are those of its nearer end, and mortar is not placed beyond it."
        )
        assumed.append(Assumed(f"mortar.{name}_c for times", significant(from_si(kept, "c")), "c", because))
    return kept


def mortar_day(job: Job) -> MortarDay:
    """Return the job's mortar at its expected temperatures.

    Parameters
    ----------
    job : Job
        The job. [-]

    Returns
    -------
    MortarDay
        Life, setting and flow. Of the published laws of temperature the unfavourable one counts: a life and a set time are the shortest,
        the time from which connections may be cleared the longest.
    """
    mortar = job.mortar
    yield_stress, plastic_viscosity, assumed = _rheology(job.plant.mortar_flow, job.plant.hoses)
    if not job.plant.pumps:
        because = message("The plant names no pump: a usual output was taken, and every speed and time depends on it.")
        assumed.append(Assumed("plant.pump.flow_l_min", significant(from_si(ASSUMED_FLOW, "l_min")), "l_min", because))
    in_hose = _bounded("mortar", mortar.mortar_temperature, assumed)
    on_wall = _bounded("wall", mortar.wall_temperature, assumed)
    return MortarDay(
        usable=time_at_temperature(at_reference=mortar.usable, temperature=in_hose).low,
        set_time=time_at_temperature(at_reference=mortar.set_time, temperature=on_wall).low,
        clearing_from=time_at_temperature(at_reference=mortar.clearing_from, temperature=on_wall).high
        if mortar.clearing_from > 0.0
        else 0.0,
        mix=mix(
            sand_per_cement=mortar.sand_per_cement,
            water_per_cement=mortar.water_per_cement,
            air=mortar.air,
            cement_density=mortar.cement_density,
            sand_density=mortar.sand_density,
            sand_moisture=mortar.sand_moisture,
        ),
        yield_stress=yield_stress,
        plastic_viscosity=plastic_viscosity,
        assumed=tuple(assumed),
    )
