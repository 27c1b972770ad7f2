"""The setting of the pump for a wanted flow, from the pump's own test."""

from dataclasses import dataclass
from typing import Final

from mainwright.job.plant import Pump
from mainwright.plan.result import PlanWarning
from mainwright.science.measurement.regression import inverse_prediction, straight_line
from mainwright.words.message import Quantity, message

__all__ = ["CONFIDENCE", "PumpSetting", "pump_setting", "pump_warnings"]

CONFIDENCE: Final = 0.95
"""Of the interval of a setting, two-sided: between these settings lie those at which one further reading gives the flow. Common practice."""

_ENOUGH: Final = 2
"""Points on different settings that a straight line needs."""


@dataclass(frozen=True, slots=True)
class PumpSetting:
    """A setting with its interval; ``extrapolated`` where the flow lies outside what was tested."""

    value: float
    low: float | None
    high: float | None
    extrapolated: bool


def pump_setting(pump: Pump, *, flow: float) -> PumpSetting | None:
    """Return the setting at which a pump gives a flow.

    Parameters
    ----------
    pump : Pump
        With the points of its own test. [-]
    flow : float
        Wanted output. [m3/s]

    Returns
    -------
    PumpSetting or None
        None where the test does not carry a line: too few points, or an output that does not grow with the setting.
    """
    settings = [setting for setting, _ in pump.points]
    outputs = [output for _, output in pump.points]
    if len(set(settings)) < _ENOUGH:
        return None
    line = straight_line(x=settings, y=outputs)
    if line.slope <= 0.0:
        return None
    found = inverse_prediction(line=line, y=flow, confidence=CONFIDENCE, repeats=1)
    return PumpSetting(found.value, found.low, found.high, extrapolated=not min(outputs) <= flow <= max(outputs))


def pump_warnings(pump: Pump, setting: PumpSetting | None, *, name: str, start: float, end: float) -> tuple[PlanWarning, ...]:
    """Return what the pump's test leaves open.

    Parameters
    ----------
    pump : Pump
        With the points of its own test. [-]
    setting : PumpSetting or None
        As `pump_setting` gave it. [-]
    name : str
        Id of the run. [-]
    start, end : float
        Of the run. [m]

    Returns
    -------
    tuple of PlanWarning
        What holds for the pump stands without a place; what holds for this run's flow stands at the run.
    """
    if not pump.points:
        text = message(
            "Pump {pump} has no test of its own: there is no setting. Time it through the whole hose with the job's mortar.", pump=pump.name
        )
        return (PlanWarning("no_pump_test", None, None, text, "act"),)
    if setting is None:
        text = message(
            "The test of pump {pump} gives no line: it needs {n} settings or more, and an output that grows with them. Test it again.",
            pump=pump.name,
            n=_ENOUGH,
        )
        return (PlanWarning("pump_test_useless", None, None, text, "act"),)
    found = []
    if pump.tested_through_hose is False:
        text = message(
            "Pump {pump} was tested into an open bucket: through the hose it gives less, so the lining would be thinner. Test it through the hose.",
            pump=pump.name,
        )
        found.append(PlanWarning("open_bucket_test", None, None, text, "act"))
    elif pump.tested_through_hose is None:
        text = message(
            "Nobody says whether pump {pump} was tested through the hose. An open bucket overstates: test it through the hose.",
            pump=pump.name,
        )
        found.append(PlanWarning("pump_test_unsaid", None, None, text, "act"))
    if setting.low is None:
        text = message(
            "The test of pump {pump} is too short or too scattered to say how sure its setting is. Repeat it at four settings or more.",
            pump=pump.name,
        )
        found.append(PlanWarning("pump_test_weak", None, None, text, "act"))
    if setting.extrapolated:
        outputs = [output for _, output in pump.points]
        text = message(
            "Run {run} needs a flow outside what pump {pump} was tested for, {low} to {high}: its setting is a guess. Test it there.",
            run=name,
            pump=pump.name,
            low=Quantity(min(outputs), "l_min", 1),
            high=Quantity(max(outputs), "l_min", 1),
        )
        found.append(PlanWarning("pump_extrapolated", start, end, text, "act"))
    return tuple(found)
