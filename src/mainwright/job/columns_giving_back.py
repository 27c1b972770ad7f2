"""The dictionary of ``[giving_back]`` in ``job.toml``."""

from typing import Final

from mainwright.job.column import Table, choice, integer, number, text

__all__ = ["GIVING_BACK_TABLES", "NEUTRALISERS"]

NEUTRALISERS: Final = (
    "sodium_bisulfite",
    "sodium_metabisulfite",
    "sodium_sulfite",
    "sodium_thiosulfate",
    "calcium_thiosulfate",
    "ascorbic_acid",
    "sodium_ascorbate",
)

GIVING_BACK_TABLES: Final = (
    Table(
        name="giving_back",
        file="job.toml",
        path="giving_back",
        shape="single",
        meaning="what the client's rules ask before the main is given back, and how its customers are told; no defaults",
        columns=(
            number("soak_hours", "under water before the pressure test", field="soak", unit="hours", low=0, high=10000),
            number("test_hours", "length of the main pressure test", field="test_time", unit="hours", above=0, high=1000),
            number(
                "test_loss_l",
                "water that may be pumped after in it, by the client's own rule",
                field="test_loss",
                unit="l",
                low=0,
                high=1e6,
            ),
            number("fill_flow_l_s", "flow while filling", field="fill_flow", unit="l_s", above=0, high=10000),
            number(
                "flush_velocity_m_s", "velocity of the flush, in the largest bore", field="flush_velocity", unit="m_s", above=0, high=10
            ),
            number("flush_changes", "changes of the water in a flush", field="flush_changes", above=0, high=100),
            number("flush_flow_max_l_s", "most that source and drain bear", field="flush_flow_max", unit="l_s", above=0, high=10000),
            text("discharge_to", "where flushed and neutralised water goes, with whose leave"),
            choice("chlorine_method", "how it is chlorinated", ("continuous", "slug")),
            number("chlorine_mg_l", "chlorine at the beginning", field="chlorine", unit="mg_l", above=0, high=1000),
            number("chlorine_hours", "contact, at every point", field="chlorine_time", unit="hours", above=0, high=1000),
            number("residual_mg_l", "least chlorine at the end of the contact", field="residual", unit="mg_l", low=0, high=1000),
            number("slug_share_pct", "length of the slug by that of the block", field="slug_share", unit="pct", above=0, high=100),
            number(
                "product_pct",
                "available chlorine of the solution by volume, g in 100 ml",
                field="product_strength",
                unit="pct",
                above=0,
                high=20,
            ),
            number("product_age_days", "since it was made or tested", field="product_age", unit="days", low=0, high=1000),
            number(
                "product_halving_days",
                "time in which it falls to half, as it is stored",
                field="product_halving",
                unit="days",
                above=0,
                high=10000,
            ),
            choice("neutraliser", "what takes the chlorine away before discharge", NEUTRALISERS),
            integer("sample_rounds", "rounds of samples that must be good", field="sample_rounds", low=1, high=20),
            number("sample_interval_hours", "between two rounds", field="sample_interval", unit="hours", low=0, high=1000),
            number("laboratory_hours", "from sample to result", field="laboratory", unit="hours", above=0, high=2000),
            choice("cement", "cement of the mortar, for the forecast of the pH", ("portland", "slag")),
            number("night_flow_pct", "least flow of the night by the flows of main.csv", field="night_share", unit="pct", low=0, high=100),
            number("notice_days", "customers are told so long before", field="notice", unit="days", low=0, high=1000),
            number(
                "care_notice_days",
                "dialysis patients, hospitals and schools so long before",
                field="care_notice",
                unit="days",
                low=0,
                high=1000,
            ),
            number(
                "quick_return_hours",
                "filled before the document's floor, as a signed deviation",
                field="quick_return",
                unit="hours",
                above=0,
                high=1000,
            ),
            text("quick_return_signed", "who signed that deviation, and when: without it it is not used"),
        ),
    ),
)
"""The table of what is asked before the main is given back."""
