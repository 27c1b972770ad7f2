"""Plans for the paper tests: the tables of the invented job, read plainly, with a plan that was put together by hand.

The numbers are of the right size and belong together, but nothing here was optimised: these plans try the papers, not the planner.
"""

import csv
import math
from dataclasses import replace
from datetime import date, time
from itertools import pairwise
from pathlib import Path

import mainwright
from mainwright.job.job import Job
from mainwright.job.lining import Hydraulics, JobInfo, Lining, Mortar, RunLimits, Shift
from mainwright.job.plant import Hose, LiningHead, Mixer, Plant, Pump, Rope
from mainwright.job.survey import Alignment, Feature, Ground, Level, Service, Stretch
from mainwright.plan.result import (
    Alternative,
    AskFirst,
    Batch,
    BillLine,
    Caution,
    Change,
    Cleaning,
    Comparison,
    ConnectionWindow,
    ContractGap,
    Cost,
    Direction,
    HoldPoint,
    HydraulicResult,
    Layout,
    LimitPrice,
    LinedStretch,
    Mark,
    Opening,
    Plan,
    PlanWarning,
    Run,
    RunSetting,
    Suitability,
)
from mainwright.standards.source import Assumed, Reason, Source
from mainwright.words.message import Quantity, message
from mainwright.words.wording import UnitSystem
from tests.unit.plan.money import MONEY

MARROWBY = Path(mainwright.__file__).parent / "demo" / "marrowby"
DOCUMENT = Source("Marrowby Waterworks, specification ML-4 for lining mains in place", "third edition 2024", "5.2", "read")
PRACTICE = Source("Common practice of the trade", "", "", "practice")


def _rows(name: str) -> list[dict[str, str]]:
    with (MARROWBY / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _n(text: str, factor: float = 1.0) -> float | None:
    return float(text) * factor if text else None


def _f(text: str, factor: float = 1.0) -> float:
    return float(text) * factor


def sample_job(*, language: str = "en", units: UnitSystem = "metric", first_day: date | None = date(2026, 4, 13)) -> Job:
    main = tuple(
        Stretch(
            _f(row["from_m"]), _f(row["to_m"]), int(row["dn"]), row["material"], _n(row["bore_mm"], 1e-3), row["bore_source"] or None,  # type: ignore[arg-type]
            _n(row["wall_mm"], 1e-3), int(row["year"]) if row["year"] else None, _n(row["deposit_mm"], 1e-3), row["deposit_kind"] or None,
            row["existing_lining"] or None, _n(row["roughness_mm"], 1e-3), _n(row["joint_m"]), row["joint_type"] or None,
            _n(row["flow_l_s"], 1e-3), _n(row["pressure_bar"], 1e5),
        )
        for row in _rows("main.csv")
    )  # fmt: skip
    features = tuple(
        Feature(
            _f(row["chainage_m"]), row["kind"], _n(row["angle_deg"], math.pi / 180), _n(row["radius_mm"], 1e-3),  # type: ignore[arg-type]
            int(row["size_mm"]) if row["size_mm"] else None, row["opening"] or None, row["state"] or None, row["after"] or None,  # type: ignore[arg-type]
            row["confidence"] or None, row["ref"] or None, row["note"] or None,  # type: ignore[arg-type]
        )
        for row in _rows("features.csv")
    )  # fmt: skip
    ground = tuple(
        Ground(_f(row["from_m"]), _f(row["to_m"]), row["surface"] or None, _n(row["cover_m"]), {"yes": True, "no": False}.get(row["dig"]), row["note"])  # type: ignore[arg-type]
        for row in _rows("ground.csv")
    )  # fmt: skip
    levels = tuple(Level(_f(row["chainage_m"]), _n(row["ground_m"]), _n(row["pipe_m"])) for row in _rows("levels.csv"))
    services = tuple(
        Service(
            _f(row["chainage_m"]), row["side"] or None, _n(row["clock"]), _n(row["size_mm"], 1e-3), row["material"] or None,  # type: ignore[arg-type]
            int(row["dwellings"]) if row["dwellings"] else None, row["use"] or None, row["stop_tap"] or None, row["live"] == "yes", row["ref"] or None,  # type: ignore[arg-type]
        )
        for row in _rows("services.csv")
    )  # fmt: skip
    return Job(
        info=JobInfo("Tallow Lane main", "TL-03", "Marrowby Waterworks", "EUR", units, language, first_day, "Europe/Berlin"),
        lining=Lining(
            "Marrowby Waterworks, specification ML-4 for lining mains in place, third edition 2024", 0.006, 0.005, 0.0055, 0.009, 0.012, (), 0.0008,
            "smoothed", 0.97, 0.02, 0.03, 0.03, 0.001, 0.0003, 0.0003, 1.0, 0.95,
        ),
        runs=RunLimits(None, math.radians(22.5), math.radians(45), 10.0, 0.003, 4500.0, 1800.0),
        mortar=Mortar(1.0, 0.4, 0.02, 3150.0, 2650.0, 0.0, 25.0, 5400.0, 10800.0, 1200.0, 287.15, 282.15, 0.03),
        hydraulics=Hydraulics(0.0001, 283.15),
        shift=Shift(time(7), 32400.0),
        acceptance=None, curing=None, test=None, supply=None,
        main=main, bores=(), features=features, ground=ground, levels=levels, services=services, feeds=(), water=None,
        plant=Plant(
            (Pump("P1", 0.0005, 4e6, ((20, 0.000163), (40, 0.000337), (60, 0.000505), (80, 0.00067)), True),),
            (Hose("H1", 180.0, 12.0, 0.038, 4e6), Hose("H2", 220.0, 14.0, 0.05, 4e6)),
            (LiningHead("A", 80, 200, "winched", 0.2, math.radians(22.5), 0.4), LiningHead("B", 250, 600, "winched", 0.167, math.radians(22.5), 0.7)),
            (Rope("R1", 400.0, 80e3, 5.0),), (Mixer("M1", 0.24, 360.0, 0.3),),
        ),
        prices=(), crews=(), outputs=(), permits=(), calendar=(),
        alignment=Alignment(None, ((8.0, 53.0), (8.004, 53.002), (8.009, 53.003), (8.0165, 53.0045)), "alignment.geojson"),
        money=MONEY, defaulted=("lining.correlation_m",), revision="3f9a61c0" * 8,
    )  # fmt: skip


def _ground_at(job: Job, chainage: float) -> Ground | None:
    return next((ground for ground in job.ground if ground.start <= chainage <= ground.end and ground.dig is not False), None)


def _cuts(job: Job, longest: float) -> list[float]:
    must = {job.main[0].start, job.main[-1].end}
    must |= {feature.chainage for feature in job.features if feature.kind in ("tee", "gate_valve", "cross", "reducer", "meter")}
    must |= {second.start for first, second in pairwise(job.main) if first.dn != second.dn}
    cuts = [min(must)]
    for place in sorted(must)[1:]:
        pieces = math.ceil((place - cuts[-1]) / longest)
        start = cuts[-1]
        cuts += [round(start + (place - start) * k / pieces, 1) for k in range(1, pieces)] + [place]
    return cuts


def _run(job: Job, number: int, start: float, end: float) -> Run:
    inside = [stretch for stretch in job.main if stretch.start < end and stretch.end > start]
    dn, aim = inside[0].dn, (0.0069 if inside[0].dn > 200 else 0.0058)
    flow, settings, minutes = 0.0005, [], 0.0
    for stretch in inside:
        bore = stretch.bore or stretch.dn / 1000
        ring = math.pi * aim * (bore - aim)
        speed = 0.97 * flow / (ring + math.pi * bore * 0.0003)
        low, high = max(start, stretch.start), min(end, stretch.end)
        settings.append(RunSetting(low, high, bore, aim, ring, speed, speed * 0.94, speed * 1.07))
        minutes += (high - low) / speed
    length = end - start
    direction: Direction = "increasing" if number % 2 else "decreasing"
    speed = length / minutes
    marks = [start + 10.0 * k for k in range(1, math.ceil(length / 10.0))] + [end]
    if direction == "decreasing":
        marks = [end - 10.0 * k for k in range(1, math.ceil(length / 10.0))] + [start]
    elapsed = [Mark(mark, (mark - start if direction == "increasing" else end - mark) / speed) for mark in marks]
    within = [service for service in job.services if start <= service.chainage < end]
    per_length = sum(one.mortar_per_length * (one.end - one.start) for one in settings) / length
    mortar = per_length * length * 1.09 + 0.2
    batches = math.ceil(mortar / 0.24)
    windows = []
    for service in within:
        at = (service.chainage - start if direction == "increasing" else end - service.chainage) / speed
        known = service.material is not None
        windows.append(ConnectionWindow(service.chainage, service.ref, at, at + 1200 if known else None, at + 12000 if known else None))
    return Run(
        f"R{number:02d}", start, end, direction, length, dn, math.radians(22.5 if number % 3 == 0 else 0.0), len(within), aim, per_length, mortar,
        0.2, batches, mortar - (batches - 1) * 0.24, mortar * 950, mortar * 950, mortar * 0.38, 59.7, 57.9, 61.6, flow, speed, speed * 0.94, speed * 1.07,
        minutes, "hose_length" if length > 120 else "must_opening",
        message("hose H1 reaches {reach}", reach=Quantity(168.0, "m", 1)) if length > 120 else message("an opening must be here"),
        1, 1.51e6, "P1", "H1" if dn <= 200 else "H2", "A" if dn <= 200 else "B", "R1", "M1", tuple(settings), tuple(elapsed), tuple(windows),
        (
            HoldPoint("bore", message("Cleaned bore seen by camera, accepted and dry")),
            HoldPoint("isolation", message("Valves on both sides hold; nothing runs into the bore")),
            HoldPoint("temperature", message("Mortar between {low} and {high}, wall above {wall}", low=Quantity(278.15, "c", 0), high=Quantity(303.15, "c", 0), wall=Quantity(275.15, "c", 0))),
            HoldPoint("wait", message("No more than {hours} from cleaning to lining", hours=Quantity(86400.0, "hours", 0))),
            HoldPoint("taps", message("Stop taps hold, house plumbing shut off, flow of each connection taken")),
        ),
        (
            Caution("rope", message("Rope under load: winch limit set to {load}, nobody in the line of the rope.", load=Quantity(16000.0, "kn", 1))),
            Caution("hose", message("Never open a coupling under pressure: a blocked hose is emptied backwards first.")),
            Caution("cement", message("Wet cement burns skin and eyes: gloves, goggles, clean water at hand.")),
        ),
        number == 1,
        tuple(
            Batch(k + 1, 0.24, 228.0, 228.0, 0.0912, (k * 0.24 - 0.4) / flow - 360.0, max(0.0, (k * 0.24 - 0.2) / flow), (k * 0.24 + 0.04) / flow, (k * 0.24 - 0.4) / flow + 5040.0)
            for k in range(batches)
        ),
        math.ceil(mortar * 950 / 25),
    )  # fmt: skip


def _sum(bill: tuple[BillLine, ...], name: str) -> float:
    prices = [(line.quantity, getattr(line, name) or line.rate) for line in bill]
    return float(sum(quantity * price for quantity, price in prices if price is not None))


def sample_plan(
    *, language: str = "en", units: UnitSystem = "metric", longest: float = 165.0, first_day: date | None = date(2026, 4, 13)
) -> Plan:
    job = sample_job(language=language, units=units, first_day=first_day)
    return plan_of(job, longest=longest)


def plan_of(job: Job, *, longest: float = 165.0) -> Plan:
    cuts = _cuts(job, longest)
    runs = tuple(_run(job, number, start, end) for number, (start, end) in enumerate(pairwise(cuts), start=1))
    pumps = {run.end if run.direction == "increasing" else run.start for run in runs}
    openings = tuple(
        Opening(
            cut, (message("a fitting comes out here") if index % 2 else message("reach of the hose"),),
            found.surface if (found := _ground_at(job, cut)) else None, found.cover if found else None, cut in pumps, 3900.0 + 137.5 * index, index % 2 == 1,
        )
        for index, cut in enumerate(cuts)
    )  # fmt: skip
    stretches, hydraulics, suitability = [], [], []
    for stretch in job.main:
        bore = stretch.bore or stretch.dn / 1000
        aim = 0.0069 if stretch.dn > 200 else 0.0058
        deposit = stretch.deposit or 0.0
        stretches.append(
            LinedStretch(
                stretch.start,
                stretch.end,
                stretch.dn,
                bore,
                stretch.bore_source or "table",
                0.006,
                0.005,
                0.0055,
                0.009,
                aim,
                bore - 2 * aim,
                math.pi * deposit * (bore - deposit),
                job.lining.governing_document,
            )
        )
        area = math.pi * (bore - 2 * deposit) ** 2 / 4
        hydraulics.append(
            HydraulicResult(stretch.start, stretch.end, stretch.flow, stretch.flow / area if stretch.flow else None, stretch.flow / area * 0.93 if stretch.flow else None,
                            1.4e5, 0.041, 0.0192, 1.84, 0.71, 0.06, 131.0, 1.62, stretch.roughness, 0.0001)
        )  # fmt: skip
        verdict = "with_measures" if stretch.joint_type == "lead" else "suitable"
        suitability.append(
            Suitability(
                stretch.start, stretch.end, verdict,  # type: ignore[arg-type]
                (
                    Reason(message("Host pipe and lining"), message("DN {dn}, {material}", dn=stretch.dn, material=stretch.material), message("DN 80 to 600, iron or steel"), PRACTICE, "suitable"),
                    Reason(message("Joints"), message("{kind} joints", kind=stretch.joint_type or "not known"), message("joints hold and pass no water"), DOCUMENT, verdict),  # type: ignore[arg-type]
                ),
                (message("Seal what the camera shows open before lining."),) if verdict == "with_measures" else (),
            )
        )  # fmt: skip
    bill = (
        *(BillLine(f"opening_{surface}", message("Opening in {surface}", surface=surface), "each", float(sum(o.surface == surface for o in openings)), 3200.0, 3900.0, 5000.0, message("openings of the layout")) for surface in sorted({o.surface for o in openings if o.surface})),
        BillLine("set_up_run", message("Setting up a run"), "each", float(len(runs)), 900.0, 1150.0, 1500.0, message("runs of the layout")),
        BillLine("lining_dn300", message("Lining DN {dn}", dn=300), "m", 450.0, 78.0, 92.0, 110.0, message("lengths of the main")),
        BillLine("cleaning_dn300", message("Cleaning DN {dn}", dn=300), "m", 450.0, None, 31.5, None, message("lengths of the main")),
        BillLine("cement", message("Cement"), "t", sum(run.cement for run in runs) / 1000, 140.0, 165.0, 190.0, message("mortar of all runs")),
        BillLine("camera", message("Camera, cleaned and lined"), "m", 2472.0, None, None, None, message("twice the length of the main")),
    )  # fmt: skip
    total = sum(opening.cost or 0.0 for opening in openings) + 1150.0 * len(runs)
    return Plan(
        job=job,
        issued=None,
        assumed=(
            Assumed("lining.correlation_m", 1.0, "m", message("documented default: thickness within one metre moves together")),
            Assumed("main.csv bore_mm 870 m", 203.0, "mm", message("table of clean bores, {material} DN {dn}", material="grey_iron", dn=200)),
        ),
        warnings=(
            PlanWarning("no_dig_must", 324.0, 324.0, message("An opening must be at {place}, but nobody may dig there.", place=Quantity(324.0, "m", 1)), "stop"),
            PlanWarning("soft_water", None, None, message("Soft water: pH over 9.5 for weeks. See the water before the offer is made."), "act"),
            PlanWarning("pump_interval", None, None, message("The pump test has {n} points; the interval of the setting is wide.", n=4), "note"),
        ),
        suitability=tuple(suitability), stretches=tuple(stretches), hydraulics=tuple(hydraulics), openings=openings, runs=runs,
        layout=Layout(
            total, len(openings), len(runs), 173,
            (
                Alternative("least_cost", tuple(cuts), tuple((run.start, run.end, run.direction) for run in runs), total, 31680.0),
                Alternative("fewest_openings", tuple(cuts[:-1]), tuple((run.start, run.end, run.direction) for run in runs[:-1]), total * 1.07, 36120.0),
                Alternative("shortest_closing", tuple(cuts), tuple((run.start, run.end, run.direction) for run in runs), total * 1.12, 27900.0),
            ),
            (LimitPrice("hose", 10.0, "m", 3120.0),),
        ),
        cleaning=tuple(
            Cleaning(run.id, "scraper", message("drag scraper, then squeegee"), PRACTICE, 3, run.length * 0.0055, run.length * 9.0, 1, run.length * 0.05, 3800.0, 9200.0, 16000.0)
            for run in runs
        ),
        bill=bill,
        comparisons=(
            Comparison("lining", message("This plan: cleaned and lined"), 178000.0, 212000.0, 261000.0, 0.2892, 1.62, ()),
            Comparison("new_same", message("New pipe of the same size"), 410000.0, 490000.0, 585000.0, 0.3, 1.75, ()),
            Comparison("new_next", message("New pipe of the next size"), None, None, None, 0.35, 2.6, ("new_pipe_dn350",)),
        ),
        ask_first=(
            AskFirst(message("Bend at {place} is only on the record", place=Quantity(552.0, "m", 1)), 552.0, 0.3, 5400.0, 1620.0, 700.0, True),
            AskFirst(message("Bore of the cut-in piece"), 478.0, 0.1, 900.0, 90.0, 350.0, False),
        ),
        contract_gaps=(ContractGap("acceptance", message("How thickness is accepted: where it is read, how often, and by whom.")),),
        changes=(Change("run R02", message("Run {run} ends at {place} instead of {before}.", run="R02", place=Quantity(83.0, "m", 1), before=Quantity(128.0, "m", 1)), 128.0, 83.0),),
        cautions=(
            Caution("trench", message("Every opening is shored, fenced and checked for gas before anybody enters.")),
            Caution("law", message("Local codes and licensed practice come first.")),
        ),
        sources=(DOCUMENT, PRACTICE),
        cost=Cost(_sum(bill, "low"), _sum(bill, "rate"), _sum(bill, "high"), ("camera",)),
    )  # fmt: skip


def crowded_plan() -> Plan:
    """Return a plan of 12 runs and more with long names, 60 and more connections and hostile text."""
    plan = sample_plan(longest=90.0)
    info = replace(plan.job.info, name="#import \"x\" *bold* $x$ <b>&amp; The long main from the pumping station by the old harbour wall to the reservoir on Gannet Hill, second stage", client="=HYPERLINK(\"x\") 漢字 Waterworks")  # fmt: skip
    return replace(plan, job=replace(plan.job, info=info))


def stopped_plan() -> Plan:
    """Return a plan that no layout allows."""
    plan = sample_plan()
    warning = PlanWarning("no_layout", 306.0, 478.0, message("No layout keeps the limits between {a} and {b}: the hose is too short.", a=Quantity(306.0, "m", 1), b=Quantity(478.0, "m", 1)), "stop")  # fmt: skip
    return replace(
        plan, openings=(), runs=(), cleaning=(), warnings=(warning, *plan.warnings), layout=Layout(None, 0, 0, 173, (), ()),
        stretches=tuple(replace(stretch, aim=None, bore_lined=None) for stretch in plan.stretches),
    )  # fmt: skip
