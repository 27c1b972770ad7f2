"""The dictionary of ``plant.toml`` and ``water.toml``."""

from typing import Final

from mainwright.job.column import Column, Table, choice, integer, number, text

__all__ = ["PLANT_TABLES", "WATER_TABLES"]

_FILE: Final = "plant.toml"
_NAME: Final = text("name", "its name, which the plan uses", required=True)


def _pressure(meaning: str) -> Column:
    return number("pressure_max_bar", meaning, field="pressure_max", unit="bar", above=0, high=1000)


def _mass(name: str, meaning: str) -> Column:
    return number(f"{name}_mg_l", meaning, field=name, unit="mg_l", low=0, high=100000)


PLANT_TABLES: Final = (
    Table(
        name="pump",
        file=_FILE,
        path="pump",
        shape="rows",
        meaning="one mortar pump",
        columns=(
            _NAME,
            number("flow_l_min", "working output: the plan's flow", field="flow", unit="l_min", above=0, high=10000, required=True),
            _pressure("greatest pressure, gauge"),
            Column(
                name="points",
                kind="points",
                meaning="its own test: setting, output",
                field="points",
                point_units=("-", "l_min"),
            ),
            Column(name="tested_through_hose", kind="yes_no", meaning="an open-bucket test overstates", field="tested_through_hose"),
            number(
                "l_per_stroke", "volume of a stroke, where strokes are counted", field="volume_per_stroke", unit="l", above=0, high=1000
            ),
        ),
    ),
    Table(
        name="hose",
        file=_FILE,
        path="hose",
        shape="rows",
        meaning="one mortar hose",
        columns=(
            _NAME,
            number("length_m", "its length", field="length", unit="m", above=0, high=10000, required=True),
            number(
                "dead_length_m",
                "reel, van and depth of the opening, which no run can use",
                field="dead_length",
                unit="m",
                low=0,
                high=10000,
                default=0.0,
                origin="Nothing was said of a dead length: the whole hose counts.",
            ),
            number("bore_mm", "its bore", field="bore", unit="mm", above=0, high=1000, required=True),
            _pressure("greatest pressure, gauge"),
        ),
    ),
    Table(
        name="lining_head",
        file=_FILE,
        path="lining_head",
        shape="rows",
        meaning="one lining head",
        columns=(
            _NAME,
            integer("dn_from", "smallest DN", field="dn_from", low=1, high=10000, required=True),
            integer("dn_to", "greatest DN", field="dn_to", low=1, high=10000, required=True),
            choice("kind", "how it moves", ("winched", "self_propelled"), required=True),
            number("speed_max_m_min", "greatest speed", field="speed_max", unit="m_min", above=0, high=1000),
            number("bend_max_deg", "largest bend that it passes", field="bend_max", unit="deg", low=0, high=180),
            number(
                "trowel_m",
                "how far behind the spray plane it smooths; 0 is none",
                field="trowel",
                unit="m",
                low=0,
                high=100,
                default=0.0,
                origin="No trowel was named.",
            ),
        ),
    ),
    Table(
        name="rope",
        file=_FILE,
        path="rope",
        shape="rows",
        meaning="one rope",
        columns=(
            _NAME,
            number("length_m", "its length", field="length", unit="m", above=0, high=100000, required=True),
            number("breaking_kn", "breaking load", field="breaking", unit="kn", above=0, high=100000, required=True),
            number("safety", "breaking load by working load", field="safety", low=1, high=100, required=True),
        ),
    ),
    Table(
        name="mixer",
        file=_FILE,
        path="mixer",
        shape="rows",
        meaning="one mixer with its hopper",
        columns=(
            _NAME,
            number("batch_l", "mortar of a batch", field="batch", unit="l", above=0, high=100000, required=True),
            number("cycle_minutes", "time from batch to batch", field="cycle", unit="minutes", above=0, high=10000, required=True),
            number(
                "hopper_l",
                "mixed mortar that can wait",
                field="hopper",
                unit="l",
                low=0,
                high=100000,
                default=0.0,
                origin="No hopper was named.",
            ),
        ),
    ),
    Table(
        name="supply_pipe",
        file=_FILE,
        path="supply_pipe",
        shape="rows",
        meaning="one kind of pipe of the temporary supply",
        columns=(
            _NAME,
            number("bore_mm", "its bore", field="bore", unit="mm", above=0, high=1000, required=True),
            number("roughness_mm", "hydraulic roughness k", field="roughness", unit="mm", low=0, high=50, required=True),
            number("stock_m", "length in stock", field="stock", unit="m", low=0, high=1e6),
            number("price_m", "price of a metre laid, in the job's currency", field="price", low=0, high=1e9),
        ),
    ),
    Table(
        name="crew",
        file=_FILE,
        path="crew",
        shape="single",
        meaning="what the crew can do",
        columns=(
            number("clearing_per_hour", "house connections cleared an hour", field="clearing_rate", unit="per_hour", above=0, high=10000),
        ),
    ),
    Table(
        name="mortar_flow",
        file=_FILE,
        path="mortar_flow",
        shape="single",
        meaning="flow of the mortar in the hose: the two values, or readings",
        columns=(
            number("yield_stress_pa", "yield stress", field="yield_stress", unit="pa", low=0, high=1e5),
            number("plastic_viscosity_pa_s", "plastic viscosity", field="plastic_viscosity", unit="pa_s", above=0, high=1e4),
            Column(
                name="readings",
                kind="points",
                meaning="readings at the pump: flow, length of hose, pressure",
                field="readings",
                point_units=("l_min", "m", "bar"),
            ),
        ),
    ),
)
"""The tables of ``plant.toml``."""

WATER_TABLES: Final = (
    Table(
        name="water",
        file="water.toml",
        path="water",
        shape="single",
        meaning="one analysis of the water that will stand in the lined main",
        columns=(
            number("temperature_c", "temperature", field="temperature", unit="c", low=-1, high=100),
            number("ph", "pH", field="ph", low=0, high=14),
            number(
                "alkalinity_mmol_l",
                "acid capacity in charge equivalents: 1 mmol/l is 50.04 mg/l as CaCO3",
                field="alkalinity",
                unit="mmol_l",
                low=0,
                high=1000,
            ),
            _mass("calcium", "calcium"),
            _mass("magnesium", "magnesium"),
            _mass("sodium", "sodium"),
            _mass("potassium", "potassium"),
            _mass("sulfate", "sulfate"),
            _mass("chloride", "chloride"),
            _mass("nitrate", "nitrate"),
            _mass("ammonium", "ammonium"),
            _mass("silica", "silica"),
            number("turbidity_ntu", "turbidity", field="turbidity_ntu", low=0, high=100000),
        ),
    ),
)
"""The table of ``water.toml``."""
