"""``mainwright rings``."""

from pathlib import Path

import click

from mainwright.cli.statuses import DONE
from mainwright.cli.terminal import answer_json, paragraph, progress_line, say

__all__ = ["rings", "rings_file"]

_FILE = click.Path(exists=True, dir_okay=False, path_type=Path)


@click.command("rings")
@click.option("--cleaned", required=True, type=_FILE, help="Ring scan of the cleaned main (Parquet or Arrow; points as LAS, LAZ or CSV).")
@click.option("--lined", type=_FILE, help="Ring scan of the same length after lining.")
@click.option("--out", required=True, type=click.Path(file_okay=False, path_type=Path), help="Folder of the result.")
@click.option("--minimum-mm", type=float, metavar="MM", help="Thickness under which an area is thin.")
@click.option("--fixed", type=_FILE, help="Places of known chainage (CSV: pass, odometer_m, chainage_m).")
@click.option(
    "--gauges", type=_FILE, help="Spot readings (CSV: chainage_m, clock, thickness_mm), three or more round the clock at a place."
)
@click.option("--gauge-deviation-mm", type=float, metavar="MM", help="Standard deviation of a spot reading; needed with --gauges.")
@click.option("--bare", type=_FILE, help="Lengths that are bare metal in both scans (CSV: from_m, to_m, kind: pit or fitting).")
@click.option("--eccentricity-mm", type=float, metavar="MM", help="Standard deviation of the lining's eccentricity, where it is known.")
@click.option("--cluster", metavar="ADDRESS", help="Dask cluster that reduces the rings, as tcp://10.0.0.5:8786 (extra: cluster).")
@click.option("--json", "as_json", is_flag=True, help="Print the summary as JSON; messages go to standard error.")
def rings(
    *,
    cleaned: Path,
    lined: Path | None,
    out: Path,
    minimum_mm: float | None,
    fixed: Path | None,
    gauges: Path | None,
    gauge_deviation_mm: float | None,
    bare: Path | None,
    eccentricity_mm: float | None,
    cluster: str | None,
    as_json: bool,
) -> int:
    """Make bore, thickness along and round the main, and thin areas, from ring scans.

    With --cleaned alone the bore only. Stopped with Ctrl-C it goes on from there when it is called again.
    """
    from mainwright import bootstrap
    from mainwright.workflow.scan_text import summary_lines

    progress = progress_line("Reading rings")
    try:
        document, summary = bootstrap.rings(
            cleaned=cleaned,
            lined=lined,
            out=out,
            minimum_mm=minimum_mm,
            fixed=fixed,
            gauges=gauges,
            gauge_deviation_mm=gauge_deviation_mm,
            bare=bare,
            eccentricity_mm=eccentricity_mm,
            cluster=cluster,
            progress=progress,
        )
    except (click.Abort, KeyboardInterrupt):
        progress(1, 1)
        say(f"What was read is kept in {out}: the same command goes on from there.")
        raise
    if as_json:
        answer_json(document)
    else:
        for line in summary_lines(summary):
            click.echo(paragraph(line))
    say(f"Written: {out}")
    return DONE


@click.command("rings-file")
@click.argument("scan", type=_FILE)
@click.option(
    "--out",
    required=True,
    type=click.Path(dir_okay=False, path_type=Path),
    help="The new file; .arrow (quickest to read), .feather or .parquet say its layout.",
)
def rings_file(*, scan: Path, out: Path) -> int:
    """Write the rings of SCAN anew; no radius is changed.

    An Arrow file is read without unpacking: worth while where a scan is read again and again, or is a cloud of points.
    """
    from mainwright import bootstrap

    count = bootstrap.rings_file(scan, out=out, progress=progress_line("Writing rings"))
    say(f"Written: {out} ({count:,} rings)")
    return DONE
