"""``mainwright giveback``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from mainwright.cli.statuses import ANSWER_IS_NO, DONE, FAULTY_INPUT
from mainwright.cli.terminal import answer_text, counted, fault_lines, paragraph, progress_line, say, table

if TYPE_CHECKING:
    from mainwright.plan.result import Plan
    from mainwright.prove.release import Release
    from mainwright.words.wording import Wording

__all__ = ["giveback"]


@click.command()
@click.argument("folder", type=click.Path(exists=True, file_okay=False, path_type=Path))
@click.option("--out", required=True, type=click.Path(file_okay=False, path_type=Path), help="Folder of the papers.")
@click.option("--language", type=click.Choice(["en", "de"]), help="Language of the letters; that of the job where nothing is said.")
@click.option("--json", "as_json", is_flag=True, help="Print giveback.json; messages go to standard error.")
@click.option("--strict", is_flag=True, help="Exit status 1 where it cannot be told when the main is given back.")
def giveback(*, folder: Path, out: Path, language: str | None, as_json: bool, strict: bool) -> int:
    """Say how and when the main of the job FOLDER is given back: giveback.json, giveback.pdf, and letters with their log in notices.pdf.

    What the job does not give stays empty and is asked for; no gate is skipped, and no floor of the document is undercut.
    """
    from mainwright import bootstrap

    planned, release = bootstrap.give_back(folder, out=out, language=language, progress=progress_line("Planning"))
    if planned.plan is None:
        for line in fault_lines(planned.read.faults):
            say(line)
        count = len(planned.read.faults)
        say(f"{counted(count, 'fault')}; nothing was written.")
        return FAULTY_INPUT
    if as_json:
        answer_text(bootstrap.give_back_text(planned.plan, release))
    else:
        _print(planned.plan, release)
    say(f"Written to {out}: {', '.join(planned.papers)}")
    found = planned.plan.return_to_service
    known = found is not None and all(one.give_back is not None for one in found.blocks)
    return ANSWER_IS_NO if strict and not known else DONE


def _hours(word: Wording, time: float | None) -> str:
    return "-" if time is None else word.measure(time, "hours", 0)


def _print(made: Plan, release: Release | None) -> None:
    from mainwright.words.wording import Wording

    word = Wording("en", made.job.info.units)
    found = made.return_to_service
    if found is None:
        click.echo("Nothing is lined: there is nothing to give back.")
        return
    rows = [
        (
            one.block.id,
            word.measure(one.block.start, "m", 1),
            word.measure(one.block.end, "m", 1),
            ", ".join(one.block.runs),
            _hours(word, one.cure.time),
            _hours(word, one.at_least),
            _hours(word, one.give_back),
        )
        for one in found.blocks
    ]
    heads = ("block", f"from {word.unit('m')}", f"to {word.unit('m')}", "runs", "fill from h", "at least h", "given back h")
    for line in table(heads, rows, right="lrrlrrr"):
        click.echo(line)
    click.echo("\nHours count from the closing of the last ends of a block; working hours are not reckoned.")
    for act, title in ((True, "To do"), (False, "To know")):
        texts = [word.word(one.text) for one in found.told if one.act == act]
        if texts:
            click.echo(f"\n{title}")
        for text in texts:
            click.echo(paragraph(text, first="  ", rest="    "))
    if release is not None:
        click.echo("\nRelease for use")
        for one in release.said:
            click.echo(paragraph(word.word(one), first="  ", rest="    "))
    click.echo()
    click.echo(
        paragraph(
            "No relined main and no temporary main is used before its hygiene is proved. The local code, the health authority and licensed practice come first."
        )
    )
