"""What happened: the tables of ``records/``, in SI. Moments are aware; lengths in metres, volumes in cubic metres."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

__all__ = [
    "BarePlace",
    "Batch",
    "ConnectionCleared",
    "ConnectionFound",
    "CuringReading",
    "Event",
    "Extra",
    "Observation",
    "Obstruction",
    "Outcome",
    "PaymentMade",
    "PressureReading",
    "PumpTest",
    "Reading",
    "Records",
    "RunDone",
    "RunReadings",
    "Signature",
    "SiteQuantity",
    "Specimen",
    "ThicknessReading",
    "WaterTest",
]

Outcome = Literal["complete", "aborted", "split"]


@dataclass(frozen=True, slots=True)
class RunDone:
    """A row of ``runs_done.csv``: one length that was really lined, between two chainages [m].

    ``run`` is the id in the plan that was followed, ``coat`` its coat from 1, ``revision`` that plan's revision.
    """

    run: str
    start: float
    end: float
    coat: int | None = None
    revision: str | None = None
    direction: Literal["increasing", "decreasing"] | None = None
    pump: str | None = None
    hose: str | None = None
    lining_head: str | None = None
    time_from: datetime | None = None
    time_to: datetime | None = None
    outcome: Outcome | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class Event:
    """A row of ``events.csv``; ``value`` is in the unit beside it, as it was written."""

    time: datetime
    kind: str
    run: str | None = None
    chainage: float | None = None
    value: float | None = None
    unit: str | None = None
    note: str | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class PumpTest:
    """A row of ``pump_test.csv``: volume [m3] in a duration [s]; pressure, gauge [Pa]; temperature [K]."""

    pump: str
    volume: float
    duration: float
    time: datetime | None = None
    setting: float | None = None
    pressure: float | None = None
    hose: str | None = None
    through_hose: bool | None = None
    temperature: float | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class Batch:
    """A row of ``batches.csv``: masses [kg], volumes [m3], spread [m], temperature [K]; ``time`` is when mixing began."""

    run: str
    batch: str
    time: datetime
    cement: float | None = None
    sand: float | None = None
    water: float | None = None
    discarded: float | None = None
    spread: float | None = None
    temperature: float | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class ThicknessReading:
    """A row of ``thickness.csv``: thickness and chainage [m]; clock 0 to 12 looking up-chainage, crown = 12."""

    run: str
    chainage: float
    thickness: float
    coat: int | None = None
    clock: float | None = None
    state: Literal["wet", "hard"] | None = None
    zone: Literal["end", "interior"] | None = None
    over: Literal["metal", "pit"] | None = None
    method: str | None = None
    time: datetime | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class Observation:
    """A row of ``observations.csv``: one thing that the camera saw. Chainage and size [m]; the clock runs clockwise from one to the other."""

    run: str
    chainage: float
    kind: str
    camera_pass: Literal["cleaned", "lined"] | None = None
    clock_from: float | None = None
    clock_to: float | None = None
    size: float | None = None
    photo: str | None = None
    note: str | None = None
    time: datetime | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class CuringReading:
    """A row of ``curing.csv``: temperature [K], relative humidity [-]."""

    run: str
    time: datetime
    temperature: float | None = None
    humidity: float | None = None


@dataclass(frozen=True, slots=True)
class Specimen:
    """A row of ``strength.csv``: load [N], area [m2]."""

    run: str
    load: float
    batch: str | None = None
    cast: datetime | None = None
    tested: datetime | None = None
    specimen: str | None = None
    area: float | None = None
    kind: Literal["compression", "bending"] | None = None


@dataclass(frozen=True, slots=True)
class ConnectionCleared:
    """A row of ``connections.csv``: flows [m3/s], air pressure, gauge [Pa]."""

    ref: str
    stop_tap_holds: bool | None = None
    flow_before: float | None = None
    time_cleared: datetime | None = None
    method: Literal["air", "suction", "ream", "dig"] | None = None
    air: float | None = None
    flow_after: float | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class BarePlace:
    """A row of ``bare_places.csv``: a length of bare metal that a scan after lining shows too [m], in a pit or at a fitting."""

    run: str
    start: float
    end: float
    kind: Literal["pit", "fitting"]
    time: datetime | None = None
    note: str | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class Obstruction:
    """A row of ``obstructions.csv``: something in the bore that was found at a chainage [m]; ``duration`` is the time that it cost [s]."""

    chainage: float
    kind: str | None = None
    on_drawing: bool | None = None
    duration: float | None = None
    time: datetime | None = None
    photo: str | None = None
    note: str | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class ConnectionFound:
    """A row of ``connections_found.csv``: one connection that was seen. Chainage [m]."""

    chainage: float
    clock: float | None = None
    seen_by: Literal["camera", "street"] | None = None
    ref: str | None = None
    time: datetime | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class WaterTest:
    """A row of ``water_tests.csv``; ``value`` is in the unit beside it, as the laboratory wrote it."""

    point: str
    time: datetime
    parameter: str
    value: float | None = None
    unit: str | None = None
    lab: str | None = None


@dataclass(frozen=True, slots=True)
class PressureReading:
    """A row of ``pressure_test.csv``: pressure, gauge [Pa]; water added [m3]."""

    section: str
    time: datetime
    pressure: float
    added: float | None = None
    gauge: str | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class Signature:
    """A row of ``signatures.csv``: who accepts or dissents from what, and the hash of the state that was signed."""

    what: Literal["run", "water"]
    decision: Literal["accepts", "dissents"]
    name: str
    time: datetime
    run: str | None = None
    role: str | None = None
    verdict: Literal["meets", "does_not_meet", "incomplete", "released", "not_released", "missing"] | None = None
    state: str | None = None
    note: str | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class SiteQuantity:
    """A row of ``quantities.csv``: so much of an item of the bill, in ``unit``, measured on site together with the client; chainages [m]."""

    item: str
    time: datetime
    quantity: float
    unit: str | None = None
    start: float | None = None
    end: float | None = None
    ref: str | None = None
    signed_by: str | None = None
    time_signed: datetime | None = None
    note: str | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class Extra:
    """A row of ``extras.csv``: daywork, standing time or a variation, in ``unit``, at ``rate`` or at the price of ``item``."""

    ref: str
    time: datetime
    kind: Literal["daywork", "standing_time", "variation"]
    quantity: float
    item: str | None = None
    unit: str | None = None
    rate: float | None = None
    cause: Literal["client", "third_party", "weather", "contractor"] | None = None
    instructed_by: str | None = None
    instruction: str | None = None
    signed_by: str | None = None
    time_signed: datetime | None = None
    photo: str | None = None
    note: str | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class PaymentMade:
    """A row of ``payments.csv``: money that came, or retention that was freed, in the job's currency."""

    time: datetime
    kind: Literal["payment", "retention_released"]
    amount: float
    ref: str | None = None
    note: str | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """A row of ``run_<id>.csv``: way of the spray plane [m], flow from this time to the next [m3/s], pressures, gauge [Pa], speed of the spinner [1/s]."""

    time: datetime
    odometer: float | None = None
    flow: float | None = None
    pressure: float | None = None
    strokes: float | None = None
    head_air: float | None = None
    head_speed: float | None = None
    coat: int | None = None
    flow_source: str | None = None


@dataclass(frozen=True, slots=True)
class RunReadings:
    """The readings of one run, in order of time."""

    run: str
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class Records:
    """All of ``records/``, each table in the order of its file."""

    runs_done: tuple[RunDone, ...] = ()
    events: tuple[Event, ...] = ()
    pump_test: tuple[PumpTest, ...] = ()
    batches: tuple[Batch, ...] = ()
    thickness: tuple[ThicknessReading, ...] = ()
    observations: tuple[Observation, ...] = ()
    curing: tuple[CuringReading, ...] = ()
    strength: tuple[Specimen, ...] = ()
    connections: tuple[ConnectionCleared, ...] = ()
    bare_places: tuple[BarePlace, ...] = ()
    obstructions: tuple[Obstruction, ...] = ()
    connections_found: tuple[ConnectionFound, ...] = ()
    water_tests: tuple[WaterTest, ...] = ()
    pressure_test: tuple[PressureReading, ...] = ()
    readings: tuple[RunReadings, ...] = ()
    signatures: tuple[Signature, ...] = ()
    quantities: tuple[SiteQuantity, ...] = ()
    extras: tuple[Extra, ...] = ()
    payments: tuple[PaymentMade, ...] = ()
