"""Small jobs for the tests of this room: everything at rest but what a test changes."""

from dataclasses import replace
from datetime import time

from mainwright.job.job import Job
from mainwright.job.lining import Hydraulics, JobInfo, Lining, Mortar, RunLimits, Shift
from mainwright.job.office import Price
from mainwright.job.plant import Hose, LiningHead, Mixer, Plant, Pump, Rope
from mainwright.job.survey import Stretch
from mainwright.units import to_si
from tests.unit.plan.money import MONEY

LINING = Lining(
    governing_document="Specification of this test",
    nominal=0.006,
    minimum=0.005,
    mean_minimum=None,
    maximum=None,
    single_coat_max=None,
    by_dn=(),
    crack_limit=None,
    finish="as_sprayed",
    deposit_efficiency=1.0,
    flow_bias=0.0,
    flow_deviation=0.0,
    speed_deviation=0.0,
    bore_deviation=0.0,
    eccentricity=0.0,
    pit_allowance=0.0,
    correlation=1.0,
    confidence=0.95,
)
RUNS = RunLimits(
    max_length=None,
    max_bend=to_si(22.5, "deg"),
    max_bends_total=to_si(45.0, "deg"),
    opening_spacing_grid=10.0,
    bore_step_max=0.003,
    set_up=3600.0,
    close=1800.0,
)
MORTAR = Mortar(
    sand_per_cement=1.0,
    water_per_cement=0.4,
    air=0.02,
    cement_density=3150.0,
    sand_density=2650.0,
    sand_moisture=0.0,
    bag=25.0,
    usable=5400.0,
    set_time=10800.0,
    clearing_from=1200.0,
    mortar_temperature=to_si(20.0, "c"),
    wall_temperature=to_si(20.0, "c"),
    waste=0.03,
)
PUMP = Pump("P1", to_si(30.0, "l_min"), to_si(40.0, "bar"))
HOSE = Hose("H1", 112.0, 12.0, 0.038, to_si(40.0, "bar"))
HEAD = LiningHead("A", 80, 400, "winched", to_si(12.0, "m_min"), to_si(22.5, "deg"))
ROPE = Rope("R1", 400.0, 80e3, 5.0)
MIXER = Mixer("M1", 0.240, 360.0, 0.300)
PLANT = Plant(pumps=(PUMP,), hoses=(HOSE,), heads=(HEAD,), ropes=(ROPE,), mixers=(MIXER,))
BASE = Job(
    info=JobInfo("Test main", currency="EUR"),
    lining=LINING,
    runs=RUNS,
    mortar=MORTAR,
    hydraulics=Hydraulics(1e-4, to_si(10.0, "c")),
    shift=Shift(time(7, 0), 36000.0),
    acceptance=None,
    curing=None,
    test=None,
    supply=None,
    main=(Stretch(0.0, 300.0, 200, "grey_iron", bore=0.2, bore_source="record"),),
    bores=(),
    features=(),
    ground=(),
    levels=(),
    services=(),
    feeds=(),
    water=None,
    plant=PLANT,
    prices=(),
    crews=(),
    outputs=(),
    permits=(),
    calendar=(),
    alignment=None,
    money=MONEY,
    defaulted=(),
    revision="0" * 64,
)


def prices(**rates: float) -> tuple[Price, ...]:
    """Return prices of these items."""
    return tuple(Price(item, "each", rate=rate) for item, rate in rates.items())


def with_runs(job: Job, **limits: float | None) -> Job:
    """Return the job with other limits of its runs."""
    return replace(job, runs=replace(job.runs, **limits))  # type: ignore[arg-type]


def with_lining(job: Job, **values: object) -> Job:
    """Return the job with other values of ``[lining]``."""
    return replace(job, lining=replace(job.lining, **values))  # type: ignore[arg-type]


def with_plant(job: Job, **kinds: object) -> Job:
    """Return the job with another plant."""
    return replace(job, plant=replace(job.plant, **kinds))  # type: ignore[arg-type]
