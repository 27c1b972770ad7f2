"""Each row of the main as it would be lined."""

from collections.abc import Sequence

from mainwright.plan.host import Host
from mainwright.plan.result import LinedStretch, Run
from mainwright.science.bore.volume import deposit_volume_by_length

__all__ = ["lined_stretches"]


def lined_stretches(host: Host, runs: Sequence[Run]) -> tuple[LinedStretch, ...]:
    """Return the rows of the main with their lining.

    Parameters
    ----------
    host : Host
        The main, resolved. [-]
    runs : sequence of Run
        What would be lined. [-]

    Returns
    -------
    tuple of LinedStretch
        The aim is the greatest of the runs in the stretch, None where there is none.
    """
    found = []
    for stretch in host.stretches:
        aims = [run.aim for run in runs if run.start < stretch.end and run.end > stretch.start]
        aim = max(aims, default=None)
        deposit = stretch.row.deposit
        found.append(
            LinedStretch(
                start=stretch.start,
                end=stretch.end,
                dn=stretch.dn,
                bore_clean=stretch.bore,
                bore_source=stretch.bore_source,
                nominal=stretch.lining.nominal,
                minimum=stretch.lining.minimum,
                mean_minimum=stretch.lining.mean_minimum,
                maximum=stretch.lining.maximum,
                aim=aim,
                bore_lined=None if aim is None else stretch.bore - 2.0 * aim,
                deposits=None if deposit is None else deposit_volume_by_length(bore=stretch.bore, thickness=deposit),
                document=stretch.lining.document,
            )
        )
    return tuple(found)
