"""``mainwright import``, ``export`` and ``verify``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from mainwright.cli.statuses import ANSWER_IS_NO, DONE, FAULTY_INPUT
from mainwright.cli.terminal import answer_json, counted, fault_lines, progress_line, say
from mainwright.errors import NotFound

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mainwright.workflow.keeping import Kept
    from mainwright.workflow.store_ports import Carried, Report

__all__ = ["export_", "import_", "verify"]

_MOST_TOLD = 5
_STORE = click.option("--store", help="Path or postgresql:// URL of the store; else MAINWRIGHT_STORE, else that of this user.")


@click.command("import")
@click.argument("path", type=click.Path(exists=True, path_type=Path))
@_STORE
@click.option("--who", default="", help="Your name, for the record.")
@click.option("--replace", is_flag=True, help="Take records away, by further records, that are kept and that the folder has not.")
@click.option("--json", "as_json", is_flag=True, help="Print what became of it as JSON; messages go to standard error.")
def import_(*, path: Path, store: str | None, who: str, replace: bool, as_json: bool) -> int:
    """Take PATH into the store: a job folder as a revision with its records, or the file of a run.

    The same once more adds nothing. Where something else is kept already, nothing is added and it is said.
    """
    from mainwright import bootstrap
    from mainwright.errors import Conflict

    if path.is_file():
        if replace:
            raise click.UsageError("--replace is for a folder: a run is never replaced.")
        try:
            carried = bootstrap.import_run(path, store=store, author=who or bootstrap.user_name())
        except Conflict as error:
            say(f"Error: {error}")
            return FAULTY_INPUT
        _tell_run(carried, as_json=as_json)
        return DONE
    read, kept, left = bootstrap.import_job(
        path, store=store, author=who or bootstrap.user_name(), replace=replace, progress=progress_line("Keeping")
    )
    if kept is None:
        for line in fault_lines(read.faults):
            say(line)
        return FAULTY_INPUT
    _tell_job(kept, left, as_json=as_json)
    _tell_formulas(path)
    return DONE


def _tell_formulas(folder: Path) -> None:
    """Warn of cells that a spreadsheet would run; the files are as they were typed all the same."""
    from mainwright import bootstrap

    found = bootstrap.formulas_in(folder)
    if found:
        more = f" and {len(found) - _MOST_TOLD} more" if len(found) > _MOST_TOLD else ""
        say(f"Caution: a spreadsheet would take these cells of {folder} for formulas: {'; '.join(found[:_MOST_TOLD])}{more}.")


def _tell_run(carried: Carried, *, as_json: bool) -> None:
    key = carried.key
    if as_json:
        anchor = {"count": carried.anchor.count, "head": carried.anchor.head}
        answer_json({"job": key.job, "run": key.run, "coat": key.coat, "part": key.part, "added": carried.added, "anchor": anchor})
    say(f"Run {key.run} of job {key.job}: {counted(carried.added, 'entry', 'entries')} added; the file ends at {carried.anchor}.")
    if carried.longer_here:
        say("The store has more of this run than the file; that stays.")


def _tell_job(kept: Kept, left: Sequence[str], *, as_json: bool) -> None:
    revision = kept.revision
    if as_json:
        answer_json(
            {
                "job": revision.job,
                "revision": revision.revision,
                "number": revision.number,
                "new": kept.new,
                "records": {name: getattr(kept, name) for name in ("added", "corrected", "taken_away", "missing")},
                "left": list(left),
            }
        )
    state = "kept" if kept.new else "was kept already"
    more = f", {kept.corrected} of them corrections" if kept.corrected else ""
    gone = f", {kept.taken_away} take a former one away" if kept.taken_away else ""
    say(
        f"Job {revision.job}, revision {revision.revision[:16]} (number {revision.number}) {state}; {counted(kept.records, 'record')} added{more}{gone}."
    )
    if kept.missing:
        say(
            f"{counted(kept.missing, 'record is', 'records are')} kept that this folder has not; {'it stays' if kept.missing == 1 else 'they stay'} in force. With --replace {'it is' if kept.missing == 1 else 'they are'} taken away."
        )
    if left:
        say(f"Not taken in, keep the files: records/{', records/'.join(left)}")


@click.command("export")
@click.argument("job")
@click.argument("run", required=False)
@click.option("--out", required=True, type=click.Path(path_type=Path), help="Folder of the job, or file of the run.")
@click.option("--revision", help="First digits of a revision; else the latest.")
@click.option("--coat", default=1, show_default=True, type=click.IntRange(1), help="Of the run.")
@click.option(
    "--part", default=1, show_default=True, type=click.IntRange(1), help="Of the run: one that was split goes on as its next part."
)
@click.option(
    "--records",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder for what else is on record of the run: rows, scans, photographs, and their hashes.",
)
@_STORE
def export_(
    *, job: str, run: str | None, out: Path, revision: str | None, coat: int, part: int, records: Path | None, store: str | None
) -> int:
    """Give JOB (its reference) out of the store as a folder, or its RUN as one file, to carry it elsewhere."""
    from mainwright import bootstrap

    if run is not None:
        if records is not None:
            names = bootstrap.export_run_records(job, run, out=records, store=store, progress=progress_line("Writing files"))
            say(f"Written: {records} ({counted(len(names), 'file')})")
        try:
            count = bootstrap.export_run(job, run, coat=coat, part=part, out=out, store=store)
        except NotFound as error:
            if records is None:
                raise
            say(f"{error} {out} is not written.")
        else:
            say(f"Written: {out} ({counted(count, 'line')})")
        return DONE
    if records is not None:
        raise click.UsageError("--records goes with a RUN; the folder of a job has all its records.")
    kept = bootstrap.export_job(job, revision=revision, out=out, store=store)
    say(f"Written: {out}, revision {kept[:16]}")
    _tell_formulas(out)
    return DONE


@click.command()
@click.argument("place", required=False)
@click.option(
    "--anchor",
    "anchors",
    multiple=True,
    metavar="COUNT:HASH",
    help="Where a chain ended once, as it was printed; may be given more than once.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
@click.option("--strict", is_flag=True, help="Exit status 1 where a chain is broken.")
def verify(*, place: str | None, anchors: tuple[str, ...], as_json: bool, strict: bool) -> int:
    """Say whether anything in a store or in the file of a run was changed, lost, added or moved since it was kept.

    PLACE is the path or URL of a store, or a file that export wrote; else the store of this user.
    """
    from mainwright import bootstrap

    report = bootstrap.verify(place, anchors=anchors, progress=progress_line("Verifying"))
    if as_json:
        answer_json(_document(report))
    else:
        _print(report)
    return ANSWER_IS_NO if strict and not report.sound else DONE


def _document(report: Report) -> dict[str, object]:
    return {
        "place": report.place,
        "sound": report.sound,
        "broken": list(report.broken),
        "anchors": [{"anchor": anchor, "in": what} for anchor, what in report.anchors],
        "chains": [
            {
                "what": one.what,
                "kind": one.kind,
                "count": None if one.anchor is None else one.anchor.count,
                "head": None if one.anchor is None else one.anchor.head,
                "broken": list(one.broken),
            }
            for one in report.chains
        ],
    }


def _print(report: Report) -> None:
    for one in report.chains:
        end = "" if one.anchor is None else f"  {one.anchor}"
        click.echo(f"{'BROKEN' if one.broken else 'sound '}  {one.what}{end}")
        for text in one.broken:
            click.echo(f"        {text}")
    for text in report.broken:
        click.echo(f"BROKEN  {text}")
    for anchor, what in report.anchors:
        click.echo(
            f"BROKEN  no chain passes through {anchor}: what stood there is gone" if what is None else f"sound   {anchor} stands in {what}"
        )
    click.echo(f"{report.place}: {'nothing was changed' if report.sound else 'NOT as it was kept'}, {counted(len(report.chains), 'chain')}")
