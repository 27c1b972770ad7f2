"""``mainwright take-in``."""

from pathlib import Path

import click

from mainwright.cli.statuses import DONE
from mainwright.cli.terminal import answer_json, fault_document, fault_lines, say, width

__all__ = ["take_in"]


@click.command("take-in")
@click.argument("table", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--mapping",
    required=True,
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Which column of the inventory is which of ours (TOML).",
)
@click.option("--out", required=True, type=click.Path(file_okay=False, path_type=Path), help="The job folder to make.")
@click.option("--main", metavar="ID", help="Which main, where the inventory holds several.")
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON; messages go to standard error.")
def take_in(*, table: Path, mapping: Path, out: Path, main: str | None, as_json: bool) -> int:
    """Make a job folder from TABLE: a CSV file (plain or .csv.gz), a sheet of a workbook or a GIS layer, and what the mapping names beside it.

    What could not be mapped is reported, and what the folder still lacks. Nothing is invented: the lining's thickness and its
    governing document have to be written by you, in job.toml or in the mapping.
    """
    from mainwright import bootstrap
    from mainwright.workflow.take_in_text import report_document, report_lines

    report, read = bootstrap.take_in(table=table, mapping=mapping, out=out, main=main)
    if as_json:
        answer_json(report_document(report) | {"folder": str(out), "still_to_do": [fault_document(fault) for fault in read.faults]})
        return DONE
    for line in report_lines(report, width=width()):
        click.echo(line)
    click.echo()
    if read.faults:
        click.echo(f"To be filled in before planning ({len(read.faults)})")
        for line in fault_lines(read.faults):
            click.echo(line)
        click.echo()
    say(f"Written: {out} (job folder and take_in.report.txt). Next: mainwright check {out}")
    return DONE
