"""``mainwright demo``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from mainwright.cli.plan import print_plan
from mainwright.cli.statuses import DONE, FAULTY_INPUT
from mainwright.cli.terminal import fault_lines, progress_line, say

if TYPE_CHECKING:
    from mainwright.plan.result import Plan

__all__ = ["demo"]

_LIVE_RUN: Final = "R01"
"""The run of the demo that is followed."""

_PAPERS: Final = {
    "plan.pdf": "the plan, with a run sheet for each run",
    "bill.xlsx": "the bill, with its sums",
    "programme.ics": "every activity, for a calendar",
    "openings.geojson": "the openings on the map",
    "plan.json": "every number, for other programs",
}

_PROOF: Final = {
    "handover.pdf": "the client's file: verdicts, thickness along each run, what is missing",
    "as_built.gpkg": "the lining as it lies, for the client's GIS",
    "proof.json": "every verdict, for other programs",
}


@click.command()
@click.option("--once", is_flag=True, help="Make it and end, without the pages.")
@click.option("--live", is_flag=True, help="Follow the demo's run with a simulated rig instead of making papers.")
@click.option(
    "--speed", type=click.FloatRange(min=0.0, min_open=True), default=20.0, show_default=True, help="With --live: how many times as fast."
)
@click.option(
    "--port", default=8420, show_default=True, type=click.IntRange(0, 65535), help="Port of the pages; another one where it is taken."
)
@click.option("--out", default="demo-job", show_default=True, type=click.Path(file_okay=False, path_type=Path), help="Where to make it.")
@click.pass_context
def demo(context: click.Context, *, once: bool, live: bool, speed: float, port: int, out: Path) -> int:
    """Make the invented job of Marrowby and its papers, and the same job as it was lined with its proof; say in a few lines what came out, and serve its pages."""
    from mainwright import bootstrap

    folder, papers = out / "job", out / "papers"
    bootstrap.make_demo(folder)
    if live:
        return _live(folder, out, speed, port)
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
    if not _recorded(planned.plan, out):
        return FAULTY_INPUT
    if once:
        return DONE
    click.echo(f"\nNext      mainwright demo --live --out {out}   a run while it is lined, with a simulated rig\n")
    return _pages(context, out, port)


def _pages(context: click.Context, out: Path, port: int) -> int:
    """Serve the pages of the job as it was lined, out of a store beside it; a browser of this machine is asked to open them."""
    from mainwright.cli.serve import serve
    from mainwright.errors import InputError
    from mainwright.web.server import LOCAL, listen

    try:
        listen(LOCAL, port).close()
    except InputError:
        port = 0
    done: int = context.invoke(serve, folder=(out / "recorded",), store=str(out / "pages.sqlite"), port=port)
    return done


def _live(folder: Path, out: Path, speed: float, port: int) -> int:
    """Follow one run of the demo with the simulated rig, its store beside the job; started again, it goes on."""
    from mainwright import bootstrap
    from mainwright.cli.line import watch_run

    _, following = bootstrap.follow(
        folder, _LIVE_RUN, feed=bootstrap.RIG, speed=speed, author="demo", store=str(out / "store.sqlite"), out=out / "papers"
    )
    if following is None:
        return FAULTY_INPUT
    return watch_run(following, folder=folder, who="demo", port=port)


def _recorded(made: Plan, out: Path) -> bool:
    """Make the job as it was lined and its proof, and say what the proof found; False where the records have faults."""
    from mainwright import bootstrap

    recorded, proof = out / "recorded", out / "proof"
    bootstrap.make_recorded(recorded, made)
    proved = bootstrap.prove(recorded, out=proof, progress=progress_line("Judging"))
    if proved.proof is None:
        for line in fault_lines(proved.read.faults):
            say(line)
        return False
    click.echo(f"\nAs lined  {recorded}, with the records of a simulated rig, scans of one run and four planted defects")
    click.echo(f"Proof     {proof}")
    for name, what in _PROOF.items():
        click.echo(f"            {name.ljust(18)} {what}")
    for one in proved.proof.runs:
        for part in one.thickness.under_minimum if one.thickness else ():
            click.echo(f"  {one.run.id}: thin from {part.start:.0f} to {part.end:.0f} m")
        for gap in one.laid.gaps if one.laid else ():
            click.echo(f"  {one.run.id}: no readings from {gap.start:.0f} to {gap.end:.0f} m")
        for area in one.scan.thin if one.scan else ():
            click.echo(f"  {one.run.id}: thin area by the scans from {area.start:.1f} to {area.end:.1f} m")
    return True
