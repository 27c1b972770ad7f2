"""What the office of the invented job holds besides: sheets signed on site, extras with and without their proof, a payment that came."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Final

from mainwright.job.job import Job
from mainwright.plan.result import Run

__all__ = ["MONEY_HEADS", "money_log"]

MONEY_HEADS: Final = {
    "quantities.csv": "item,time,quantity,unit,from_m,to_m,ref,signed_by,time_signed,note,who",
    "extras.csv": "ref,time,kind,item,quantity,unit,rate,cause,instructed_by,instruction,signed_by,time_signed,photo,note,who",
    "payments.csv": "time,kind,amount,ref,note,who",
}
"""First rows of the files, in the order of the contract."""

_CLERK: Final = "clerk of works of Marrowby Waterworks"
_OFFICE: Final = "site office"


def _stamp(when: datetime) -> str:
    return when.isoformat(timespec="seconds")


def _surface(job: Job, chainage: float) -> str:
    return next((one.surface or "unknown" for one in job.ground if one.start <= chainage <= one.end and one.dig is not False), "unknown")


def money_log(files: dict[str, list[str]], job: Job, runs: Sequence[Run], *, first: datetime, last: datetime) -> None:
    """Write down what is measured and signed on site, what comes extra, and what was paid.

    Parameters
    ----------
    files : dict
        Rows of each file by its name; rows are added. One opening nobody has signed for, one sheet of daywork was signed two days late. [-]
    job : Job
        The invented job. [-]
    runs : sequence of Run
        Of its plan. [-]
    first, last : datetime
        When the first run began, and when the last was out. [-]
    """
    add = files["quantities.csv"].append
    places = sorted({place for run in runs for place in (run.start, run.end)})
    day = first - timedelta(days=12)
    for number, place in enumerate(places, start=1):
        when = day + timedelta(days=(number - 1) // 2, hours=7)
        signed = f"{_CLERK},{_stamp(when + timedelta(hours=1))}" if number != len(places) - 1 else ","
        add(f"opening_{_surface(job, place)},{_stamp(when)},1,each,{place:g},,sheet O{number},{signed},,{_OFFICE}")
    laid = first - timedelta(days=6)
    for item, quantity, unit, ref in (
        ("temporary_supply", 2471.0, "m", "sheet T1"),
        ("temporary_connection", float(len([one for one in job.services if one.live is not False])), "each", "sheet T2"),
        ("set_up_pump", float((len(runs) + 1) // 2), "each", "sheet P1"),
        ("traffic_day", float((last.date() - first.date()).days + 1), "day", "sheet R1"),
        ("deposit_disposal", 9.34, "t", "weighbridge tickets 1-4"),
    ):
        when = laid if item.startswith("temporary") else last + timedelta(hours=2)
        add(f"{item},{_stamp(when)},{quantity:g},{unit},,,{ref},{_CLERK},{_stamp(when + timedelta(hours=1))},,{_OFFICE}")
    extra = files["extras.csv"].append
    cut = first - timedelta(days=4)
    extra(
        f"D-01,{_stamp(cut + timedelta(hours=3))},daywork,daywork_hour,9,hour,,client,,,{_CLERK},{_stamp(cut + timedelta(hours=8))},,"
        f"repair clamp cut out and a piece of pipe put in,cleaning gang"
    )
    late = first + timedelta(days=1)
    extra(
        f"D-02,{_stamp(late)},daywork,daywork_hour,4,hour,,client,,,{_CLERK},{_stamp(late + timedelta(days=2))},,old stop tap box dug free,plumbing gang"
    )
    extra(
        f"S-01,{_stamp(first + timedelta(hours=1))},standing_time,standing_hour,1.5,hour,,client,,,{_CLERK},{_stamp(first + timedelta(hours=6))},,"
        f"line valve let by: waited for the client's valve gang,lining gang"
    )
    extra(
        f"V-01,{_stamp(last)},variation,hydrant,1,each,1450,client,{_CLERK},order 7,,,,hydrant at the end of the main renewed instead of put back,{_OFFICE}"
    )
    files["payments.csv"].append(f"{_stamp(last + timedelta(days=5))},payment,60000,valuation 1,,{_OFFICE}")
