"""The steps of giving one block back, each with its gate, and when each can be done."""

from dataclasses import dataclass

from mainwright.job.giving_back import GivingBack
from mainwright.job.job import Job
from mainwright.plan.result_giving_back import Chlorination, CureTime, Flush, Step, TrialPressure
from mainwright.science.mortar.maturity import REFERENCE
from mainwright.words.message import Message, Quantity, message

__all__ = ["Durations", "steps_of_block"]


@dataclass(frozen=True, slots=True)
class Durations:
    """What the steps of one block take. [s]; None = not known."""

    cure: CureTime
    fill: float
    test: TrialPressure
    flush: Flush | None
    chlorine: Chlorination | None


@dataclass(frozen=True, slots=True)
class _Draft:
    code: str
    text: Message
    duration: float | None
    gate: Message | None
    missing: tuple[str, ...] = ()


def _missing(**given: object) -> tuple[str, ...]:
    return tuple(name.replace("__", ".") for name, found in given.items() if found is None)


def _cure(job: Job, cure: CureTime) -> _Draft:
    floor = Quantity(cure.floor or 0.0, "hours", 0)
    if cure.floor is None:
        text = message("Cure, ends closed and damp. The governing document's floor was not entered.")
    elif cure.quick is not None:
        text = message(
            "Quick return, a deviation from the floor of {floor}, signed by {who}: fill slowly from the low end, no velocity over 0.1 m/s and no "
            "pressure above the static head until the floor is past, watch what washes out, the pH and the colour, and look again by camera.",
            floor=floor,
            who=cure.quick,
        )
    elif cure.by_maturity is None:
        text = message("The wall is at {wall}: frost. Mortar does not harden; nothing is filled.", wall=Quantity(cure.temperature, "c", 0))
    else:
        text = message(
            "Cure, ends closed and damp: the document's floor of {floor}, and not before the mortar at {wall} is as old as that at {at} "
            "({mature}). The log of temperatures on the day replaces the forecast.",
            floor=floor,
            at=Quantity(REFERENCE, "c", 0),
            wall=Quantity(cure.temperature, "c", 0),
            mature=Quantity(cure.by_maturity, "hours", 0),
        )
    gate = message(
        "Released for filling by the supervisor: hours, log of temperatures, ends were never open; camera has passed and shows no fault over its limit."
    )
    return _Draft("cure", text, cure.time, gate, _missing(curing__fill_hours=cure.floor))


def _test(asked: GivingBack, test: TrialPressure) -> _Draft:
    if test.pressure is None:
        text = message("Pressure test: the client's written pressure for this old pipe is missing. Never a new pipe's rule.")
    else:
        text = message(
            "Pressure test at no more than {pressure}, the client's written limit for this pipe, by the rule {rule} and no other.",
            pressure=Quantity(test.pressure, "bar", 1),
            rule=test.rule or "-",
        )
    gate = message(
        "Test certificate signed, with the trace and the water pumped after: what falls off as the root of time is soaking, what goes on is a leak."
    )
    return _Draft(
        "pressure_test",
        text,
        None if test.pressure is None else test.time,
        gate,
        _missing(test__pressure_bar=test.pressure, giving_back__test_hours=asked.test_time),
    )


def _chlorinate(asked: GivingBack, chlorine: Chlorination | None) -> list[_Draft]:
    names = _missing(giving_back__chlorine_method=asked.chlorine_method, giving_back__chlorine_mg_l=asked.chlorine)
    if chlorine is None:
        text = message("Chlorinate and hold: method and dose were not entered. The health authority's rule decides.")
        return [_Draft("chlorinate", text, None, None, names)]
    if chlorine.method == "slug":
        text = message(
            "Chlorinate with a slug of {dose}, each point in it for the whole contact; line valves, hydrants and dead legs are worked as it passes.",
            dose=Quantity(chlorine.dose, "mg_l", 0),
        )
        gaps = _missing(giving_back__slug_share_pct=asked.slug_share, giving_back__chlorine_hours=asked.chlorine_time)
        gate = message("Residual at every point at the end of its contact, with time and name.")
        return [_Draft("chlorinate", text, chlorine.time, gate, gaps)]
    text = message(
        "Chlorinate with {dose} while filling with fresh water, dosed at the inlet in step with the flow; hydrants and branches opened until it smells.",
        dose=Quantity(chlorine.dose, "mg_l", 0),
    )
    hold = message("Hold closed for the contact; line valves and hydrants are worked meanwhile.")
    gate = (
        message("Residual at the far end at the end of the contact, with time and name.")
        if chlorine.residual is None
        else message(
            "Residual at the far end at least {residual}, with time and name; else again.", residual=Quantity(chlorine.residual, "mg_l", 0)
        )
    )
    return [
        _Draft("chlorinate", text, chlorine.time, None),
        _Draft("contact", hold, chlorine.contact, gate, _missing(giving_back__chlorine_hours=asked.chlorine_time)),
    ]


def _drafts(job: Job, known: Durations) -> list[_Draft]:
    asked = job.giving_back or GivingBack()
    flushing = None if known.flush is None else known.flush.time
    flush_gaps = _missing(giving_back__flush_velocity_m_s=asked.flush_velocity, giving_back__flush_changes=asked.flush_changes)
    rounds, interval = asked.sample_rounds, asked.sample_interval
    waiting = None if rounds is None else 0.0 if rounds == 1 else None if interval is None else (rounds - 1) * interval
    sample_gaps = _missing(giving_back__sample_rounds=rounds)
    if rounds is None or rounds > 1:
        sample_gaps += _missing(giving_back__sample_interval_hours=interval)
    outlet = asked.discharge_to
    return [
        _Draft(
            "ends_closed",
            message("The ends of the last run of the block are closed at once and kept damp."),
            0.0,
            message("Signed with the minute at which the last end was closed: everything counts from it."),
        ),
        _cure(job, known.cure),
        _Draft(
            "fill",
            message("Fittings set and closed, what was cut in swabbed with chlorine; fill slowly from the low end, air out at the high points."),
            known.fill,
            message("Ends anchored against thrust, valves to the live side locked, connections still closed."),
        ),
        _Draft(
            "soak",
            message("Soak under no more than working pressure: dry mortar drinks, and a test before it is full shows a leak that is none."),
            asked.soak,
            None,
            _missing(giving_back__soak_hours=asked.soak),
        ),
        _test(asked, known.test),
        _Draft(
            "flush",
            message("Flush before the chlorine: it takes out lime that would weaken it.")
            if outlet is None
            else message("Flush before the chlorine: it takes out lime that would weaken it. Water goes to: {outlet}.", outlet=outlet),
            flushing,
            message("Water clear, and its pH as it comes in within half a unit: read and noted."),
            flush_gaps,
        ),
        *_chlorinate(asked, known.chlorine),
        _Draft(
            "neutralise",
            message("Flush out the chlorine, neutralised before it leaves the site, its pH told to whoever takes it; no chlorine to a stream or a drain without leave."),
            flushing,
            message("Chlorine at the outlet none that can be measured, and pH within what the leave allows: read each quarter of an hour."),
            flush_gaps,
        ),
        _Draft(
            "samples",
            message("Samples at the far end, at each branch and on the way: bacteria, turbidity, chlorine, pH; with fresh mortar aluminium too."),
            waiting,
            None,
            sample_gaps,
        ),
        _Draft(
            "laboratory",
            message("The laboratory works; the main stays closed."),
            asked.laboratory,
            message("All rounds good, as the client's rule counts them. A failed one begins again with the flush."),
            _missing(giving_back__laboratory_hours=asked.laboratory),
        ),
        _Draft(
            "release",
            message("Released for use: hygiene proved, pH at the taps within what was agreed, dialysis and the other customers of need were told."),
            0.0,
            message("Signed by the client's responsible person, or refused. No relined main and no temporary one is used before."),
        ),
    ]  # fmt: skip


def steps_of_block(job: Job, known: Durations) -> tuple[Step, ...]:
    """Return the steps of giving a block back, one after the other.

    Parameters
    ----------
    job : Job
        The job. [-]
    known : Durations
        What the steps take. [-]

    Returns
    -------
    tuple of Step
        From the closing of the last ends to the release. After a step whose duration is not known no time is told, only the least.
        Each waits for the one before: all are critical.
    """
    found = []
    clock: float | None = 0.0
    least = 0.0
    for draft in _drafts(job, known):
        start = clock
        clock = None if clock is None or draft.duration is None else clock + draft.duration
        least += draft.duration or 0.0
        found.append(
            Step(
                code=draft.code,
                text=draft.text,
                duration=draft.duration,
                start=start,
                finish=clock,
                at_least=least,
                gate=draft.gate,
                missing=draft.missing if draft.duration is None else (),
                critical=True,
            )
        )
    return tuple(found)
