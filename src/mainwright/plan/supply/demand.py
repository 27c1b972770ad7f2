"""Peak demand of customers by the rule that the job names."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from mainwright.job.survey import Service
from mainwright.science.hydraulics.demand import peak_flow_by_population, peak_flow_by_power, peak_flow_by_root, peak_flow_by_table
from mainwright.standards.demand import DemandRule
from mainwright.standards.published import value

__all__ = ["Users", "mean_demand", "peak_demand", "users_of"]

_DAY: Final = 86400.0
_SIZE: Final = 0.025
"""Bore of a connection whose size nobody wrote down. [m]"""


@dataclass(frozen=True, slots=True)
class Users:
    """Who draws: dwellings by the rule, others by their own flow [m3/s]."""

    dwellings: float = 0.0
    other: float = 0.0

    def __add__(self, more: "Users") -> "Users":
        """Return both together."""
        return Users(self.dwellings + more.dwellings, self.other + more.other)


def users_of(services: Sequence[Service]) -> Users:
    """Return who draws from these connections.

    Parameters
    ----------
    services : sequence of Service
        The connections. [-]

    Returns
    -------
    Users
        A dwelling where the number is missing; a fire line draws nothing; others draw what their connection carries at the listed speed.
    """
    speed = value("supply", "other_speed").value
    found = Users()
    for one in services:
        if one.use == "fire_line":
            continue
        if one.use in {None, "dwelling", "dialysis"}:
            found += Users(float(one.dwellings or 1))
        else:
            found += Users(float(one.dwellings or 0), speed * math.pi * (one.size or _SIZE) ** 2 / 4.0)
    return found


def peak_demand(rule: DemandRule, users: Users) -> float:
    """Return the peak flow of users who do not all draw at once.

    Parameters
    ----------
    rule : DemandRule
        Of the peak. [-]
    users : Users
        Who draw. [-]

    Returns
    -------
    float
        That of the dwellings by the rule, and all that the others can draw. [m3/s]
    """
    count = users.dwellings
    if count <= 0.0:
        return users.other
    if rule.name == "dvgw_w410":
        people = count * value("supply", "people").value
        daily = value("supply", "daily_use").value
        peak = peak_flow_by_population(people, daily_use=daily, factor=rule.constant("factor"), exponent=rule.constant("exponent"))
    elif rule.name == "hunter":
        peak = peak_flow_by_table(count * rule.by_dwelling("units"), rule.points)
    elif rule.name == "dtu_60_11":
        total = count * rule.by_dwelling("flow")
        peak = peak_flow_by_root(total, fittings=count * rule.by_dwelling("fittings"), factor=rule.constant("factor"))
        # The formula jumps down past its five fittings: many never draw less than one of them alone.
        peak = max(peak, min(total, rule.by_dwelling("flow")))
    else:
        total = count * rule.by_dwelling("flow")
        known = dict(rule.constants)
        above = any(name.endswith("_bound") for name in known) and total > next(of for name, of in known.items() if name.endswith("_bound"))
        end = "_above" if above else ""
        peak = peak_flow_by_power(total, factor=known["factor" + end], exponent=known["exponent" + end], less=known["less" + end])
    return peak + users.other


def mean_demand(users: Users) -> float:
    """Return the mean use of a day.

    Parameters
    ----------
    users : Users
        Who draw. [-]

    Returns
    -------
    float
        Of the dwellings alone: what others use in a day is not known, and less use is older water. [m3/s]
    """
    return users.dwellings * value("supply", "people").value * value("supply", "daily_use").value / _DAY
