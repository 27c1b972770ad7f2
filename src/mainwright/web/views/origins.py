"""Where each number of an answer comes from: what a reader is told who touches it."""

from __future__ import annotations

import re
from itertools import pairwise
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from mainwright.plan.taken import taken_entries
from mainwright.words.message import Message, message

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from mainwright.job.job import Job
    from mainwright.words.wording import Wording

__all__ = ["NAMES", "ORIGINS", "RUN_ORIGINS", "Told", "origin_text", "run_told", "told"]

_PLACE: Final = re.compile(r"\{(\w+)\}")
_STOPS: Final = re.compile(r"[.,:;!?)]*")

NAMES: Final = frozenset({"name", "run", "which", "what", "items", "verdict"})
"""Places of sentences in which a name stands, or a list of names: those need no origin."""

_LENGTH: Final = message("Chainages of main.csv: the last less the first.")
_VERDICT: Final = message("Sum of the stretches of main.csv by the verdict of their worst reason. Rule by rule it stands below, each with its source and status.")  # fmt: skip
_AIM: Final = message("Least aim at which no point falls under the minimum with the confidence asked, by the spread of bore, mortar flow and speed in [lining] of job.toml; never under the nominal. Minimum and nominal are the governing document's.")  # fmt: skip
_LAYOUT: Final = message("The layout of least cost, or as [runs] of job.toml chooses, that keeps every limit of plant, mortar and angles. What limits each run, and the alternatives, stand below.")  # fmt: skip
_MORTAR: Final = message("Sum over the runs of what the pump delivers: the ring at its aim, pits, joints, waste and the filling of the hose, by [lining] and [mortar] of job.toml.")  # fmt: skip
_GIVE_BACK: Final = message("Longest way through the gates of a block: curing, filling, test, chlorine, flushing and samples, with the floors of [curing] and [giving_back] of job.toml. The line of gates stands below.")  # fmt: skip
_RECORDS: Final = message("Count of the runs by verdict; each is judged from the records by what [acceptance] of job.toml asks. The evidence of a run opens from the table below.")  # fmt: skip
_PERMITS: Final = message("Days on which the programme works in the street against the days of permits.csv.")

ORIGINS: Final[Mapping[str, Mapping[str, Message]]] = MappingProxyType(
    {
        "survey": {
            "n": message("Count of what is wrong in the tables: each stands at its cell."),
            "length": _LENGTH,
            "services": message("Rows of services.csv."),
            "features": message("Rows of features.csv."),
        },
        "lining": {
            "total": _LENGTH,
            **dict.fromkeys(("able", "measures", "length"), _VERDICT),
            "low": _AIM,
            "high": _AIM,
            "document": message("job.toml: governing_document in [lining]."),
        },
        "runs": {
            "openings": _LAYOUT,
            "runs": _LAYOUT,
            "longest": _LAYOUT,
            "mortar": _MORTAR,
            "cement": message("Sum over the runs: the mortar by the mix in [mortar] of job.toml."),
            "hours": message("Sum over the runs: length over the speed that lays the aim with the flow of the pump in plant.toml."),
            "shifts": message("Runs in their order, each with setting up, lining and closing, put into shifts of the length in [shift] of job.toml."),
            "n": message("Runs that the records or the issued plan say are done."),
        },
        "proof": dict.fromkeys(("all", "meets", "fails", "open"), _RECORDS),
        "water": {
            "length": message("Sum of the pipes of the temporary supply, laid along the sides of the street that have connections or that [supply] of job.toml names."),
            "least": message("Least of the pressures in the solved network of the temporary supply at its greatest demand; feeds.csv, levels.csv and the pipes of plant.toml. Node by node they stand below."),
            "wanted": message("job.toml: pressure_min_bar in [supply]."),
            "n": message("Connections of services.csv that no pipe of the temporary supply reaches, or that cannot be fed from it."),
            "time": _GIVE_BACK,
        },
        "programme": {
            "first": message("job.toml: first_day, or the first day after it on which a crew and a permit are there."),
            "last": message("End of the last activity: quantities of the plan by outputs.csv, crews of crews.csv, days of calendar.csv and permits.csv. Outputs that nobody gave are listed as assumed."),
            "n": message("Activities without float: a shift later, and the end moves."),
            "all": message("All activities of the programme; they stand in the table below."),
        },
        "money": {
            "cost": message("Quantity by rate, summed over the priced lines of the bill below. Quantities are the plan's; rates are those of prices.csv."),
            "low": message("Quantity by low price, summed over the bill; where a line has no low price its rate counts."),
            "high": message("Quantity by high price, summed over the bill; where a line has no high price its rate counts."),
            "middle": message("Middle of the costs drawn from the spread of prices, outputs, finds and lost shifts in prices.csv, outputs.csv and [money] of job.toml; the draws have a fixed seed."),
        },
    }
)  # fmt: skip
"""By place, and by the name under which the number stands in its sentence."""

_OF_SENTENCE: Final[Mapping[str, Mapping[str, Message]]] = MappingProxyType(
    {
        "The work overruns {n} of {all} {all:permit/permits}: {which}.": {"n": _PERMITS, "all": message("Rows of permits.csv.")},
        "Half of the time the works cost more than {middle}, one time in ten more than {high}.": {
            "high": message("The cost that nine draws in ten stay under; drawn as the middle is."),
        },
    }
)
"""Where a name means something else in one sentence than at the rest of its place."""

_TABLES: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "lining": ("lining", "by_dn"),
        "runs": ("pump", "hose", "lining_head", "rope", "mixer", "crew", "mortar_flow"),
        "proof": ("acceptance",),
        "water": ("supply_pipe", "curing", "giving_back"),
        "programme": ("crews", "outputs"),
        "money": ("prices", "measurement", "classes"),
    }
)
"""Tables of the job behind the numbers of a place that a library can hold."""


RUN_ORIGINS: Final = (
    message("Flow of the pump that stays on the wall, over the area of the ring at its aim, bore by bore; the band is of [lining] in job.toml. Mean of the run: its length over its time."),
    message("Setting that gives this flow by the pump's own test in plant.toml; without a test only the flow is known."),
    _AIM,
    message("What the pump delivers in this run: the ring at its aim, pits, joints, waste and the filling of the hose, by [lining] and [mortar] of job.toml."),
    message("Length of each bore over its speed, added up."),
)  # fmt: skip
"""Of the numbers at the head of a run's sheet, in their order: speed, pump, aim, mortar, time."""


class Told(str):
    """A sentence whose numbers know where they come from.

    Attributes
    ----------
    parts
        The sentence in pieces: text, and its origin; an empty origin for words.
    """

    parts: tuple[tuple[str, str], ...]

    def __new__(cls, parts: Iterable[tuple[str, str]]) -> Told:
        """Return the sentence of some parts."""
        kept = tuple(parts)
        made = super().__new__(cls, "".join(text for text, _ in kept))
        made.parts = kept
        return made

    @property
    def pieces(self) -> list[tuple[str, str, str]]:
        """The parts, each number with the stop that follows it: a browser must not set that stop on a line of its own."""
        found, stop = [], ""
        for (text, origin), (after, told) in pairwise([*self.parts, ("", "")]):
            said = text.removeprefix(stop)
            stop = "" if not origin or told else _STOPS.match(after)[0]  # type: ignore[index]
            found.append((said, origin, stop))
        return found


def origin_text(place: str, sentence: str, name: str) -> Message | None:
    """Return where a number comes from; None where nobody wrote it down.

    Parameters
    ----------
    place : str
        A key of `ORIGINS`. [-]
    sentence : str
        English text of the sentence. [-]
    name : str
        Of the number in it. [-]

    Returns
    -------
    Message or None
        What is read to who touches it.
    """
    return _OF_SENTENCE.get(sentence, {}).get(name) or ORIGINS[place].get(name)


def told(place: str, messages: Sequence[Message], say: Wording, job: Job | None) -> list[str]:
    """Return the sentences of an answer, each number with where it comes from.

    Parameters
    ----------
    place : str
        A key of `ORIGINS`. [-]
    messages : sequence of Message
        The answer. [-]
    say : Wording
        Of the reader. [-]
    job : Job or None
        Whose values may come from a library. [-]

    Returns
    -------
    list of str
        Each a `Told`.
    """
    more = (
        []
        if job is None
        else [_taken(one.source.title, len(one.standing), one.changed, say) for one in taken_entries(job, _TABLES.get(place, ("",)))]
    )
    return [_told(place, one, say, " ".join(more)) for one in messages]


def run_told(big: Sequence[Mapping[str, object]], say: Wording, job: Job) -> list[dict[str, object]]:
    """Return the numbers at the head of a run's sheet, each with where it comes from.

    Parameters
    ----------
    big : sequence of mapping
        As the papers set them. [-]
    say : Wording
        Of the reader. [-]
    job : Job
        Whose values may come from a library. [-]

    Returns
    -------
    list of dict
        The same, each with its ``origin``. There must be one for each.
    """
    entries = taken_entries(job, (*_TABLES["runs"], *_TABLES["lining"]))
    more = " ".join(_taken(one.source.title, len(one.standing), one.changed, say) for one in entries)
    return [{**one, "origin": f"{say.word(origin)} {more}".strip()} for one, origin in zip(big, RUN_ORIGINS, strict=True)]


def _taken(title: str, standing: int, changed: Sequence[str], say: Wording) -> str:
    text = "From the library's entry {entry}: values as taken {n}, changed since {changed}."
    return say.word(message(text, entry=title, n=standing, changed=len(changed)))


def _told(place: str, one: Message, say: Wording, more: str) -> Told:
    values, parts, at = dict(one.values), [], 0
    text = say.sentence(one)
    for found in _PLACE.finditer(text):
        if found[1] not in values:
            continue
        parts.append((text[at : found.start()], ""))
        origin = None if found[1] in NAMES else origin_text(place, one.text, found[1])
        value = values[found[1]]
        parts.append((say.value(value), "" if origin is None else f"{say.word(origin)} {more}".strip()))
        at = found.end()
    parts.append((text[at:], ""))
    return Told(part for part in parts if part[0])
