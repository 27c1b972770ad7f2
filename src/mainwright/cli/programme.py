"""``mainwright programme``."""

from __future__ import annotations

import signal
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from mainwright.cli.statuses import ANSWER_IS_NO, DONE, FAULTY_INPUT
from mainwright.cli.terminal import answer_text, counted, fault_lines, paragraph, progress_line, say, table

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from types import FrameType

    from mainwright.plan.result import Plan
    from mainwright.plan.timetable import Programme

__all__ = ["programme"]


@click.command()
@click.argument("folder", type=click.Path(exists=True, file_okay=False, path_type=Path))
@click.option("--out", required=True, type=click.Path(file_okay=False, path_type=Path), help="Folder of the papers.")
@click.option(
    "--issued",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    metavar="PLAN.JSON",
    help="The plan that was issued: what FOLDER/records says is done stays, the rest sets out from its order, and what moves is told.",
)
@click.option(
    "--effort",
    type=click.FloatRange(min=0.0),
    default=10.0,
    show_default=True,
    metavar="SECONDS",
    help="How long to look for a better one.",
)
@click.option("--json", "as_json", is_flag=True, help="Print programme.json; messages go to standard error.")
@click.option("--strict", is_flag=True, help="Exit status 1 where there is no programme.")
def programme(*, folder: Path, out: Path, issued: Path | None, effort: float, as_json: bool, strict: bool) -> int:
    """Make the programme of the job FOLDER: programme.json, programme.pdf, and a calendar for everybody and for each crew.

    It is looked for until it is proven the best, or for the effort; Ctrl-C ends the search and keeps the best so far.
    """
    from mainwright import bootstrap

    with _enough() as enough:
        search = bootstrap.thorough(effort, progress=_told(), enough=enough)
        planned = bootstrap.plan(
            folder,
            out=out,
            issued=issued,
            search=search,
            programme_only=True,
            progress=progress_line("Planning"),
            writing=progress_line("Writing"),
        )
    if planned.plan is None:
        for line in fault_lines(planned.read.faults):
            say(line)
        count = len(planned.read.faults)
        say(f"{counted(count, 'fault')}; nothing was written.")
        return FAULTY_INPUT
    if as_json:
        answer_text(bootstrap.programme_text(planned.plan))
    else:
        _print(planned.plan)
    if planned.papers:
        say(f"Written to {out}: {', '.join(planned.papers)}")
    return ANSWER_IS_NO if strict and planned.plan.programme is None else DONE


@contextmanager
def _enough() -> Iterator[Callable[[], bool]]:
    """Take the first Ctrl-C as a wish for the best so far, the second as the end."""
    asked = False

    def ask(_number: int, _frame: FrameType | None) -> None:
        nonlocal asked
        if asked:
            raise KeyboardInterrupt
        asked = True
        say("Enough: the best so far is kept. Once more to end without it.")

    before = signal.signal(signal.SIGINT, ask)
    try:
        yield lambda: asked
    finally:
        signal.signal(signal.SIGINT, before)


def _told() -> Callable[[int, int], None]:
    """Tell the best so far and its bound on one line, where somebody looks."""
    import sys

    if not sys.stderr.isatty():
        return lambda weight, bound: None

    def show(weight: int, bound: int) -> None:
        gap = 0.0 if bound <= 0 else 100.0 * (weight - bound) / bound
        click.echo(f"\rLooking for a better programme: at most {gap:.1f} % from the best   ", nl=False, err=True)

    return show


def _print_permits(told: Programme, currency: str) -> None:
    rows = [
        [
            one.ref,
            "-" if one.last is None else one.last.isoformat(),
            "-" if one.last_day is None else one.last_day.isoformat(),
            "-" if one.spare is None else str(one.spare),
            "-" if one.charge is None else f"{one.charge:,.0f}",
            one.street or "",
        ]
        for one in told.permits
    ]
    if rows:
        click.echo("\nPermits")
        for line in table(["permit", "work to", "valid to", "spare days", f"overrun {currency}".strip(), "street"], rows, right="lllrrl"):
            click.echo(line)


def _print(made: Plan) -> None:
    from mainwright.cli import plan_lines

    wording = plan_lines.wording_of(made)
    told = made.programme
    if told is None:
        for warning in made.warnings:
            if warning.code == "no_programme":
                click.echo(paragraph(wording.word(warning.text)))
        return
    sure = "proven: nothing better exists" if told.proven else f"none can be under {told.bound:.1f} ({wording.code(told.because)})"
    click.echo(f"{wording.day(told.first_day)} to {wording.day(told.last_day)}: {told.shifts:.1f} shifts, {sure}")
    _print_permits(told, made.job.info.currency)
    click.echo("\nCritical")
    for one in told.activities:
        if one.critical:
            click.echo(f"  {one.begin:%Y-%m-%d %H:%M}  {one.id}  {one.crew or ''}".rstrip())
    if made.changes:
        click.echo("\nChanged against the issued plan")
        for change in made.changes:
            if change.subject == "programme":
                click.echo(paragraph(wording.word(change.text), first="  "))
