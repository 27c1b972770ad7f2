"""A valuation on paper: ``valuation.pdf``."""

from mainwright import __version__
from mainwright.paper.blocks import Block, heading, sign
from mainwright.paper.pen import DASH, Pen
from mainwright.paper.typeset import typeset
from mainwright.paper.valuation_pages import valuation_blocks, valuation_summary
from mainwright.prove.valuation import Valuation
from mainwright.words.message import message
from mainwright.words.wording import Wording

__all__ = ["render_valuation", "valuation_paper"]


def valuation_paper(made: Valuation) -> dict[str, object]:
    """Return everything that the paper prints, as the template takes it.

    Parameters
    ----------
    made : Valuation
        The valuation. [-]

    Returns
    -------
    dict
        Texts and tables in their order.
    """
    info = made.job.info
    pen = Pen(Wording(info.language, info.units, "\u00a0"), info.currency)
    say = pen.say
    name = say.text("Final account") if made.final else say.text("Interim valuation")
    facts = [
        (say.text("Client"), info.client or DASH),
        (say.text("Reference"), info.reference or DASH),
        (say.text("Until"), DASH if made.until is None else say.day(made.until)),
        (say.text("Revision of the job"), made.job.revision[:12]),
        (say.text("Revision of the records"), made.records[:12]),
    ]
    foot = message("Job {revision}, records {records}", revision=made.job.revision[:16], records=made.records[:16])
    blocks: list[Block] = [block for head, part in valuation_blocks(made, pen) for block in (heading(head), *part)]
    blocks.append(sign([say.text("For the contractor"), say.text("Measured together, for the client"), say.text("Day")]))
    return {
        "language": info.language if info.language in ("en", "de") else "en",
        "title": f"{info.name}: {name}",
        "author": info.client,
        "keywords": [info.reference, made.job.revision, made.records],
        "footer": {
            "left": pen.joined((info.reference, info.name)),
            "middle": f"{say.word(foot)} · Mainwright {__version__}",
            "page": say.text("Page"),
        },
        "cover": {"over": name, "title": info.name, "facts": [{"name": one, "value": value} for one, value in facts]},
        "contents": "",
        "summary": valuation_summary(made, pen),
        "blocks": blocks,
        "runs": [],
    }


def render_valuation(made: Valuation) -> bytes:
    """Return a valuation as a PDF, the same bytes for the same valuation.

    Parameters
    ----------
    made : Valuation
        The valuation. [-]

    Returns
    -------
    bytes
        The document, for the archive (PDF/A-2a) and tagged for screen readers (PDF/UA-1).
    """
    return typeset("plan.typ", valuation_paper(made), day=made.until or made.job.info.first_day, archive=True)
