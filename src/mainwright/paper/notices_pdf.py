"""The letters to customers, one for each street and need, and the log that says who was told: ``notices.pdf``."""

from typing import Final

from mainwright import __version__
from mainwright.figures.street_strip import street_strip
from mainwright.paper.pen import DASH
from mainwright.paper.typeset import typeset
from mainwright.plan.result import Plan
from mainwright.plan.result_giving_back import Notice, ReturnToService
from mainwright.standards.published import value
from mainwright.words.message import Message, Quantity, message
from mainwright.words.wording import Wording

__all__ = ["letter_pages", "render_notices"]

_NEEDS: Final[dict[str, tuple[Message, ...]]] = {
    "dialysis": (
        message("Dialysis: speak with your clinic before this work begins. Fresh cement mortar can bring aluminium and a high pH into the water; both are dangerous in dialysis."),
        message("Use no tap water for dialysis from the day of the change until your clinic has tested the water and has said so in writing, also when the water looks and tastes as ever."),
        message("Call us if you have heard nothing from your clinic a week before the day."),
    ),
    "hospital": (
        message("Name one person who runs the water of the house and can be reached day and night; agree with us the hour of each change."),
        message("Dialysis, sterilising, laboratory and boilers: each is told by the house before every change. Fresh mortar can bring aluminium and a high pH for weeks."),
        message("After the change all taps are run, and the house takes its own samples."),
    ),
    "school": (
        message("The person who runs the water of the house is told of each change; fountains and kitchen stay shut on that day."),
        message("Before the school opens again each tap is run until the water is cold and clear."),
    ),
    "shop": (message("If you prepare food or use water in your trade, tell us when the water may be off; machines that take water are shut before the change."),),
    "works": (message("Boilers, cooling and processes that take water: tell us what they bear. The pressure of the temporary pipe is less, and the pH after the work can be high for weeks."),),
    "farm": (message("Animals need water at all hours: keep a day's store. Give fish and milk rooms no water of the first weeks without asking us."),),
    "fire_line": (message("The fire line is without water while its block is closed: tell your insurer and the fire brigade, and keep another means ready."),),
    "dwelling": (),
    "unknown": (message("We do not know what the water is used for here. If anybody in the house is on dialysis or ill, or if you use water in a trade, call us now."),),
}  # fmt: skip
"""What is said besides, by need."""


def _letter(plan: Plan, found: ReturnToService, notice: Notice, say: Wording) -> dict[str, object]:
    info = plan.job.info
    block = next(one for one in found.blocks if one.block.id == notice.block)
    street = notice.street or say.word(message("the street at {start} to {end}", start=Quantity(notice.start, "m", 0), end=Quantity(notice.end, "m", 0)))  # fmt: skip
    when = DASH if notice.closing is None else say.day(notice.closing)
    back = None if notice.back is None else say.day(notice.back)
    paragraphs = [
        message(
            "The water main in your street is old. It stays in the ground, is cleaned from the inside and lined with cement mortar. From {when} at the earliest your water comes "
            "through a temporary pipe on the ground, until the main is released again.",
            when=when,
        ),
        message("The main can be back on {back} at the earliest; we tell you the day. It is not used before samples have shown that its water is good.", back=back)
        if back is not None
        else message("We tell you the day on which the main is back. It is not used before samples have shown that its water is good."),
    ]  # fmt: skip
    needs = list(_NEEDS.get(notice.need, ()))
    if notice.lead:
        ph = Quantity(value("water", "lead_ph").value, "-", 1)
        needs.append(
            message(
                "Some service pipes here are of lead. Above pH {ph}, which fresh mortar can reach, lead dissolves: run the tap until the water is cold before you drink, use no standing water for infants, and let us take a sample.",
                ph=ph,
            )
        )  # fmt: skip
    steps = [
        message("On the day of each change the water is off for a while: store what you need, and keep all taps and machines shut."),
        message("Afterwards run the cold tap nearest to the meter until the water is clear and cold."),
        message("The temporary pipe is warm in sun and freezes in frost; do not open, move or drive over it but at the ramps."),
        message("For some weeks after the work the water can taste of cement and be alkaline: do not fill aquaria or ponds with it, and rinse your eyes and call us should it burn."),
        message("If anybody here is on dialysis, whatever this letter is about: tell us and your clinic now."),
    ]  # fmt: skip
    if notice.need == "dialysis":
        steps = steps[:-1]
    return {
        "from": info.client or say.text("Water supplier"),
        "work": f"{info.name}{', ' + info.reference if info.reference else ''}",
        "tell-by-name": say.text("Told at the latest"),
        "tell-by": DASH if notice.latest is None else say.day(notice.latest),
        "to-name": say.text("To"),
        "to": f"{street} · {say.code(notice.need)}",
        "refs": f"{say.text('Connections')}: {', '.join(notice.refs)}",
        "subject": say.text("Your water main is being renewed"),
        "paragraphs": [say.word(one) for one in paragraphs],
        "needs-title": say.text("Important for you"),
        "needs": [say.word(one) for one in needs],
        "steps": [say.word(one) for one in steps],
        "svg": street_strip(plan.job, notice, block.block, width=470.0, language=say.language, units=plan.job.info.units),
        "alt": say.text("The main from above with the connections of this letter."),
        "call": say.text("Questions, and what we must know, day and night:"),
        "draft": say.text("A proposal: the client and the health authority put in their number and their own words before it goes out."),
    }


def letter_pages(plan: Plan, *, language: str | None = None) -> dict[str, object] | None:
    """Return everything that the letters print, as their template takes it; None where nobody is to be told.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    language : str or None
        Of the letters; None takes that of the job. [-]

    Returns
    -------
    dict or None
        Log first, then a letter each.
    """
    found = plan.return_to_service
    if found is None or not found.notices:
        return None
    info = plan.job.info
    say = Wording(language or info.language, info.units, "\u00a0")
    heads = [
        say.text("Street"), say.text("Need"), say.text("Connections"), say.text("Tell by"), say.text("Off the main from"), say.text("Back not before"),
        say.text("Told on"), say.text("How, by whom"), say.text("Who heard it"), say.text("Told again before it is back"),
    ]  # fmt: skip
    rows = [
        [
            one.street or f"{say.quantity(one.start, 'm', 0)}–{say.quantity(one.end, 'm', 0)}",
            say.code(one.need),
            ", ".join(one.refs),
            DASH if one.latest is None else say.day(one.latest),
            DASH if one.closing is None else say.day(one.closing),
            DASH if one.back is None else say.day(one.back),
            "", "", "", "",
        ]
        for one in found.notices
    ]  # fmt: skip
    dated = (
        say.text("Days are worked back from the programme.")
        if found.programmed
        else say.text("There is no programme: days are worked back from one run a working day in order, which nobody can beat.")
    )
    note = f"{dated} {say.text('Dialysis patients are told whatever the water; a pipe record knows no home patient: ask the health authority and the clinics.')}"
    return {
        "language": say.language if say.language in ("en", "de") else "en",
        "title": f"{info.name}: {say.text('letters to customers')}",
        "author": info.client,
        "keywords": [info.reference, plan.job.revision],
        "footer": {
            "left": ", ".join(part for part in (info.reference, info.name) if part),
            "middle": f"{say.word(message('Revision {revision}', revision=plan.job.revision[:16]))} · Mainwright {__version__}",
            "page": say.text("Page"),
        },
        "log": {
            "title": say.text("Who is told, and who was"),
            "note": note,
            "heads": heads,
            "rows": rows,
            "widths": ["1.3fr", "auto", "2fr", "auto", "auto", "auto", "1fr", "1.3fr", "1.2fr", "1.2fr"],
        },
        "letters": [_letter(plan, found, one, say) for one in found.notices],
    }


def render_notices(plan: Plan, *, language: str | None = None) -> bytes | None:
    """Return the letters and their log as a PDF, None where nobody is to be told.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    language : str or None
        Of the letters; None takes that of the job. [-]

    Returns
    -------
    bytes or None
        The document, the same bytes for the same plan.
    """
    pages = letter_pages(plan, language=language)
    return None if pages is None else typeset("letters.typ", pages, day=plan.job.info.first_day)
