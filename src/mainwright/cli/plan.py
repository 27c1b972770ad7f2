"""``mainwright plan``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from mainwright.cli.statuses import ANSWER_IS_NO, DONE, FAULTY_INPUT
from mainwright.cli.terminal import answer_text, counted, fault_lines, paragraph, progress_line, say

if TYPE_CHECKING:
    from mainwright.plan.result import Plan
    from mainwright.workflow.planning import Planned

__all__ = ["plan", "print_plan"]


@click.command()
@click.argument("folder", type=click.Path(exists=True, file_okay=False, path_type=Path))
@click.option("--out", required=True, type=click.Path(file_okay=False, path_type=Path), help="Folder of the papers.")
@click.option(
    "--issued",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    metavar="PLAN.JSON",
    help="The plan that was issued: what FOLDER/records says is done is frozen, and ids stay with what stands.",
)
@click.option("--json", "as_json", is_flag=True, help="Print plan.json; messages go to standard error.")
@click.option("--strict", is_flag=True, help="Exit status 1 where no layout keeps all limits.")
def plan(*, folder: Path, out: Path, issued: Path | None, as_json: bool, strict: bool) -> int:
    """Make the plan of the job FOLDER, and its papers: plan.json, plan.pdf, bill.xlsx, and openings.geojson where there is a map.

    Nothing is written where the folder has faults. Papers of an earlier plan in the same place are replaced; other files stay.
    """
    from mainwright import bootstrap

    planned = bootstrap.plan(folder, out=out, issued=issued, progress=progress_line("Planning"), writing=progress_line("Writing"))
    if planned.plan is None:
        return _faulty(planned)
    for line in fault_lines(planned.read.warnings):
        say(line)
    if issued is None and (folder / "records").is_dir():
        say(f"{folder / 'records'} is there, and was not looked at: records count with --issued PLAN.JSON only.")
    if as_json:
        answer_text(bootstrap.plan_text(planned.plan))
    else:
        print_plan(planned.plan)
    say(f"Written to {out}: {', '.join(planned.papers)}")
    return ANSWER_IS_NO if strict and planned.plan.layout.total_cost is None else DONE


def _faulty(planned: Planned) -> int:
    for line in fault_lines(planned.read.faults):
        say(line)
    count = len(planned.read.faults)
    say(f"{counted(count, 'fault')}; nothing was written.")
    return FAULTY_INPUT


def print_plan(made: Plan, *, short: bool = False) -> None:
    """Print what was decided; `short` leaves out runs and notes."""
    from mainwright.cli import plan_lines

    for line in plan_lines.decision_lines(made):
        click.echo(line)
    parts: list[tuple[str, list[str]]] = []
    if not short:
        parts.append(("Runs", plan_lines.run_lines(made) if made.runs else []))
    if made.changes:
        wording = plan_lines.wording_of(made)
        parts.append(("Changed against the issued plan", ["  " + wording.word(change.text) for change in made.changes]))
    parts.append(("Before anything else", plan_lines.warning_lines(made, ("stop",))))
    if not short:
        parts.append(("Warnings", plan_lines.warning_lines(made, ("act", "note"))))
    for head, lines in parts:
        if lines:
            click.echo(f"\n{head}")
            for line in lines:
                click.echo(line)
    click.echo()
    told = (
        f"{counted(len(made.assumed), 'value is', 'values are')} assumed, {counted(len(made.ask_first), 'record is', 'records are')} worth a question, "
        f"{counted(len(made.contract_gaps), 'thing')} the contract must still say: see the papers, or `mainwright check`."
    )
    click.echo(paragraph(told))
