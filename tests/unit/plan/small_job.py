"""A small job in code: 240 m of grey iron DN 150 and 60 m of DN 200, four connections, one bend, one branch."""

import math
from dataclasses import replace
from datetime import date, time

from mainwright.job.job import Job
from mainwright.job.lining import Hydraulics, JobInfo, Lining, Mortar, RunLimits, Shift
from mainwright.job.office import Price
from mainwright.job.plant import Hose, LiningHead, Mixer, MortarFlow, Plant, Pump, Rope
from mainwright.job.survey import Feature, Ground, Service, Stretch
from mainwright.job.water import WaterAnalysis
from tests.unit.plan.money import MONEY

MINUTE = 60.0


def small_plant() -> Plant:
    points = tuple((setting, litres / 60000.0) for setting, litres in ((20.0, 10.1), (40.0, 20.3), (60.0, 30.2), (80.0, 40.4)))
    return Plant(
        pumps=(Pump("P1", 30.0 / 60000.0, 40e5, points, tested_through_hose=True, volume_per_stroke=0.42e-3),),
        hoses=(Hose("H1", 180.0, 12.0, 0.038, 40e5),),
        heads=(LiningHead("A", 80, 400, "winched", 12.0 / 60.0, math.radians(22.5), 0.4),),
        ropes=(Rope("R1", 400.0, 80e3, 5.0),),
        mixers=(Mixer("M1", 0.240, 6.0 * MINUTE, 0.300),),
        clearing_rate=12.0 / 3600.0,
        mortar_flow=MortarFlow(80.0, 1.0),
    )


def small_prices() -> tuple[Price, ...]:
    return (
        Price("opening_carriageway", "each", 3000.0, 3800.0, 4600.0),
        Price("opening_verge", "each", 1800.0, 2200.0, 2600.0),
        Price("opening_extra_depth", "m", 250.0, 300.0, 400.0),
        Price("set_up_run", "each", 900.0, 1200.0, 1500.0),
        Price("set_up_pump", "each", None, 600.0, None),
        Price("lining_dn150", "m", 40.0, 48.0, 60.0),
        Price("lining_dn200", "m", 45.0, 55.0, 70.0),
        Price("new_pipe_dn150", "m", 250.0, 300.0, 380.0),
        Price("new_pipe_dn200", "m", 280.0, 340.0, 420.0),
        Price("cement", "t", 150.0, 170.0, 200.0),
        Price("sand", "t", 30.0, 38.0, 45.0),
    )


def small_job(**changes: object) -> Job:
    """Return the small job with some of its parts changed."""
    job = Job(
        info=JobInfo("Mill Street main", "MS-01", "Marrowby Waterworks", "EUR", "metric", "en", date(2026, 4, 13), "Europe/Berlin"),
        lining=Lining(
            governing_document="Contract MS-01, specification, edition 2025",
            nominal=0.006, minimum=0.005, mean_minimum=0.0055, maximum=0.010, single_coat_max=0.015, by_dn=(), crack_limit=0.0008,
            finish="smoothed", deposit_efficiency=0.97, flow_bias=0.0, flow_deviation=0.03, speed_deviation=0.03, bore_deviation=0.001,
            eccentricity=0.0, pit_allowance=0.0, correlation=1.0, confidence=0.95,
        ),
        runs=RunLimits(180.0, math.radians(22.5), math.radians(45.0), 10.0, 0.003, 60 * MINUTE, 30 * MINUTE),
        mortar=Mortar(1.0, 0.40, 0.02, 3150.0, 2650.0, 0.03, 25.0, 90 * MINUTE, 180 * MINUTE, 20 * MINUTE, 288.15, 283.15, 0.03),
        hydraulics=Hydraulics(0.0001, 283.15),
        shift=Shift(time(7, 0), 10 * 3600.0),
        acceptance=None, curing=None, test=None, supply=None,
        main=(
            Stretch(0.0, 240.0, 150, "grey_iron", 0.152, "record", 0.010, 1928, 0.015, "tubercles", None, 0.002, 3.66, "lead", 0.008, 4e5),
            Stretch(240.0, 300.0, 200, "grey_iron", 0.204, "record", 0.011, 1931, 0.012, "tubercles", None, None, 3.66, "lead", 0.012, 4e5),
        ),
        bores=(),
        features=(
            Feature(0.0, "end"),
            Feature(66.0, "bend", math.radians(11.25), 1.5),
            Feature(120.0, "gate_valve", state="holds", ref="V1"),
            Feature(181.0, "branch", size=80, ref="B1"),
            Feature(240.0, "reducer"),
            Feature(300.0, "end"),
        ),
        ground=(Ground(0.0, 120.0, "verge", 1.2, True), Ground(120.0, 300.0, "carriageway", 1.8, True)),
        levels=(),
        services=(
            Service(31.0, "left", 3.0, 0.025, "lead", 1, "dwelling", "holds", True, "S1"),
            Service(84.0, "right", 9.0, 0.025, "pe", 1, "dwelling", "holds", True, "S2"),
            Service(150.0, "left", 3.0, 0.025, None, 2, "dwelling", None, True, "S3"),
            Service(265.0, "left", 3.0, 0.032, "pe", None, "school", "holds", True, "S4"),
        ),
        feeds=(),
        water=WaterAnalysis(temperature=283.15, ph=7.6, alkalinity=0.8),
        plant=small_plant(),
        prices=small_prices(),
        crews=(), outputs=(), permits=(), calendar=(), alignment=None,
        money=MONEY, defaulted=("lining.confidence", "mortar.usable_minutes"),
        revision="5a" * 32,
    )  # fmt: skip
    return replace(job, **changes)  # type: ignore[arg-type]
