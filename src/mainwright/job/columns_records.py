"""The dictionary of ``records/``: what happened, as it was written down."""

from typing import Final

from mainwright.job.column import Column, Table, choice, integer, number, text, when, yes_no

__all__ = ["READINGS_TABLE", "RECORD_TABLES"]

_WHO: Final = text("who", "who wrote it down")
_NOTE: Final = text("note", "remark")
_PHOTO: Final = text("photo", "name of the photograph")


def _run(*, required: bool = True) -> Column:
    return text("run", "id of the run", required=required)


def _chainage(name: str = "chainage_m", *, field: str = "chainage", required: bool = False) -> Column:
    return number(name, "chainage", field=field, unit="m", low=-1e6, high=1e6, required=required)


def _time(name: str = "time", meaning: str = "when", *, required: bool = True) -> Column:
    return when(name, meaning, required=required)


def _clock(name: str = "clock", meaning: str = "place round the pipe, 0 to 12, looking up-chainage, 12 = crown") -> Column:
    return number(name, meaning, field=name, low=0, high=12)


def _some(name: str, meaning: str, *, field: str, unit: str = "", high: float = 1e9, required: bool = False) -> Column:
    return number(name, meaning, field=field, unit=unit, low=0, high=high, required=required)


def _celsius(name: str = "temperature_c", meaning: str = "temperature") -> Column:
    return number(name, meaning, field="temperature", unit="c", low=-60, high=100)


def _coat() -> Column:
    return integer("coat", "number of the coat, from 1", field="coat", low=1, high=100)


def _table(name: str, meaning: str, *columns: Column) -> Table:
    return Table(name=name, file=f"records/{name}.csv", shape="rows", meaning=meaning, columns=columns)


RECORD_TABLES: Final = (
    _table(
        "runs_done",
        "one length that was really lined",
        _run(),
        _coat(),
        text("revision", "revision of the plan that was followed"),
        _chainage("from_m", field="start", required=True),
        _chainage("to_m", field="end", required=True),
        choice("direction", "the way the head travelled", ("increasing", "decreasing")),
        text("pump", "name of the pump"),
        text("hose", "name of the hose"),
        text("lining_head", "name of the head"),
        _time("time_from", "when the head moved", required=False),
        _time("time_to", "when the head was out", required=False),
        choice("outcome", "how it ended", ("complete", "aborted", "split")),
        _WHO,
    ),
    _table(
        "events",
        "one thing that happened during a run",
        _run(required=False),
        _time(),
        choice(
            "kind",
            "what it was",
            (
                "start",
                "stop",
                "restart",
                "purge",
                "returned_l",
                "wasted_l",
                "water_in_invert",
                "valve_lets_by",
                "alarm",
                "acknowledged",
                "ends_closed",
                "hold_point",
                "remark",
                "end",
            ),
            required=True,
        ),
        _chainage(),
        number("value", "its number, in the unit beside it", field="value"),
        text("unit", "unit of the value"),
        _NOTE,
        _WHO,
    ),
    _table(
        "pump_test",
        "one timed filling of a vessel",
        _time(required=False),
        text("pump", "name of the pump", required=True),
        number("setting", "setting of the pump", field="setting", low=0, high=1e6),
        _some("litres", "volume", field="volume", unit="l", required=True),
        number("seconds", "time", field="duration", unit="s", above=0, high=1e6, required=True),
        _some("pressure_bar", "pressure at the pump, gauge", field="pressure", unit="bar"),
        text("hose", "name of the hose"),
        yes_no("through_hose", "whether through the hose", field="through_hose"),
        _celsius(),
        _WHO,
    ),
    _table(
        "batches",
        "one batch of mortar; the time is when mixing began",
        _run(),
        text("batch", "number of the batch", required=True),
        _time(),
        _some("cement_kg", "cement", field="cement", unit="kg"),
        _some("sand_kg", "sand", field="sand", unit="kg"),
        _some("water_l", "water", field="water", unit="l"),
        _some("discarded_l", "mortar thrown away", field="discarded", unit="l"),
        _some("spread_mm", "spread on the flow table", field="spread", unit="mm"),
        _celsius(),
        _WHO,
    ),
    _table(
        "thickness",
        "one reading of thickness",
        _run(),
        _coat(),
        _chainage(required=True),
        _clock(),
        _some("thickness_mm", "thickness", field="thickness", unit="mm", high=500, required=True),
        choice("state", "state of the mortar", ("wet", "hard")),
        choice("zone", "part of the run", ("end", "interior")),
        choice("over", "what lies under it", ("metal", "pit")),
        text("method", "how it was read"),
        _time(required=False),
        _WHO,
    ),
    _table(
        "observations",
        "one thing that the camera saw",
        _run(),
        choice("pass", "which pass of the camera", ("cleaned", "lined"), field="camera_pass"),
        _chainage(required=True),
        _clock("clock_from", "first place round the pipe, clockwise"),
        _clock("clock_to", "last place round the pipe, clockwise"),
        text("kind", "what was seen", required=True),
        _some("size_mm", "its size", field="size", unit="mm"),
        _PHOTO,
        _NOTE,
        _time(required=False),
        _WHO,
    ),
    _table(
        "curing",
        "one reading of the air in a closed run",
        _run(),
        _time(),
        _celsius(),
        number("humidity_pct", "relative humidity", field="humidity", unit="pct", low=0, high=100),
    ),
    _table(
        "strength",
        "one specimen",
        _run(),
        text("batch", "number of the batch"),
        _time("cast", "when it was cast", required=False),
        _time("tested", "when it was tested", required=False),
        text("specimen", "its number"),
        _some("load_kn", "greatest load", field="load", unit="kn", required=True),
        number("area_mm2", "loaded area", field="area", unit="mm2", above=0, high=1e7),
        choice("kind", "kind of test", ("compression", "bending")),
    ),
    _table(
        "connections",
        "one connection, cleared",
        text("ref", "its name", required=True),
        yes_no("stop_tap_holds", "whether its stop tap holds"),
        _some("flow_before_l_min", "flow before the works", field="flow_before", unit="l_min"),
        _time("time_cleared", "when it was cleared", required=False),
        choice("method", "how it was cleared", ("air", "suction", "ream", "dig")),
        _some("air_bar", "air pressure, gauge", field="air", unit="bar"),
        _some("flow_after_l_min", "flow after the works", field="flow_after", unit="l_min"),
        _WHO,
    ),
    _table(
        "bare_places",
        "one length that is bare metal all round in the scan after lining too",
        _run(),
        _chainage("from_m", field="start", required=True),
        _chainage("to_m", field="end", required=True),
        choice("kind", "an open pipe end, or a fitting that was left bare within the lining", ("pit", "fitting"), required=True),
        _time(required=False),
        _NOTE,
        _WHO,
    ),
    _table(
        "obstructions",
        "one thing that stood in the way",
        _chainage(required=True),
        _time(required=False),
        text("kind", "what it was"),
        yes_no("on_drawing", "whether the drawings showed it"),
        _some("minutes", "time that it cost", field="duration", unit="minutes"),
        _PHOTO,
        _NOTE,
        _WHO,
    ),
    _table(
        "connections_found",
        "one connection that was seen",
        _chainage(required=True),
        _clock(),
        choice("seen_by", "who or what saw it", ("camera", "street")),
        text("ref", "its name"),
        _time(required=False),
        _WHO,
    ),
    _table(
        "water_tests",
        "one result of a water sample",
        text("point", "where it was taken", required=True),
        _time(),
        text("parameter", "what was determined", required=True),
        number("value", "result, in the unit beside it", field="value"),
        text("unit", "unit of the result"),
        text("lab", "laboratory"),
    ),
    _table(
        "pressure_test",
        "one reading of a pressure test",
        text("section", "part of the main", required=True),
        _time(),
        _some("pressure_bar", "pressure, gauge", field="pressure", unit="bar", required=True),
        _some("added_l", "water added", field="added", unit="l"),
        text("gauge", "number of the gauge"),
        _WHO,
    ),
    _table(
        "signatures",
        "one signature; rows are only ever added, and the latest of a run or of the water counts",
        choice("what", "what is signed", ("run", "water"), required=True),
        _run(required=False),
        choice("decision", "what the signature says", ("accepts", "dissents"), required=True),
        text("name", "who signs", required=True),
        text("role", "for whom: client, engineer, ..."),
        choice(
            "verdict",
            "verdict of the proof that was signed",
            ("meets", "does_not_meet", "incomplete", "released", "not_released", "missing"),
        ),
        text("state", "hash of the state that was signed, from proof.json"),
        text("note", "reason; needed to dissent, and to accept what the proof does not show"),
        _time(),
        _WHO,
    ),
    _table(
        "quantities",
        "so much of an item of the bill that no other record shows, measured on site together with the client",
        text("item", "item of the bill, as opening_verge", required=True),
        _time(),
        _some("quantity", "how much, in the unit beside it", field="quantity", required=True),
        text("unit", "unit of the quantity, as in the bill"),
        _chainage("from_m", field="start"),
        _chainage("to_m", field="end"),
        text("ref", "number of the sheet, ticket or delivery note"),
        text("signed_by", "who signed it for the client; without it it is not claimed"),
        _time("time_signed", "when it was signed", required=False),
        _NOTE,
        _WHO,
    ),
    _table(
        "extras",
        "daywork, standing time or a variation",
        text("ref", "number of the sheet or order", required=True),
        _time(),
        choice("kind", "what it is", ("daywork", "standing_time", "variation"), required=True),
        text("item", "item of the price list; or what it was, where a rate was agreed"),
        _some("quantity", "how much, in the unit beside it", field="quantity", required=True),
        text("unit", "unit of the quantity, as hour"),
        _some("rate", "rate that was agreed, in the job's currency; absent is that of the price list", field="rate", high=1e12),
        choice("cause", "who or what caused it", ("client", "third_party", "weather", "contractor")),
        text("instructed_by", "who ordered it for the client; a variation is not claimed without"),
        text("instruction", "number or date of the order"),
        text("signed_by", "who signed it for the client; daywork and standing time are not claimed without"),
        _time("time_signed", "when it was signed", required=False),
        _PHOTO,
        _NOTE,
        _WHO,
    ),
    _table(
        "payments",
        "money that came, or retention that the client has freed",
        _time(),
        choice("kind", "what it is", ("payment", "retention_released"), required=True),
        _some("amount", "in the job's currency", field="amount", high=1e12, required=True),
        text("ref", "number of the valuation or invoice"),
        _NOTE,
        _WHO,
    ),
)
"""The tables of ``records/``, a CSV file each."""

READINGS_TABLE: Final = Table(
    name="readings",
    file="records/run_<id>.csv",
    shape="rows",
    meaning="one reading during a run",
    columns=(
        _time(),
        number(
            "odometer_m", "way of the spray plane from the cut face where the head starts", field="odometer", unit="m", low=-1e6, high=1e6
        ),
        _some("flow_l_min", "flow from this time to the next", field="flow", unit="l_min"),
        _some("pressure_bar", "pressure at the pump, gauge", field="pressure", unit="bar"),
        _some("strokes", "strokes counted", field="strokes"),
        _some("head_air_bar", "air pressure at the head, gauge", field="head_air", unit="bar"),
        _some("head_rpm", "speed of the spinner", field="head_speed", unit="rpm"),
        _coat(),
        text("flow_source", "where the flow comes from"),
    ),
)
"""The table of the readings of one run; the run's id stands in the file's name."""
