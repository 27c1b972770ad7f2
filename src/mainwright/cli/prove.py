"""``mainwright prove``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from mainwright.cli.statuses import ANSWER_IS_NO, DONE, FAULTY_INPUT
from mainwright.cli.terminal import answer_text, counted, fault_lines, paragraph, progress_line, say, table

if TYPE_CHECKING:
    from mainwright.prove.proof import Proof, RunProof

__all__ = ["prove"]

_VERDICTS: Final = {"meets": "meets what was entered", "does_not_meet": "does not meet it", "incomplete": "incomplete"}


@click.command()
@click.argument("folder", type=click.Path(exists=True, file_okay=False, path_type=Path))
@click.option("--out", required=True, type=click.Path(file_okay=False, path_type=Path), help="Folder of the papers.")
@click.option("--json", "as_json", is_flag=True, help="Print proof.json; messages go to standard error.")
@click.option("--strict", is_flag=True, help="Exit status 1 where a run does not meet what was entered, or is incomplete.")
def prove(*, folder: Path, out: Path, as_json: bool, strict: bool) -> int:
    """Say what FOLDER/records prove, run by run: proof.json, handover.pdf, and thickness_RUN.csv for each run with readings.

    The plan that was followed is FOLDER/plan.json; where there is none, the job is planned anew.
    """
    from mainwright import bootstrap

    proved = bootstrap.prove(folder, out=out, progress=progress_line("Judging"))
    if proved.proof is None:
        for line in fault_lines(proved.read.faults):
            say(line)
        count = len(proved.read.faults)
        say(f"{counted(count, 'fault')}; nothing was written.")
        return FAULTY_INPUT
    if as_json:
        answer_text(bootstrap.proof_text(proved.proof))
    else:
        _print(proved.proof)
    say(f"Written to {out}: {', '.join(proved.papers)}")
    good = all(one.verdict == "meets" for one in proved.proof.runs)
    return ANSWER_IS_NO if strict and not good else DONE


def _row(one: RunProof) -> tuple[str, ...]:
    thickness = one.thickness
    values = (
        ("-", "-", "-")
        if thickness is None
        else tuple(f"{1e3 * value:.1f}" for value in (thickness.mean, thickness.p05, thickness.minimum))
    )
    under = "-" if thickness is None else f"{sum(part.end - part.start for part in thickness.under_minimum):.1f}"
    return (one.run.id, f"{one.run.start:.1f}", f"{one.run.end:.1f}", *values, under, _VERDICTS[one.verdict])


def _print(made: Proof) -> None:
    from mainwright.words.wording import Wording

    say_ = Wording("en", made.job.info.units)
    heads = ("run", "from m", "to m", "mean mm", "5 % mm", "least mm", "under m", "verdict")
    for line in table(heads, [_row(one) for one in made.runs], right="lrrrrrrl"):
        click.echo(line)
    for title, texts in (("Why not", "because"), ("Missing", "missing")):
        told: dict[str, list[str]] = {}
        for one in made.runs:
            for text in getattr(one, texts):
                told.setdefault(say_.word(text), []).append(one.run.id)
        whole = [say_.word(text) for text in made.missing] if texts == "missing" else []
        if told or whole:
            click.echo(f"\n{title}")
        for text in whole:
            click.echo(paragraph(text, first="  the job: ", rest="    "))
        for text, runs in told.items():
            click.echo(paragraph(f"{', '.join(runs)}: {text}", first="  ", rest="    "))
    click.echo()
    click.echo(paragraph("A run meets the entered requirements or does not; acceptance is the client's signature."))
