"""Rules for the peak demand of a temporary supply: the job names one of them."""

import re
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

from mainwright.standards.published import Row, table
from mainwright.standards.source import Source

__all__ = ["ASSUMED_RULE", "DemandRule", "RuleName", "demand_rules", "find_rule"]

RuleName = Literal["din_1988_300", "din_1988_3", "dtu_60_11", "dvgw_w410", "hunter"]

ASSUMED_RULE: Final[RuleName] = "din_1988_300"
"""Rule that stands in, and is listed as assumed, where the job names none: the only one whose constants were read."""

_NAMES: Final[tuple[RuleName, ...]] = ("din_1988_300", "din_1988_3", "dtu_60_11", "dvgw_w410", "hunter")
_PATTERNS: Final[tuple[tuple[str, RuleName], ...]] = (
    (r"1988.?300", "din_1988_300"),
    (r"1988.?3(?!\d)|une.?149201", "din_1988_3"),
    (r"dtu|60.?11|p.?40.?202", "dtu_60_11"),
    (r"w.?410", "dvgw_w410"),
    (r"hunter|ipc|fixture.?unit|plumbing.?code", "hunter"),
)


@dataclass(frozen=True, slots=True)
class DemandRule:
    """One rule with its constants, in SI, and where they stand.

    Attributes
    ----------
    name
        As a job names it.
    constants
        Pairs of name and value of the formula; ``..._above`` beyond its bound.
    dwelling
        Pairs of name and value of what one dwelling puts in: ``flow`` [m3/s], ``fittings`` [-] or ``units`` [-].
    points
        Units and peak flow [m3/s], where the rule is a table.
    sources
        Of all its values, each once.
    """

    name: RuleName
    constants: tuple[tuple[str, float], ...]
    dwelling: tuple[tuple[str, float], ...]
    points: tuple[tuple[float, float], ...]
    sources: tuple[Source, ...]

    def constant(self, name: str) -> float:
        """Return a constant of the formula."""
        return dict(self.constants)[name]

    def by_dwelling(self, name: str) -> float:
        """Return what one dwelling puts in."""
        return dict(self.dwelling)[name]


def _named(rows: tuple[Row, ...], end: str = "") -> list[tuple[str, float]]:
    return [(row.text("name") + end, row.published.value) for row in rows]


@cache
def demand_rules() -> tuple[DemandRule, ...]:
    """Return every rule that is shipped.

    Returns
    -------
    tuple of DemandRule
        The one that stands in for none first.

    Examples
    --------
    >>> [rule.name for rule in demand_rules()]
    ['din_1988_300', 'din_1988_3', 'dtu_60_11', 'dvgw_w410', 'hunter']
    """
    values = table("supply")
    found = []
    for name in _NAMES:
        constants = [
            *_named(values.all(key="constant", rule=name)),
            *_named(values.all(key="constant_above", rule=name), "_above"),
            *_named(values.all(key="bound", rule=name), "_bound"),
        ]
        points = values.all(key="point", rule=name)
        sources = dict.fromkeys(row.published.source for row in values.all(rule=name))
        found.append(
            DemandRule(
                name,
                tuple(constants),
                tuple(_named(values.all(key="dwelling", rule=name))),
                tuple((float(row.text("units")), row.published.value) for row in points),
                tuple(sources),
            )
        )
    return tuple(found)


def find_rule(text: str) -> DemandRule | None:
    """Return the rule that a job means.

    Parameters
    ----------
    text : str
        As it stands in the job: one of the names, or the document's own. [-]

    Returns
    -------
    DemandRule or None
        None where it is none of those that are shipped.

    Examples
    --------
    >>> rule = find_rule("DVGW W 410")
    >>> rule.name if rule else None
    'dvgw_w410'
    """
    wanted = text.casefold().strip()
    name = next((name for pattern, name in _PATTERNS if re.search(pattern, wanted)), None)
    return next((rule for rule in demand_rules() if rule.name == name), None)
