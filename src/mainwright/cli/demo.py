"""``mainwright demo``."""

from pathlib import Path
from typing import Final

import click

from mainwright.cli.plan import print_plan
from mainwright.cli.statuses import DONE, FAULTY_INPUT
from mainwright.cli.terminal import fault_lines, progress_line, say

__all__ = ["demo"]

_PAPERS: Final = {
    "plan.pdf": "the plan, with a run sheet for each run",
    "bill.xlsx": "the bill, with its sums",
    "openings.geojson": "the openings on the map",
    "plan.json": "every number, for other programs",
}


@click.command()
@click.option("--once", is_flag=True, help="End after the papers. As long as there are no pages to serve, this changes nothing.")
@click.option("--out", default="demo-job", show_default=True, type=click.Path(file_okay=False, path_type=Path), help="Where to make it.")
def demo(*, once: bool, out: Path) -> int:
    """Make the invented job of Marrowby and its papers, and say in a few lines what was decided."""
    from mainwright import bootstrap

    folder, papers = out / "job", out / "papers"
    bootstrap.make_demo(folder)
    planned = bootstrap.plan(folder, out=papers, progress=progress_line("Planning"), writing=progress_line("Writing"))
    if planned.plan is None:
        for line in fault_lines(planned.read.faults):
            say(line)
        return FAULTY_INPUT
    print_plan(planned.plan, short=True)
    click.echo(f"\nThe job   {folder}")
    click.echo(f"Papers    {papers}")
    for name, what in _PAPERS.items():
        if name in planned.papers:
            click.echo(f"            {name.ljust(18)} {what}")
    if not once:
        click.echo("Pages for the browser are not built yet: this ends here.")
    return DONE
