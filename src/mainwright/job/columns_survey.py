"""The dictionary of the survey: the main and what lies along it."""

from typing import Final, get_args

from mainwright.job.column import Column, Table, choice, integer, number, text, when, yes_no
from mainwright.job.survey import BoreSource, FeatureKind, Material, OpeningRule, Side, Surface

__all__ = ["MATERIALS", "SURVEY_TABLES"]

MATERIALS: Final = get_args(Material)


def _chainage(name: str = "chainage_m", meaning: str = "distance along the main from its zero", *, field: str = "chainage") -> Column:
    return number(name, meaning, field=field, unit="m", low=-1e6, high=1e6, required=True)


def _clock(meaning: str = "place round the pipe, 0 to 12, looking up-chainage, 12 = crown") -> Column:
    return number("clock", meaning, field="clock", low=0, high=12)


_FROM: Final = _chainage("from_m", "where it begins", field="start")
_TO: Final = _chainage("to_m", "where it ends", field="end")
_SIDE: Final = choice("side", "side, looking up-chainage", get_args(Side))

SURVEY_TABLES: Final = (
    Table(
        name="main",
        file="main.csv",
        shape="rows",
        required=True,
        order=("from_m",),
        meaning="one stretch of host pipe; stretches follow one another without gap",
        columns=(
            _FROM,
            _TO,
            integer("dn", "nominal size", field="dn", low=1, high=10000, required=True),
            choice("material", "material of the pipe", MATERIALS, required=True),
            number(
                "bore_mm",
                "clean inside diameter; empty is taken from a table and listed as assumed",
                field="bore",
                unit="mm",
                above=0,
                high=10000,
            ),
            choice("bore_source", "where the bore comes from", get_args(BoreSource)),
            number("wall_mm", "thickness of the pipe's wall", field="wall", unit="mm", above=0, high=500),
            integer("year", "year of laying", field="year", low=1000, high=2200),
            number("deposit_mm", "mean thickness of deposits on the wall", field="deposit", unit="mm", low=0, high=5000),
            text("deposit_kind", "what the deposits are"),
            text("existing_lining", "lining that is there already"),
            number("roughness_mm", "hydraulic roughness k today", field="roughness", unit="mm", low=0, high=500),
            number("joint_m", "length of one pipe", field="joint", unit="m", above=0, high=1000),
            text("joint_type", "kind of joint"),
            number("flow_l_s", "design flow", field="flow", unit="l_s", low=0, high=100000),
            number("pressure_bar", "working pressure, gauge", field="pressure", unit="bar", low=0, high=100),
        ),
    ),
    Table(
        name="bore",
        file="bore.csv",
        shape="rows",
        order=("chainage_m",),
        meaning="one caliper reading at a cut; the mean of a stretch's readings wins over main.csv",
        columns=(
            _chainage(),
            number("bore_mm", "clean inside diameter that was read", field="bore", unit="mm", above=0, high=10000, required=True),
            _clock("direction of the diameter, 0 to 12, looking up-chainage, 12 = crown"),
            text("method", "how it was read"),
            when("time", "when it was read"),
            text("who", "who read it"),
        ),
    ),
    Table(
        name="features",
        file="features.csv",
        shape="rows",
        order=("chainage_m",),
        meaning="one fitting, bend, valve or branch",
        columns=(
            _chainage(),
            choice("kind", "what it is", get_args(FeatureKind), required=True),
            number("angle_deg", "angle of a bend", field="angle", unit="deg", low=0, high=180),
            number("radius_mm", "radius of a bend", field="radius", unit="mm", low=0, high=1e6),
            integer("size_mm", "DN of a branch, or size of the fitting", field="size", low=1, high=10000),
            choice("opening", "whether the road is opened here; empty is the rule", get_args(OpeningRule)),
            choice("state", "state of a valve; empty is not tried", ("holds", "lets_by", "seized")),
            choice("after", "what becomes of it", ("keep", "replace", "remove")),
            choice("confidence", "how well it is known", ("recorded", "seen", "measured")),
            text("ref", "its name on drawings"),
            text("note", "remark"),
        ),
    ),
    Table(
        name="ground",
        file="ground.csv",
        shape="rows",
        order=("from_m",),
        meaning="one stretch of what lies over the main; where silent, digging is allowed and the surface unknown",
        columns=(
            _FROM,
            _TO,
            choice("surface", "surface of the ground", get_args(Surface)),
            number("cover_m", "depth of the crown", field="cover", unit="m", low=0, high=100),
            yes_no("dig", "whether it may be dug"),
            text("note", "remark"),
        ),
    ),
    Table(
        name="levels",
        file="levels.csv",
        shape="rows",
        order=("chainage_m",),
        meaning="heights at one chainage, above one datum",
        columns=(
            _chainage(),
            number("ground_m", "height of the ground", field="ground", unit="m", low=-1000, high=10000),
            number("pipe_m", "height of the pipe's axis", field="pipe", unit="m", low=-1000, high=10000),
        ),
    ),
    Table(
        name="services",
        file="services.csv",
        shape="rows",
        order=("chainage_m",),
        meaning="one connection",
        columns=(
            _chainage(),
            _SIDE,
            _clock(),
            number("size_mm", "size of the connection", field="size", unit="mm", above=0, high=1000),
            choice("material", "material of the connection; empty is not known", ("lead", "copper", "pe", "iron", "steel", "other")),
            integer("dwellings", "dwellings behind it", field="dwellings", low=0, high=100000),
            choice("use", "who is behind it", ("dwelling", "shop", "school", "hospital", "dialysis", "works", "farm", "fire_line")),
            choice("stop_tap", "state of its stop tap; empty is not tried", ("holds", "lets_by", "missing")),
            yes_no("live", "whether it is in use"),
            text("ref", "its name"),
        ),
    ),
    Table(
        name="feeds",
        file="feeds.csv",
        shape="rows",
        order=("chainage_m",),
        meaning="one place where the temporary supply can be fed",
        columns=(
            _chainage(),
            _SIDE,
            choice("kind", "what it is", ("hydrant", "neighbouring_main", "washout", "tanker")),
            number("pressure_bar", "pressure at rest, gauge", field="pressure", unit="bar", low=0, high=100),
            number("level_m", "height above the datum of the levels", field="level", unit="m", low=-1000, high=10000),
            number("flow_max_l_s", "greatest flow that it can give", field="flow_max", unit="l_s", low=0, high=10000),
            text("ref", "its name"),
        ),
    ),
    Table(
        name="openings",
        file="openings.csv",
        shape="rows",
        order=("chainage_m",),
        meaning="one place that somebody chose: the road is opened there, or is not; where silent, the layout decides",
        columns=(
            _chainage(),
            choice("choice", "whether it is fixed that the road is opened here, or that it is not", ("locked", "forbidden"), required=True),
            text("note", "why"),
        ),
    ),
)
"""The tables of the survey, a CSV file each."""
