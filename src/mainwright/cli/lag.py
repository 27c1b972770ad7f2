"""``mainwright lag``."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from mainwright.cli.statuses import ANSWER_IS_NO, DONE
from mainwright.cli.terminal import answer_json

if TYPE_CHECKING:
    from mainwright.line.hose_lag import HoseLags

__all__ = ["lag"]


@click.command()
@click.argument("job")
@click.argument("run")
@click.option("--coat", default=1, show_default=True, type=click.IntRange(1), help="Of the run.")
@click.option(
    "--part", default=1, show_default=True, type=click.IntRange(1), help="Of the run: one that was split goes on as its next part."
)
@click.option("--store", help="Path or postgresql:// URL of the store; else MAINWRIGHT_STORE, else that of this user.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
@click.option("--strict", is_flag=True, help="Exit status 1 where the run shows no constant.")
def lag(*, job: str, run: str, coat: int, part: int, store: str | None, as_json: bool, strict: bool) -> int:
    """Fit the time constant of the hose from a followed RUN of JOB (its reference): what `line --lag-s` takes for the next run with the same hose.

    Each stop and start of the pump with pressure readings after it gives one; the median of those that explain the pressure counts.
    """
    from mainwright import bootstrap

    found = bootstrap.fit_hose(job, run, coat=coat, part=part, store=store)
    if as_json:
        answer_json(_document(found))
    else:
        _print(found)
    return ANSWER_IS_NO if strict and found.lag is None else DONE


def _document(found: HoseLags) -> dict[str, object]:
    return {
        "lag_s": found.lag,
        "turns": [
            {
                "kind": one.kind,
                "time": _when(one.time),
                "readings": one.readings,
                "lag_s": one.lag,
                "explained": one.explained,
                "counts": one.counts,
            }
            for one in found.turns
        ],
    }


def _when(time: float) -> str:
    return datetime.fromtimestamp(time, UTC).isoformat(timespec="seconds")


def _print(found: HoseLags) -> None:
    for one in found.turns:
        if one.lag is None or one.explained is None:
            told = "no approach to a level"
        else:
            told = f"{one.lag:.1f} s, explains {100.0 * one.explained:.0f} % of the pressure{'' if one.counts else ', does not count'}"
        click.echo(f"{_when(one.time)}  {one.kind:5}  {one.readings:4} readings  {told}")
    if found.lag is None:
        need = "a stop or start of the pump with six or more readings of flow and pressure in the minutes after it"
        click.echo(f"No constant of the hose can be told from this run: it takes {need}.")
    else:
        click.echo(f"Time constant of the hose: {found.lag:.1f} s. For the next run with it: --lag-s {found.lag:.1f}")
