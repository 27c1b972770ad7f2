"""What temporary pipes ask for besides their size: parts, age of the water, frost and sun, flushing, chlorine."""

import math
from collections.abc import Sequence
from typing import Final

from mainwright.constants import WATER_DENSITY_MIXING, ZERO_CELSIUS
from mainwright.plan.result_supply import Handling, Part, SupplyLine, SupplyPoint
from mainwright.plan.supply.layout import Laid
from mainwright.plan.supply.problem import SizeProblem
from mainwright.plan.supply.solve import Sizes
from mainwright.standards.published import Published, table, value
from mainwright.words.message import Message, Quantity, message

__all__ = ["gates", "handling", "part_list", "water_ages"]

_HEAT: Final = 4190.0
"""Specific heat of water. [J/(kg K)]"""


def _claimed(key: str, claim: str) -> Published:
    return next(row.published for row in table("supply").all(key=key, claim=claim))


def water_ages(laid: Laid, mean: Sequence[float], problem: SizeProblem, sizes: Sizes) -> list[float | None]:
    """Return how old the water is at each point with the mean use of a day.

    Parameters
    ----------
    laid : Laid
        Points and lengths. [-]
    mean : sequence of float
        Mean use at each point. [m3/s]
    problem : SizeProblem
        With the stock and the groups. [-]
    sizes : Sizes
        What was chosen. [-]

    Returns
    -------
    list of float or None
        Each point is reached from its nearest feed by the shortest way; None where nothing is drawn at or beyond it. [s]
    """
    near: dict[int, list[tuple[int, int]]] = {node: [] for node in range(len(laid.places))}
    for link, (one, other, _, _) in enumerate(laid.links):
        near[one].append((link, other))
        near[other].append((link, one))
    far = dict.fromkeys(near, math.inf) | {node: 0.0 for node, _, _ in problem.feeds}
    above: dict[int, tuple[int, int]] = {}
    left, order = set(near), []
    while left:
        node = min(left, key=lambda one: (far[one], one))
        left.discard(node)
        order.append(node)
        for link, other in near[node]:
            if far[node] + problem.length[link] < far[other]:
                far[other], above[other] = far[node] + problem.length[link], (link, node)
    flow = list(mean)
    for node in reversed(order):
        if node in above:
            flow[above[node][1]] += flow[node]
    ages: list[float | None] = [None] * len(order)
    for node in order:
        if node not in above:
            ages[node] = 0.0
            continue
        link, upper = above[node]
        before = ages[upper]
        if before is not None and flow[node] > 0.0:
            bore = problem.stock[sizes.size[problem.group[link]]].bore
            ages[node] = before + math.pi * bore**2 / 4.0 * problem.length[link] / flow[node]
    return ages


def part_list(lines: Sequence[SupplyLine], points: Sequence[SupplyPoint], *, crossed: int) -> tuple[Part, ...]:
    """Return the parts of a temporary supply.

    Parameters
    ----------
    lines : sequence of SupplyLine
        The pipes. [-]
    points : sequence of SupplyPoint
        The points. [-]
    crossed : int
        Connections that are reached by a hose across the street. [-]

    Returns
    -------
    tuple of Part
        Pipes by size in whole lengths, couplings, reducers where the size changes, connections, feeds with check valve and meter, ramps, valves.
    """
    one_length = value("supply", "pipe_length").value
    found: list[Part] = []
    for size, _ in sorted({(line.stock, line.bore) for line in lines}, key=lambda pair: (pair[1], pair[0])):
        lengths = [line.length for line in lines if line.stock == size]
        count = math.ceil(math.fsum(lengths) / one_length - 1e-9)
        found += [
            Part("pipe", size, math.fsum(lengths), "m"),
            Part("pipe_length", size, count, "-"),
            Part("coupling", size, count + 1, "-"),
        ]
    meeting: dict[str, set[str]] = {}
    for line in lines:
        meeting.setdefault(line.start, set()).add(line.stock)
        meeting.setdefault(line.end, set()).add(line.stock)
    crossings = sum(line.crossing for line in lines)
    feeds = sum(point.source for point in points)
    found += [
        Part("reducer", "", sum(len(sizes) - 1 for sizes in meeting.values()), "-"),
        Part("connection", "", sum(len(point.feeds) for point in points), "-"),
        Part("feed_with_check_valve", "", feeds, "-"),
        Part("road_ramp", "", crossings + crossed, "-"),
        Part("valve", "", feeds + crossings * round(value("supply", "crossing_valves").value), "-"),
    ]
    return tuple(part for part in found if part.quantity > 0)


def gates() -> tuple[tuple[str, Message], ...]:
    """Return what must be seen and signed, one after the other, before anybody is put on the temporary pipe.

    Returns
    -------
    tuple of (str, Message)
        Code and text; none is skipped, only signed or refused with its reason.
    """
    dose = Quantity(_claimed("dose", "long stand").value, "mg_l", 0)
    return (
        ("tight", message("Laid clean, ends capped, every coupling dry at the pressure of its feed; check valve and meter at each feed.")),
        ("flushed", message("Flushed size by size with the flow and the volume of the table, until clear and without smell.")),
        ("chlorinated", message("Chlorinated with {dose}, or as the health authority asks, each branch and tap drawn until it smells; closed for the contact, residual read at the far end.", dose=dose)),
        ("neutralised", message("Flushed out, neutralised before it leaves, to where it may go; chlorine as in the public main.")),
        ("sampled", message("Samples from each kerb's far end and at a tap, by the authority's rule: bacteria, turbidity, smell, chlorine. Nobody is on it before the laboratory's answer.")),
        ("released", message("Released by the client's responsible person; then customers are moved over, and the line valves are shut.")),
    )  # fmt: skip


def handling(lines: Sequence[SupplyLine], *, temperature: float) -> tuple[Handling, ...]:
    """Return what each size asks for.

    Parameters
    ----------
    lines : sequence of SupplyLine
        The pipes. [-]
    temperature : float
        Of the water that comes in. [K]

    Returns
    -------
    tuple of Handling
        In order of bore. Frost and sun are estimates for a bare pipe that stands still: a film of air alone hinders the heat.
    """
    film, sun = value("supply", "air_film").value, value("supply", "sun").value
    cold, hot = _claimed("air", "frosty night").value, _claimed("air", "hot day").value
    dose = _claimed("dose", "long stand").value
    speed, volumes = value("supply", "flush_speed").value, value("supply", "flush_volumes").value
    found = []
    for size, bore in sorted({(line.stock, line.bore) for line in lines}, key=lambda pair: (pair[1], pair[0])):
        length = math.fsum(line.length for line in lines if line.stock == size)
        area = math.pi * bore**2 / 4.0
        # Heat in a metre of water over heat passing through its skin by kelvin.
        pace = WATER_DENSITY_MIXING * _HEAT * bore / 4.0 / film
        freezes = pace * math.log((temperature - cold) / (ZERO_CELSIUS - cold))
        found.append(
            Handling(
                stock=size,
                length=length,
                volume=area * length,
                chlorine=dose * area * length,
                flush_flow=speed * area,
                flush_volume=volumes * area * length,
                freezes_after=freezes,
                # The sun falls on the breadth, the air takes from the whole skin.
                sun_temperature=hot + sun / (math.pi * film),
            )
        )
    return tuple(found)
