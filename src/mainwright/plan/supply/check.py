"""A temporary supply checked by other code than that which made it: balance, losses, pressures, stock."""

import math
from collections.abc import Mapping

from mainwright.constants import STANDARD_GRAVITY
from mainwright.plan.result_supply import TemporarySupply
from mainwright.science.hydraulics.friction import friction_factor

__all__ = ["supply_faults"]


def supply_faults(found: TemporarySupply, *, viscosity: float, stock: Mapping[str, float | None]) -> tuple[str, ...]:
    """Return what does not hold together in a temporary supply.

    Parameters
    ----------
    found : TemporarySupply
        The result. [-]
    viscosity : float
        Kinematic, with which it was made. [m2/s]
    stock : mapping
        Length on stock of each size, None where nobody says. [m]

    Returns
    -------
    tuple of str
        Empty where all holds. What the result itself warns of is no fault.
    """
    faults: list[str] = []
    if found.lines is None or found.points is None:
        return ()
    at = {one.id: one for one in found.points}
    told = {code for code, _, _ in found.warnings}
    for line in found.lines:
        area = math.pi * line.bore**2 / 4.0
        speed = abs(line.flow) / area
        reynolds = speed * line.bore / viscosity
        loss = 0.0
        if reynolds > 0.0:
            factor = friction_factor(reynolds=reynolds, relative_roughness=line.roughness / line.bore)
            loss = math.copysign(factor * line.length / line.bore * speed**2 / (2.0 * STANDARD_GRAVITY), line.flow)
        if abs(loss - line.head_loss) > 1e-3 or abs(at[line.start].head - at[line.end].head - line.head_loss) > 1e-9:
            faults.append(f"loss of {line.id}")
    for point in found.points:
        into = math.fsum(line.flow for line in found.lines if line.end == point.id)
        out = math.fsum(line.flow for line in found.lines if line.start == point.id)
        if abs(into + (point.given or 0.0) - out - point.demand) > 1e-7:
            faults.append(f"balance of {point.id}")
        low = found.wanted is not None and point.feeds and point.pressure < found.wanted - 2.0
        if low and "supply_pressure" not in told:
            faults.append(f"pressure of {point.id}")
    for name, length in stock.items():
        used = math.fsum(line.length for line in found.lines if line.stock == name)
        if length is not None and used > length + 1e-6 and "supply_stock" not in told:
            faults.append(f"stock of {name}")
    return tuple(faults)
