"""What the gang of the invented job wrote down besides the readings: events, mortar, curing, camera, connections, water, pressure."""

import random
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Final

from mainwright.job.job import Job
from mainwright.job.survey import Service
from mainwright.plan.result import Run
from mainwright.units import from_si, significant

__all__ = ["FORGOTTEN", "HEADS", "job_log", "run_log"]

FORGOTTEN: Final = ("S19", "S41")
"""Connections of which nobody wrote down that they are clear."""

HEADS: Final = {
    "runs_done.csv": "run,coat,revision,from_m,to_m,direction,pump,hose,lining_head,time_from,time_to,outcome,who",
    "events.csv": "run,time,kind,chainage_m,value,unit,note,who",
    "pump_test.csv": "time,pump,setting,litres,seconds,pressure_bar,hose,through_hose,temperature_c,who",
    "batches.csv": "run,batch,time,cement_kg,sand_kg,water_l,discarded_l,spread_mm,temperature_c,who",
    "thickness.csv": "run,coat,chainage_m,clock,thickness_mm,state,zone,over,method,time,who",
    "bare_places.csv": "run,from_m,to_m,kind,time,note,who",
    "observations.csv": "run,pass,chainage_m,clock_from,clock_to,kind,size_mm,photo,note,time,who",
    "curing.csv": "run,time,temperature_c,humidity_pct",
    "strength.csv": "run,batch,cast,tested,specimen,load_kn,area_mm2,kind",
    "connections.csv": "ref,stop_tap_holds,flow_before_l_min,time_cleared,method,air_bar,flow_after_l_min,who",
    "connections_found.csv": "chainage_m,clock,seen_by,ref,time,who",
    "obstructions.csv": "chainage_m,time,kind,on_drawing,minutes,photo,note,who",
    "water_tests.csv": "point,time,parameter,value,unit,lab",
    "pressure_test.csv": "section,time,pressure_bar,added_l,gauge,who",
}
"""First rows of the files, in the order of the contract."""

_GANG: Final = "lining gang"
_CAMERA: Final = "camera operator"
_PLUMBER: Final = "plumbing gang"
_NOTES: Final = {
    "stall": ("alarm", 62.0, "hopper empty: the pump drew air until the next batch was in"),
    "hurry": ("remark", 21.0, "rope slipped on the drum and the head ran ahead; speed taken back"),
    "silent": ("remark", 46.0, "logger without power: battery changed, no stop of head or pump"),
}


def _stamp(when: datetime) -> str:
    return when.isoformat(timespec="seconds")


def _at(run: Run, way: float) -> float:
    return significant(run.start + way if run.direction == "increasing" else run.end - way)


def run_log(
    files: dict[str, list[str]], job: Job, run: Run, *, begin: datetime, ended: datetime, defect: str, random_: random.Random
) -> None:
    """Write down one run.

    Parameters
    ----------
    files : dict
        Rows of each file by its name; rows are added. [-]
    job : Job
        The invented job. [-]
    run : Run
        The run. [-]
    begin, ended : datetime
        When the head moved, and when it was out. [-]
    defect : str
        Name of the planted defect, or nothing. [-]
    random_ : random.Random
        Of all scatter. [-]
    """
    files["runs_done.csv"].append(
        f"{run.id},1,{job.revision},{significant(run.start)!r},{significant(run.end)!r},{run.direction},{run.pump or ''},{run.hose or ''},"
        f"{run.lining_head or ''},{begin.isoformat()},{_stamp(ended)},complete,{_GANG}"
    )
    _events(files, run, begin=begin, ended=ended, defect=defect)
    _mortar(files, run, begin=begin, random_=random_)
    _gauges(files, run, ended=ended, random_=random_)
    _camera(files, job, run, begin=begin, ended=ended)
    for number in range(0, 33, 4):
        when = _stamp(ended + timedelta(minutes=30, hours=number))
        files["curing.csv"].append(f"{run.id},{when},{10.5 + random_.gauss(0.0, 0.6):.1f},{96.0 + random_.gauss(0.0, 1.0):.0f}")
    _connections(files, job, run, ended=ended, random_=random_)


def _events(files: dict[str, list[str]], run: Run, *, begin: datetime, ended: datetime, defect: str) -> None:
    rows = files["events.csv"]
    rows.append(f"{run.id},{_stamp(begin)},start,{_at(run, 0.0)!r},,,,{_GANG}")
    if defect in _NOTES:
        kind, way, note = _NOTES[defect]
        share = way / run.length
        rows.append(f'{run.id},{_stamp(begin + share * (ended - begin))},{kind},{_at(run, way)!r},,,"{note}",{_GANG}')
    rows.append(f"{run.id},{_stamp(ended)},end,{_at(run, run.length)!r},,,,{_GANG}")
    returned = from_si(run.hose_filling, "l")
    rows.append(
        f"{run.id},{_stamp(ended + timedelta(minutes=12))},returned_l,,{0.0:.0f},l,hose blown out into the skip: {returned:.0f} l of hose filling,{_GANG}"
    )
    wasted = from_si(run.mortar - run.hose_filling, "l") * 0.03 / 1.03
    rows.append(f"{run.id},{_stamp(ended + timedelta(minutes=14))},wasted_l,,{wasted:.0f},l,mixer and hopper washed out,{_GANG}")
    for minutes, place in ((18, run.start), (24, run.end)):
        rows.append(f"{run.id},{_stamp(ended + timedelta(minutes=minutes))},ends_closed,{significant(place)!r},,,damp and closed,{_GANG}")


def _mortar(files: dict[str, list[str]], run: Run, *, begin: datetime, random_: random.Random) -> None:
    for batch in run.batch_clock:
        mixed = begin + timedelta(seconds=batch.mixing)
        water = from_si(batch.water, "l")
        files["batches.csv"].append(
            f"{run.id},{batch.number},{_stamp(mixed)},{batch.cement:.1f},{batch.sand:.1f},{water:.1f},0,"
            f"{172.0 + random_.gauss(0.0, 3.0):.0f},{14.0 + random_.gauss(0.0, 0.5):.1f},{_GANG}"
        )
    cast = begin + timedelta(minutes=10)
    tested = cast + timedelta(days=28)
    for specimen in range(1, 4):
        load = 3.3 + random_.gauss(0.0, 0.12)
        files["strength.csv"].append(
            f"{run.id},1,{_stamp(cast)},{_stamp(tested + timedelta(minutes=specimen))},{specimen},{load:.2f},1600,bending"
        )
    for specimen in range(1, 7):
        load = 74.0 + random_.gauss(0.0, 2.0)
        number = f"{(specimen + 1) // 2}{'ab'[(specimen + 1) % 2]}"
        files["strength.csv"].append(
            f"{run.id},1,{_stamp(cast)},{_stamp(tested + timedelta(minutes=10 + specimen))},{number},{load:.1f},1600,compression"
        )


def _gauges(files: dict[str, list[str]], run: Run, *, ended: datetime, random_: random.Random) -> None:
    when = _stamp(ended + timedelta(minutes=10))
    for end in (run.start + 0.3, run.end - 0.3):
        for clock in (12, 3, 6, 9):
            gauged = from_si(run.aim, "mm") + random_.gauss(0.0, 0.25)
            files["thickness.csv"].append(f"{run.id},1,{significant(end)!r},{clock},{gauged:.1f},wet,end,metal,pin gauge,{when},{_GANG}")
    if run.id not in ("R01", "R07"):
        return
    # The client had two runs opened between their ends, at tappings that were renewed anyway, and had them gauged when they were hard.
    later = _stamp(ended + timedelta(days=9))
    for number in range(9):
        place = run.start + run.length * (number + 1) / 10.0
        gauged = from_si(run.aim, "mm") + random_.gauss(0.0, 0.30)
        over = "pit" if number == 4 else "metal"
        files["thickness.csv"].append(
            f"{run.id},1,{significant(round(place, 1))!r},{(3 * number) % 12 or 12},{gauged + (2.1 if over == 'pit' else 0.0):.1f},hard,interior,{over},"
            f"coating gauge,{later},client's inspector"
        )


def _camera(files: dict[str, list[str]], job: Job, run: Run, *, begin: datetime, ended: datetime) -> None:
    rows = files["observations.csv"]
    for name, first in (("cleaned", begin - timedelta(hours=2)), ("lined", ended + timedelta(days=3))):
        seen: list[tuple[float, str, str, str]] = [(run.start, "start", "", ""), (run.end, "end", "", "")]
        seen += [
            (one.chainage, one.kind, "", "")
            for one in job.features
            if run.start < one.chainage < run.end and one.kind in ("bend", "branch")
        ]
        seen += [(one.chainage, "connection", "", "") for one in _inside(job.services, run)]
        if name == "lined" and run.id == "R01":
            seen.append((run.start + 61.4, "crack", "0.35", "round the pipe from 2 to 4; closed at its ends"))
        if name == "lined" and run.id == "R06":
            seen.append((run.start + 20.0, "ripple", "1.5", "from the trowel and even"))
        for place, kind, size, note in sorted(seen):
            when = first + timedelta(seconds=(place - run.start) / 0.12)
            clock = {"crack": "2,4", "ripple": "5,7"}.get(kind, ",")
            rows.append(f"{run.id},{name},{significant(place)!r},{clock},{kind},{size},,{note},{_stamp(when)},{_CAMERA}")
            if kind == "connection" and name == "cleaned":
                ref = next(one.ref for one in job.services if one.chainage == place)
                files["connections_found.csv"].append(f"{significant(place)!r},,camera,{ref},{_stamp(when)},{_CAMERA}")


def _inside(services: Sequence[Service], run: Run) -> list[Service]:
    return [one for one in services if run.start <= one.chainage < run.end]


def _connections(files: dict[str, list[str]], job: Job, run: Run, *, ended: datetime, random_: random.Random) -> None:
    live = [one for one in _inside(job.services, run) if one.live is not False]
    for number, service in enumerate(live):
        files["connections_found.csv"].append(
            f"{significant(service.chainage)!r},,street,{service.ref},{_stamp(ended - timedelta(days=6))},{_PLUMBER}"
        )
        if service.ref is None or service.ref in FORGOTTEN:
            continue
        before = 14.0 + random_.uniform(-3.0, 3.0)
        clear = ended + timedelta(minutes=41 + 4 * number)
        files["connections.csv"].append(
            f"{service.ref},yes,{before:.1f},{_stamp(clear)},air,{1.0 + random_.uniform(0.0, 0.3):.2f},{before + random_.uniform(0.5, 4.0):.1f},{_GANG}"
        )


def job_log(files: dict[str, list[str]], job: Job, runs: Sequence[Run], *, first: datetime, last: datetime, random_: random.Random) -> None:
    """Write down what belongs to the whole job.

    Parameters
    ----------
    files : dict
        Rows of each file by its name; rows are added. [-]
    job : Job
        The invented job. [-]
    runs : sequence of Run
        Of its plan. [-]
    first, last : datetime
        When the first run began, and when the last was out. [-]
    random_ : random.Random
        Of all scatter. [-]
    """
    files["events.csv"].append(
        f",{_stamp(first - timedelta(hours=3))},remark,,,,All of these records are simulated; Marrowby and everybody in it are invented.,Mainwright demo"
    )
    pump = next((one for one in job.plant.pumps if one.name == runs[0].pump), None)
    for setting, litres in (pump.points if pump is not None else ())[:4]:
        volume = from_si(litres, "l_min") * (1.0 + random_.gauss(0.0, 0.01))
        files["pump_test.csv"].append(
            f"{_stamp(first - timedelta(hours=1))},{runs[0].pump},{setting:g},{volume:.1f},60,{8.0 + 0.1 * setting:.1f},{runs[0].hose or ''},yes,14,{_GANG}"
        )
    run = next((one for one in runs if one.id == "R04"), runs[0])
    place = significant(run.start + 57.2)
    files["obstructions.csv"].append(
        f"{place!r},{_stamp(first - timedelta(days=4))},repair_clamp,no,95,obstruction-1.png,cleaning tool stopped; cut out and a piece of pipe put in,cleaning gang"
    )
    begin = last + timedelta(days=9)
    start, end = job.main[0].start, job.main[-1].end
    hours = (0, 1, 2, 4, 8, 12, 16, 24)
    before = 0.0
    for hour in hours:
        total = 18.0 * hour**0.5 + 0.05 * hour
        added = "" if hour == 0 else f"{total - before:.2f}"
        files["pressure_test.csv"].append(
            f"{start:g}-{end:g},{_stamp(begin + timedelta(hours=hour))},{5.9 + 0.02 * (hour % 3):.2f},{added},G7,{_GANG}"
        )
        before = total
    for round_ in range(2):
        when = begin + timedelta(days=3 + 2 * round_)
        for point in (start, 662.0, end):
            for parameter, value, unit in (
                ("E. coli", "0", "/100 ml"),
                ("Coliform bacteria", "0", "/100 ml"),
                ("pH", f"{8.9 + random_.uniform(-0.2, 0.2):.2f}", ""),
                ("Turbidity", f"{0.3 + random_.uniform(0.0, 0.2):.2f}", "NTU"),
                ("Free chlorine", f"{0.25 + random_.uniform(0.0, 0.1):.2f}", "mg/l"),
            ):
                files["water_tests.csv"].append(f"{point:g},{_stamp(when)},{parameter},{value},{unit},laboratory of Marrowby")
