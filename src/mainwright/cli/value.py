"""``mainwright value``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from mainwright.cli.statuses import ANSWER_IS_NO, DONE, FAULTY_INPUT
from mainwright.cli.terminal import answer_text, counted, fault_lines, paragraph, progress_line, say, table

if TYPE_CHECKING:
    from datetime import datetime

    from mainwright.prove.valuation import Valuation

__all__ = ["value"]


@click.command()
@click.argument("folder", type=click.Path(exists=True, file_okay=False, path_type=Path))
@click.option("--out", required=True, type=click.Path(file_okay=False, path_type=Path), help="Folder of the papers.")
@click.option(
    "--until",
    type=click.DateTime(["%Y-%m-%d"]),
    metavar="DATE",
    help="Last day that counts; records without a time then count for nothing.",
)
@click.option("--final", is_flag=True, help="Make the final account instead of an interim valuation.")
@click.option("--json", "as_json", is_flag=True, help="Print valuation.json; messages go to standard error.")
@click.option("--strict", is_flag=True, help="Exit status 1 where anything could be claimed and is not proven or has no rate.")
def value(*, folder: Path, out: Path, until: datetime | None, final: bool, as_json: bool, strict: bool) -> int:
    """Say what is owed for what FOLDER/records prove: valuation.json, valuation.pdf and valuation.xlsx.

    Every quantity in the sum points at its records. What lacks its proof or its rate is shown with the reason and is not in the sum.
    """
    from mainwright import bootstrap

    valued = bootstrap.value(folder, out=out, until=until.date() if until else None, final=final, progress=progress_line("Judging"))
    made = valued.valuation
    if made is None:
        for line in fault_lines(valued.read.faults):
            say(line)
        count = len(valued.read.faults)
        say(f"{counted(count, 'fault')}; nothing was written.")
        return FAULTY_INPUT
    if as_json:
        answer_text(bootstrap.valuation_text(made))
    else:
        _print(made)
    say(f"Written to {out}: {', '.join(valued.papers)}")
    return ANSWER_IS_NO if strict and made.held else DONE


def _print(made: Valuation) -> None:
    from mainwright.words.wording import Wording

    words, sums, currency = Wording("en", made.job.info.units), made.sums, made.job.info.currency
    rows = [
        ("measured", f"{sums.measured:,.2f}"),
        ("extras", f"{sums.extras:,.2f}"),
        ("kept back", f"{sums.released - sums.retention:,.2f}"),
        ("paid", f"{-sums.paid:,.2f}"),
        ("due", f"{sums.due:,.2f}"),
    ]
    for line in table(("", currency or "amount"), rows, right="lr"):
        click.echo(line)
    if made.held:
        click.echo("\nNot in the sum")
    for one in made.held:
        amount = "no rate" if one.amount is None else f"{one.amount:,.2f}"
        why = "; ".join(words.word(text) for text in one.why)
        click.echo(paragraph(f"{words.word(one.text)} ({amount}): {why}", first="  ", rest="    "))
    if made.notes:
        click.echo("\nTo know before it leaves the office")
    for note in made.notes:
        click.echo(paragraph(words.word(note), first="  ", rest="    "))
