"""The dictionary of ``job.toml``: its tables and keys."""

from typing import Final

from mainwright.job.column import Column, Table, choice, date_, integer, number, text, time_
from mainwright.job.columns_survey import MATERIALS

__all__ = ["EVIDENCE", "JOB_TABLES"]

EVIDENCE: Final = ("consumption", "end_readings", "camera", "camera_dry", "specimens", "scan", "interior_readings")

_START: Final = "A starting value of practice, not of a document; measured or written values of this job replace it."
_HANDBOOK: Final = "Common handbook value; the supplier's own figure replaces it."

_FILE: Final = "job.toml"


def _thickness(name: str, meaning: str, *, field: str, required: bool = False) -> Column:
    return number(name, meaning, field=field, unit="mm", above=0, high=200, required=required)


_LIMITS: Final = (
    _thickness("mean_minimum_mm", "no mean of a run under this", field="mean_minimum"),
    _thickness("maximum_mm", "no single point over this; absent is no limit", field="maximum"),
    _thickness("single_coat_max_mm", "greatest thickness of one coat; absent is no limit", field="single_coat_max"),
)
_CRACK: Final = number("crack_limit_mm", "widest crack that may stay; absent is no limit", field="crack_limit", unit="mm", low=0, high=20)


def _share(name: str, meaning: str, *, field: str, default: float, origin: str = _START, below: float = 1) -> Column:
    return number(name, meaning, field=field, low=0, below=below, default=default, origin=origin)


JOB_TABLES: Final = (
    Table(
        name="job",
        file=_FILE,
        path="job",
        shape="single",
        required=True,
        meaning="what the job is called and how its results are shown",
        columns=(
            text("name", "name of the job", required=True),
            text("reference", "the office's own number"),
            text("client", "who owns the main"),
            text("currency", "currency of all money, as EUR"),
            choice(
                "units",
                "how results are shown; files stay in the units of their names",
                ("metric", "us"),
                default="metric",
                origin="The names of the columns are metric.",
            ),
            text("language", "language of the papers, as en", default="en", origin="The texts of the program are English."),
            date_("first_day", "first day of the works"),
            text("time_zone", "time zone of shifts, clocks and calendars, as Europe/Berlin", default="UTC", origin="No zone was named."),
        ),
    ),
    Table(
        name="lining",
        file=_FILE,
        path="lining",
        shape="single",
        required=True,
        meaning="what the governing document or the contract asks of the lining, and how evenly it is placed",
        columns=(
            text("governing_document", "the document that the contract names, with its edition", required=True),
            _thickness(
                "nominal_mm", "nominal thickness, from that document or the contract; there is no default", field="nominal", required=True
            ),
            _thickness("minimum_mm", "no single point under this; there is no default", field="minimum", required=True),
            *_LIMITS,
            Column(
                name="by_dn", kind="rows", meaning="other values for a range of DN, and of one material where it is given", field="by_dn"
            ),
            _CRACK,
            choice("finish", "surface of the lining", ("as_sprayed", "smoothed"), default="as_sprayed", origin=_START),
            number(
                "deposit_efficiency",
                "share of the pumped mortar that stays on the wall",
                field="deposit_efficiency",
                above=0,
                high=1,
                default=0.97,
                origin=_START,
            ),
            _share("flow_bias", "standard deviation of the pump's error that a whole run shares, relative", field="flow_bias", default=0.0),
            _share(
                "flow_deviation", "standard deviation of the pump's scatter along the run, relative", field="flow_deviation", default=0.03
            ),
            _share("speed_deviation", "standard deviation of travel speed, relative", field="speed_deviation", default=0.03),
            number(
                "bore_deviation_mm",
                "standard deviation of the bore along the run",
                field="bore_deviation",
                unit="mm",
                low=0,
                high=100,
                default=1.0,
                origin=_START,
            ),
            number(
                "eccentricity_mm",
                "by how much head or sag thins the worst point of the clock against the mean",
                field="eccentricity",
                unit="mm",
                low=0,
                high=100,
                default=0.0,
                origin=_START,
            ),
            number(
                "pit_allowance_l_m2",
                "mortar that fills pits and roughness before it counts as thickness, per area of wall",
                field="pit_allowance",
                unit="l_m2",
                low=0,
                high=100,
                default=0.0,
                origin=_START,
            ),
            number(
                "correlation_m",
                "length over which thickness is one independent stretch",
                field="correlation",
                unit="m",
                above=0,
                high=1000,
                default=1.0,
                origin=_START,
            ),
            number(
                "confidence",
                "no point under the minimum, with this confidence",
                field="confidence",
                low=0.5,
                below=1,
                default=0.95,
                origin=_START,
            ),
        ),
    ),
    Table(
        name="by_dn",
        file=_FILE,
        path="lining.by_dn",
        shape="rows",
        meaning="other values of the lining for a range of DN",
        columns=(
            integer("dn_from", "smallest DN of the range", field="dn_from", low=1, high=10000, required=True),
            integer("dn_to", "greatest DN of the range", field="dn_to", low=1, high=10000, required=True),
            choice("material", "only for this material; absent is every material", MATERIALS),
            _thickness("nominal_mm", "nominal thickness", field="nominal"),
            _thickness("minimum_mm", "no single point under this", field="minimum"),
            *_LIMITS,
            _CRACK,
        ),
    ),
    Table(
        name="runs",
        file=_FILE,
        path="runs",
        shape="single",
        meaning="limits of a run; where silent, the plant, the mortar and the tables decide",
        columns=(
            number("max_length_m", "longest run; absent is no limit", field="max_length", unit="m", above=0, high=100000),
            number(
                "max_bend_deg",
                "largest single bend that may stay inside a run",
                field="max_bend",
                unit="deg",
                low=0,
                high=360,
                default=22.5,
                origin=_START,
            ),
            number(
                "max_bends_total_deg",
                "largest sum of bends inside a run",
                field="max_bends_total",
                unit="deg",
                low=0,
                high=3600,
                default=45.0,
                origin=_START,
            ),
            number(
                "opening_spacing_grid_m",
                "spacing of candidate openings besides the features",
                field="opening_spacing_grid",
                unit="m",
                above=0,
                high=10000,
                default=10.0,
                origin=_START,
            ),
            number(
                "bore_step_max_mm",
                "a greater step of bore inside one DN needs an opening",
                field="bore_step_max",
                unit="mm",
                low=0,
                high=1000,
                default=3.0,
                origin=_START,
            ),
            choice(
                "choose",
                "which layout of those that keep every limit; absent is the least cost",
                ("least_cost", "fewest_openings", "shortest_closing"),
            ),
            number(
                "set_up_minutes",
                "per run, before the head moves",
                field="set_up",
                unit="minutes",
                low=0,
                high=10000,
                default=60.0,
                origin=_START,
            ),
            number(
                "close_minutes",
                "per run, after the head is out: washing out, ends closed",
                field="close",
                unit="minutes",
                low=0,
                high=10000,
                default=30.0,
                origin=_START,
            ),
        ),
    ),
    Table(
        name="mortar",
        file=_FILE,
        path="mortar",
        shape="single",
        meaning="the mix, its clock and its temperatures",
        columns=(
            number("sand_per_cement", "dry sand by cement, by mass", field="sand_per_cement", low=0, high=10, default=1.0, origin=_START),
            number("water_per_cement", "water by cement, by mass", field="water_per_cement", above=0, high=2, default=0.40, origin=_START),
            _share("air", "share of air in the volume", field="air", default=0.02, below=0.5),
            number(
                "cement_kg_m3",
                "density of cement",
                field="cement_density",
                unit="kg_m3",
                low=1000,
                high=8000,
                default=3150.0,
                origin=_HANDBOOK,
            ),
            number(
                "sand_kg_m3", "density of sand", field="sand_density", unit="kg_m3", low=1000, high=8000, default=2650.0, origin=_HANDBOOK
            ),
            _share("sand_moisture", "water in the sand, of its dry mass", field="sand_moisture", default=0.0, below=0.5),
            number("bag_kg", "cement in a bag", field="bag", unit="kg", above=0, high=2000, default=25.0, origin=_START),
            number(
                "usable_minutes",
                "from mixing to placing, at 20 degC",
                field="usable",
                unit="minutes",
                above=0,
                high=10000,
                default=90.0,
                origin=_START,
            ),
            number(
                "set_minutes",
                "after placing, at 20 degC: connections must be clear by then",
                field="set_time",
                unit="minutes",
                above=0,
                high=100000,
                default=180.0,
                origin=_START,
            ),
            number(
                "clearing_from_minutes",
                "after placing: no connection is cleared before",
                field="clearing_from",
                unit="minutes",
                low=0,
                high=100000,
                default=20.0,
                origin=_START,
            ),
            number(
                "mortar_c",
                "expected temperature of the mortar",
                field="mortar_temperature",
                unit="c",
                low=-20,
                high=60,
                default=15.0,
                origin=_START,
            ),
            number(
                "wall_c",
                "expected temperature of the wall",
                field="wall_temperature",
                unit="c",
                low=-20,
                high=60,
                default=10.0,
                origin=_START,
            ),
            number("waste", "share wasted besides the hose filling", field="waste", low=0, below=1, default=0.03, origin=_START),
        ),
    ),
    Table(
        name="hydraulics",
        file=_FILE,
        path="hydraulics",
        shape="single",
        meaning="the lined main under flow",
        columns=(
            number(
                "lined_roughness_mm",
                "hydraulic roughness k of the lined wall",
                field="lined_roughness",
                unit="mm",
                low=0,
                high=20,
                default=0.1,
                origin=_START,
            ),
            number(
                "temperature_c",
                "temperature of the water",
                field="temperature",
                unit="c",
                low=0,
                high=60,
                default=10.0,
                origin=_START,
            ),
        ),
    ),
    Table(
        name="shift",
        file=_FILE,
        path="shift",
        shape="single",
        meaning="one working shift",
        columns=(
            time_("start", "start by the clock of the job's time zone", default="07:00", origin=_START),
            number("hours", "length of the shift", field="length", unit="hours", above=0, high=24, default=10.0, origin=_START),
        ),
    ),
    Table(
        name="acceptance",
        file=_FILE,
        path="acceptance",
        shape="single",
        meaning="the evidence that this contract asks; no defaults",
        columns=(
            Column(name="evidence", kind="choices", meaning="kinds of evidence", field="evidence", choices=EVIDENCE),
            integer("readings_per_end", "thickness readings at each end of a run", field="readings_per_end", low=0, high=1000),
            number("strength_mpa", "strength of the mortar", field="strength", unit="mpa", above=0, high=300),
            number("strength_days", "age at which it is tested", field="strength_age", unit="days", above=0, high=1000),
        ),
    ),
    Table(
        name="curing",
        file=_FILE,
        path="curing",
        shape="single",
        meaning="the document's own floors, after the ends are closed; no defaults",
        columns=(number("fill_hours", "not filled before", field="fill", unit="hours", low=0, high=10000),),
    ),
    Table(
        name="test",
        file=_FILE,
        path="test",
        shape="single",
        meaning="the client's written rule and limit for this pipe; no defaults",
        columns=(
            text("rule", "name of the rule, or own"),
            number("pressure_bar", "greatest test pressure that the client allows, gauge", field="pressure", unit="bar", above=0, high=100),
        ),
    ),
    Table(
        name="supply",
        file=_FILE,
        path="supply",
        shape="single",
        meaning="what the temporary supply must give",
        columns=(
            number("pressure_min_bar", "least pressure at every connection, gauge", field="pressure_min", unit="bar", low=0, high=100),
            choice("sides", "sides of the street that get a pipe", ("left", "right", "both")),
            text("demand_rule", "rule from which the peak demand comes"),
            number("fire_l_s", "flow kept for fire", field="fire", unit="l_s", low=0, high=10000),
        ),
    ),
)
"""The tables of ``job.toml``."""
