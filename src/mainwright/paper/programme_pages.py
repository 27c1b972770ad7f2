"""Pages of the programme: the answer first, bars by crew and by place, time against chainage, permits with what lateness costs, the critical path."""

from datetime import date
from typing import Literal

from mainwright.figures.programme_bars import programme_bars
from mainwright.figures.programme_parts import kind_text
from mainwright.figures.programme_places import programme_places
from mainwright.figures.time_chainage import time_chainage
from mainwright.paper.blocks import Block, Cell, bold, figure, heading, landscape, paragraph, table
from mainwright.paper.origin_pages import origin_note
from mainwright.paper.pen import DASH, Pen
from mainwright.plan.result import Plan
from mainwright.plan.timetable import Activity, PermitUse, Programme, Waiting
from mainwright.words.message import message

__all__ = ["Bars", "activities", "answer", "bars", "chainage", "permits", "programme_pages"]

Bars = Literal["crew", "place"]

_WIDTH = 510.0
_TURNED = (760.0, 455.0)
_PLACES = 488.0
"""Height of the bars by place: what a turned page leaves under its heading. [point]"""


def programme_pages(plan: Plan, pen: Pen, *, alone: bool = False) -> list[Block]:
    """Return the pages of the programme.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    pen : Pen
        Of the reader. [-]
    alone : bool
        Whether they are a paper of their own, whose head says the answer and whose contents name their parts; else they are a chapter. [-]

    Returns
    -------
    list of dict
        Nothing where there is no programme.
    """
    programme, say = plan.programme, pen.say
    if programme is None:
        return []
    level = 1 if alone else 2
    head = [heading(say.text("Programme by crew"))] if alone else [heading(say.text("Programme")), paragraph(answer(programme, pen))]
    placed = bars(programme, pen, by="place")
    turned = [
        landscape(
            str(one["svg"]),
            str(one["alt"]),
            _numbered(say.text("Programme by place"), number, len(placed)),
            first=alone and number == 1,
        )
        for number, one in enumerate(placed, start=1)
    ]
    return [
        *head,
        *bars(programme, pen, by="crew"),
        *origin_note(plan, pen, ("crews", "outputs")),
        *permits(programme, pen, level=level),
        *turned,
        chainage(plan, programme, pen, first=alone),
        *activities(programme, pen, level=level),
    ]


def _numbered(title: str, number: int, of: int) -> str:
    return f"{title} {number}/{of}" if of > 1 else title


def bars(programme: Programme, pen: Pen, *, by: Bars) -> list[Block]:
    """Return the bars of every activity and wait: one picture by crew, as many as the rows ask by place.

    Parameters
    ----------
    programme : Programme
        The programme. [-]
    pen : Pen
        Of the reader. [-]
    by : str
        ``crew`` or ``place``. [-]

    Returns
    -------
    list of dict
        Figures.
    """
    say = pen.say
    if by == "crew":
        alt = say.text("Bars of every activity by crew; the dates stand in the table of activities.")
        return [figure(programme_bars(programme, width=_WIDTH, language=say.language), alt)]
    alt = say.text("Bars of every activity by block, run and opening; the dates stand in the table of activities.")
    drawn = programme_places(programme, width=_TURNED[0], height=_PLACES, language=say.language, units=say.units)
    return [figure(one, alt) for one in drawn]


def chainage(plan: Plan, programme: Programme, pen: Pen, *, first: bool = False) -> Block:
    """Return the diagram of time against chainage, which fills a page; ``first`` names it among the contents."""
    say, main = pen.say, plan.job.main
    drawn = time_chainage(
        programme,
        start=main[0].start,
        end=main[-1].end,
        width=_TURNED[0],
        height=_TURNED[1],
        language=say.language,
        units=say.units,
    )
    alt = say.text("Where each activity goes on and when; the dates stand in the table.")
    return landscape(drawn, alt, say.text("Time against chainage"), first=first)


def answer(programme: Programme, pen: Pen) -> str:
    """Return the programme in one sentence with its numbers."""
    say = pen.say
    days = message(
        "The work begins on {first} and ends on {last}: {shifts} shifts.",
        first=say.day(programme.first_day),
        last=say.day(programme.last_day),
        shifts=say.number(programme.shifts, 1),
    )
    if programme.proven:
        sure = message("Nothing better exists with these crews, permits and outputs: proven.")
    else:
        sure = message(
            "No programme can be under {bound} shifts ({because}); whether there is a better one than this was not looked for to the end.",
            bound=say.number(programme.bound, 1),
            because=say.code(programme.because),
        )
    return f"{say.word(days)} {say.word(sure)}"


def permits(programme: Programme, pen: Pen, *, level: int = 2) -> list[Block]:
    """Return each permit with the work under it and what lateness costs; nothing where there is none."""
    say = pen.say
    if not programme.permits:
        return []
    money = f" [{pen.currency}]" if pen.currency else ""
    heads = [
        say.text("Permit"), say.text("Street"), say.text("Valid"), say.text("Work under it"), say.text("Spare working days"),
        say.text("Overrun costs") + money, say.text("One day more costs") + money,
    ]  # fmt: skip
    rows: list[list[Cell]] = [_permit_row(one, pen) for one in programme.permits]
    return [
        heading(say.text("Permits"), level),
        table(heads, rows, right=(4, 5, 6), widths=["auto", "1.5fr", "auto", "auto", "1.15fr", "1.15fr", "1fr"]),
    ]


def _permit_row(one: PermitUse, pen: Pen) -> list[Cell]:
    say = pen.say
    valid = _span(pen, one.first_day, one.last_day)
    work = _span(pen, one.first, one.last)
    spare = DASH if one.spare is None else say.number(one.spare, 0)
    return [
        one.ref,
        one.street or DASH,
        valid,
        work,
        bold(spare) if one.overrun else spare,
        pen.money(one.charge),
        pen.money(one.next_day_costs),
    ]


def _span(pen: Pen, first: date | None, last: date | None) -> str:
    days = [DASH if one is None else pen.say.day(one, short=True) for one in (first, last)]
    return DASH if days == [DASH, DASH] else f"{days[0]} {DASH} {days[1]}"


def activities(programme: Programme, pen: Pen, *, level: int = 2) -> list[Block]:
    """Return the table of every activity and wait."""
    say = pen.say
    heads = [
        say.text("Activity"),
        say.text("What"),
        say.text("Crew"),
        say.text("Begins"),
        say.text("Ends"),
        say.text("Float [shifts]"),
        say.text("Begins then because it"),
    ]
    rows: list[list[Cell]] = [_activity_row(one, pen) for one in programme.everything]
    return [
        heading(say.text("Activities"), level),
        paragraph(
            say.text("In the order in which they begin, with what has to be waited for; strong: the end of the programme moves with it."),
            quiet=True,
            leads=True,
        ),
        table(heads, rows, right=(5,), widths=["auto", "1.4fr", "1.1fr", "auto", "auto", "1fr", "2.6fr"]),
    ]


def _activity_row(one: Activity | Waiting, pen: Pen) -> list[Cell]:
    say = pen.say
    begin = f"{say.day(one.begin.date(), short=True)} {one.begin:%H:%M}"
    finish = f"{say.day(one.finish.date(), short=True)} {one.finish:%H:%M}"
    slack = say.text("done") if one.done else say.number(one.slack, 1)
    first: Cell = bold(one.id) if one.critical and not one.done else one.id
    # Nobody works while something is waited for.
    crew = one.crew if isinstance(one, Activity) else None
    return [first, kind_text(one.kind, say), crew or DASH, begin, finish, slack, say.word(one.because)]
