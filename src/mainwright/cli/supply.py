"""``mainwright supply``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from mainwright.cli.statuses import ANSWER_IS_NO, DONE, FAULTY_INPUT
from mainwright.cli.terminal import answer_text, counted, fault_lines, paragraph, progress_line, say, table

if TYPE_CHECKING:
    from mainwright.plan.result import Plan

__all__ = ["supply"]


@click.command()
@click.argument("folder", type=click.Path(exists=True, file_okay=False, path_type=Path))
@click.option("--out", required=True, type=click.Path(file_okay=False, path_type=Path), help="Folder of the papers.")
@click.option("--json", "as_json", is_flag=True, help="Print supply.json; messages go to standard error.")
@click.option("--strict", is_flag=True, help="Exit status 1 where a customer stays without supply, or none was worked out.")
def supply(*, folder: Path, out: Path, as_json: bool, strict: bool) -> int:
    """Size the temporary supply of the job FOLDER from its connections, feeds and stock: supply.json and supply.pdf."""
    from mainwright import bootstrap

    planned = bootstrap.supply(folder, out=out, progress=progress_line("Planning"))
    if planned.plan is None:
        for line in fault_lines(planned.read.faults):
            say(line)
        count = len(planned.read.faults)
        say(f"{counted(count, 'fault')}; nothing was written.")
        return FAULTY_INPUT
    if as_json:
        answer_text(bootstrap.supply_text(planned.plan))
    else:
        _print(planned.plan)
    say(f"Written to {out}: {', '.join(planned.papers)}")
    found = planned.plan.supply
    served = found is not None and found.points is not None and not found.without
    return ANSWER_IS_NO if strict and not served else DONE


def _print(made: Plan) -> None:
    from mainwright.words.wording import Wording

    word = Wording("en", made.job.info.units)
    found = made.supply
    if found is None:
        return
    if found.points is not None:
        rows = [
            (one.item.replace("_", " "), one.size, word.measure(one.quantity, "m", 0) if one.unit == "m" else f"{one.quantity:g}")
            for one in found.parts
        ]
        for line in table(("part", "size", "quantity"), rows, right="llr"):
            click.echo(line)
        least = min((one for one in found.points if one.feeds), key=lambda one: one.pressure)
        peak = sum(one.demand for one in found.points)
        click.echo(
            f"\nPeak demand {word.quantity(peak, 'l_s', 1)} by {found.rule}; least pressure {word.quantity(least.pressure, 'bar', 2)} at {least.id}."
        )
        if found.cost is not None:
            click.echo(
                f"Pipes {found.cost:,.0f} {made.job.info.currency}, {'proven the cheapest' if found.exact else 'not proven the cheapest'}."
            )
    if found.without:
        click.echo("\nWithout supply")
    for gone in found.without or ():
        click.echo(paragraph(f"{gone.ref}: {word.word(gone.because)}", first="  ", rest="    "))
    for act, title in ((True, "To do"), (False, "To know")):
        texts = [word.word(text) for _, acts, text in found.warnings if acts == act]
        if texts:
            click.echo(f"\n{title}")
        for text in texts:
            click.echo(paragraph(text, first="  ", rest="    "))
    click.echo()
    click.echo(
        paragraph(
            "Nobody is cut off before the temporary pipe is flushed, disinfected, sampled and found fit. The utility's own rules come first."
        )
    )
