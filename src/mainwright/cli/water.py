"""``mainwright water``."""

from pathlib import Path

import click

from mainwright.cli.statuses import DONE, FAULTY_INPUT
from mainwright.cli.terminal import answer_json, fault_lines, paragraph, say

__all__ = ["water"]


@click.command()
@click.argument("table", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--out", required=True, type=click.Path(dir_okay=False, path_type=Path), help="The CSV file of the answers.")
@click.option("--lime-mmol-l", type=click.FloatRange(0, 100), metavar="MMOL_L", help="Also the pH after so much Ca(OH)2 has dissolved.")
@click.option(
    "--contact-hours", type=click.FloatRange(0, 10_000, min_open=True), default=1.0, show_default=True, help="Stay in the lined main."
)
@click.option("--bore-mm", type=click.FloatRange(10, 5000), default=100.0, show_default=True, help="Bore of the lined main.")
@click.option("--json", "as_json", is_flag=True, help="Print the answers as JSON; messages go to standard error.")
def water(*, table: Path, out: Path, lime_mmol_l: float | None, contact_hours: float, bore_mm: float, as_json: bool) -> int:
    """Judge the waters of a TABLE: calcite, ions, and how long fresh mortar keeps the pH over 9.5."""
    from mainwright import bootstrap

    faults, answers, remarks = bootstrap.water(table, out=out, lime=lime_mmol_l, contact_hours=contact_hours, bore_mm=bore_mm)
    for line in fault_lines(faults):
        say(line)
    if faults:
        say("Nothing was written.")
        return FAULTY_INPUT
    for line in remarks:
        say(line)
    if as_json:
        answer_json(answers)
    else:
        click.echo(paragraph(f"{len(answers)} waters judged; {len(remarks)} remarks. Written: {out}"))
        click.echo(
            paragraph(
                "The weeks are for plain Portland mortar, from few field trials between 10 and 55 mg/l: a factor of two to each side, five downward "
                "in very soft water. Dialysis patients are told whatever the alkalinity; dead ends are worse than any table."
            )
        )
    return DONE
