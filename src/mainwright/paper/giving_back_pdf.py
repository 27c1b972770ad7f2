"""Giving back alone on paper, and as JSON: ``giveback.pdf`` and ``giveback.json``."""

import json
from collections.abc import Callable

from mainwright import __version__
from mainwright.paper.blocks import Block, box, heading, listing, sign
from mainwright.paper.end_pages import source_pages
from mainwright.paper.giving_back_json import giving_back_document
from mainwright.paper.giving_back_pages import giving_back_pages
from mainwright.paper.pen import Pen, pen_for
from mainwright.paper.proof_parts import signing_document
from mainwright.paper.signature_blocks import signature_blocks
from mainwright.paper.summary import cover
from mainwright.paper.typeset import typeset
from mainwright.plan.result import Plan
from mainwright.prove.release import Release
from mainwright.words.message import Message, message

__all__ = ["giving_back_json", "giving_back_paper", "render_giving_back"]

_Word = Callable[[Message], str]


def giving_back_json(plan: Plan, *, word: _Word, release: Release | None = None) -> bytes:
    """Return the bytes of ``giveback.json``: the section of the plan with what must be known of it.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    word : callable
        Words a message in the language and units of the job. [-]
    release : Release or None
        Who released the main, by the records. [-]

    Returns
    -------
    bytes
        UTF-8, indented, with a newline at the end.
    """
    found = plan.return_to_service
    document = {
        "mainwright": __version__,
        "revision": plan.job.revision,
        "warnings": []
        if found is None
        else [{"code": one.code, "text": word(one.text), "severity": "act" if one.act else "note"} for one in found.told],
        "release": None
        if release is None
        else {
            "verdict": release.verdict,
            "may_be_used": release.in_use,
            "said": [word(one) for one in release.said],
            **signing_document(release.signing, word),
        },
        "return_to_service": giving_back_document(found, word),
    }
    return (json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode("utf-8")


def _summary(plan: Plan, pen: Pen) -> list[Block]:
    found = plan.return_to_service
    if found is None:
        return [listing([pen.say.text("Nothing is lined: there is nothing to give back.")])]
    return [listing([pen.say.word(one.text) for one in found.told])] if found.told else []


def _release(plan: Plan, release: Release | None, pen: Pen) -> list[Block]:
    """Return who released the main, and lines to sign on where nobody has."""
    say = pen.say
    if release is None:
        return []
    blocks: list[Block] = [
        heading(say.text("Release for use")),
        box("note" if release.verdict == "released" else "act", "", [say.word(one) for one in release.said]),
    ]
    if release.signing.signatures:
        blocks += signature_blocks(release.signing, plan.job.info.time_zone, pen)
    if not release.in_use:
        blocks.append(sign([say.text("released or refused, and why"), say.text("for the client"), say.text("day, hour")]))
    return blocks


def giving_back_paper(plan: Plan, release: Release | None = None) -> dict[str, object]:
    """Return everything that the paper prints, as the template takes it.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    release : Release or None
        Who released the main, by the records. [-]

    Returns
    -------
    dict
        Texts, tables and figures in their order.
    """
    pen, info = pen_for(plan), plan.job.info
    pen.sources.clear()
    say = pen.say
    blocks = [*_release(plan, release, pen), *giving_back_pages(plan, pen)]
    return {
        "language": info.language if info.language in ("en", "de") else "en",
        "title": f"{info.name}: {say.text('Giving the main back')}",
        "author": info.client,
        "keywords": [info.reference, plan.job.revision],
        "footer": {
            "left": pen.joined((info.reference, info.name)),
            "middle": f"{say.word(message('Revision {revision}', revision=plan.job.revision[:16]))} · Mainwright {__version__}",
            "page": say.text("Page"),
        },
        "cover": cover(plan, pen) | {"title": info.name, "over": say.text("Giving the main back")},
        "contents": say.text("Contents"),
        "summary": _summary(plan, pen),
        "blocks": [*blocks, *source_pages(pen)],
        "runs": [],
    }


def render_giving_back(plan: Plan, *, release: Release | None = None) -> bytes:
    """Return giving back as a PDF, the same bytes for the same plan.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    release : Release or None
        Who released the main, by the records. [-]

    Returns
    -------
    bytes
        The document, tagged for screen readers.
    """
    return typeset("plan.typ", giving_back_paper(plan, release), day=plan.job.info.first_day)
