"""``mainwright check``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from mainwright.cli.statuses import DONE, FAULTY_INPUT
from mainwright.cli.terminal import answer_json, fault_document, fault_lines, progress_line

if TYPE_CHECKING:
    from mainwright.plan.result import Plan
    from mainwright.workflow.planning import Checked

__all__ = ["check"]


@click.command()
@click.argument("folder", type=click.Path(exists=True, file_okay=False, path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON; messages go to standard error.")
def check(*, folder: Path, as_json: bool) -> int:
    """Say what is wrong with the job FOLDER, what looks wrong, what is assumed, and what to find out first.

    Where nothing is wrong, the plan is tried: what it would assume, ask and warn of is told. Nothing is written.
    """
    from mainwright import bootstrap

    checked = bootstrap.check(folder, progress=progress_line("Checking"))
    if as_json:
        answer_json(_document(checked, None if checked.plan is None else bootstrap.plan_text(checked.plan)))
    else:
        _print(checked)
    return FAULTY_INPUT if checked.read.faults else DONE


def _document(checked: Checked, plan_text: str | None) -> dict[str, object]:
    import json

    read = checked.read
    tried = {} if plan_text is None else json.loads(plan_text)
    return {
        "faults": [fault_document(fault) for fault in read.faults],
        "looks_wrong": [fault_document(fault) for fault in read.warnings],
        "not_known": [{"file": one.file, "line": one.line, "name": one.name, "near": one.near} for one in read.unknown],
        "revision": tried.get("revision"),
        **{key: tried.get(key, []) for key in ("assumed", "warnings", "ask_first", "contract_gaps")},
    }


def _print(checked: Checked) -> None:
    read, made = checked.read, checked.plan
    if made is not None:
        _print_head(made)
    click.echo(f"Faults: {len(read.faults) or 'none'}")
    for line in fault_lines(read.faults):
        click.echo(line)
    parts = [("Looks wrong", fault_lines(read.warnings)), ("Not known, kept and not used", fault_lines(read.unknown))]
    if made is not None:
        from mainwright.cli import plan_lines

        parts += [
            ("The plan would warn", plan_lines.warning_lines(made)),
            ("Assumed, because nobody said otherwise", plan_lines.assumed_lines(made)),
            ("To find out first", plan_lines.ask_lines(made)),
            ("The contract must still say", plan_lines.contract_lines(made)),
        ]
    for head, lines in parts:
        if lines:
            click.echo(f"\n{head}")
            for line in lines:
                click.echo(line)


def _print_head(made: Plan) -> None:
    from mainwright.cli.plan_lines import decision_lines

    click.echo(decision_lines(made)[0])
    click.echo(f"Revision: {made.job.revision}")
