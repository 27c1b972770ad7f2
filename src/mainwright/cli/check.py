"""``mainwright check``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from mainwright.cli.statuses import DONE, FAULTY_INPUT
from mainwright.cli.terminal import answer_json, fault_document, fault_lines, table

if TYPE_CHECKING:
    from mainwright.workflow.ports import JobRead

__all__ = ["check"]


@click.command()
@click.argument("folder", type=click.Path(exists=True, file_okay=False, path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON; messages go to standard error.")
def check(*, folder: Path, as_json: bool) -> int:
    """Say what is wrong with the job FOLDER, what looks wrong, what is assumed, and what to find out first."""
    from mainwright import bootstrap

    read = bootstrap.read_job(folder)
    if as_json:
        answer_json(_document(read))
    else:
        _print(read)
    return FAULTY_INPUT if read.faults else DONE


def _document(read: JobRead) -> dict[str, object]:
    return {
        "faults": [fault_document(fault) for fault in read.faults],
        "warnings": [fault_document(fault) for fault in read.warnings],
        "unknown": [{"file": one.file, "line": one.line, "name": one.name, "near": one.near} for one in read.unknown],
        "revision": None if read.job is None else read.job.revision,
        "assumed": [{"what": what, "value": value, "because": because} for what, value, because in _defaults(read)],
    }


def _defaults(read: JobRead) -> list[tuple[str, object, str]]:
    from mainwright.job.columns import find_key

    found: list[tuple[str, object, str]] = []
    for key in () if read.job is None else read.job.defaulted:
        column = find_key(key)
        if column is not None:
            found.append((key, column.default, column.origin))
    return found


def _print(read: JobRead) -> None:
    job = read.job
    if job is not None:
        length = job.main[-1].end - job.main[0].start
        click.echo(f"{job.info.name}: {length:.1f} m in {len(job.main)} stretches, revision {job.revision[:12]}")
    click.echo(f"Faults: {len(read.faults) or 'none'}")
    for line in fault_lines(read.faults):
        click.echo(line)
    if read.warnings:
        click.echo(f"\nLooks wrong ({len(read.warnings)})")
        for line in fault_lines(read.warnings):
            click.echo(line)
    if read.unknown:
        click.echo(f"\nNot known, kept and not used ({len(read.unknown)})")
        for line in fault_lines(read.unknown):
            click.echo(line)
    defaults = _defaults(read)
    if defaults:
        click.echo(f"\nAssumed, because nobody said otherwise ({len(defaults)})")
        for line in table(("value", "taken", "origin"), [(what, str(value), because) for what, value, because in defaults], right="lr"):
            click.echo(f"  {line}")
