"""The dictionary of ``[measurement]`` and ``[payment]`` in ``job.toml``."""

from typing import Final

from mainwright.job.column import Column, Table, choice, integer, number

__all__ = ["MEASUREMENT_TABLES"]

_PLAIN: Final = "The plainest rule: what was done is what is paid; the contract's own rule replaces it."
_PROOF: Final = "What is signed days later is disputed; the contract's own rule replaces it."
_NONE: Final = "No retention was named."

MEASUREMENT_TABLES: Final = (
    Table(
        name="measurement",
        file="job.toml",
        path="measurement",
        shape="single",
        meaning="the contract's rules of measurement, for the bill and for what was done alike",
        columns=(
            choice(
                "fittings",
                "whether fittings in the line of the main are paid with the length",
                ("included", "deducted"),
                default="included",
                origin=_PLAIN,
            ),
            number(
                "fitting_length_m",
                "length deducted for each fitting; needed where they are deducted",
                field="fitting_length",
                unit="m",
                above=0,
                high=100,
            ),
            number(
                "rounding_m",
                "step to which the length of each run is rounded; 0 is none",
                field="rounding",
                unit="m",
                low=0,
                high=100,
                default=0.0,
                origin=_PLAIN,
            ),
            choice("round_to", "which way it is rounded", ("nearest", "down", "up"), default="nearest", origin=_PLAIN),
            number(
                "minimum_length_m",
                "least length that is paid for a run done whole",
                field="minimum_length",
                unit="m",
                low=0,
                high=10000,
                default=0.0,
                origin=_PLAIN,
            ),
            choice(
                "redone", "whether a length that was lined again is paid again", ("not_paid", "paid"), default="not_paid", origin=_PLAIN
            ),
            choice(
                "extras",
                "whether daywork and standing time need a signature of the same day",
                ("same_day", "any_day"),
                default="same_day",
                origin=_PROOF,
            ),
            Column(name="classes", kind="rows", meaning="sizes that are priced together", field="classes"),
        ),
    ),
    Table(
        name="classes",
        file="job.toml",
        path="measurement.classes",
        shape="rows",
        meaning="sizes that are priced together; a size in no class is a class of its own",
        columns=(
            integer("dn_from", "smallest DN of the class", field="dn_from", low=1, high=10000, required=True),
            integer("dn_to", "greatest DN of the class, included", field="dn_to", low=1, high=10000, required=True),
            integer("dn", "DN in the names of its items, as in lining_dn150", field="dn", low=1, high=10000, required=True),
        ),
    ),
    Table(
        name="payment",
        file="job.toml",
        path="payment",
        shape="single",
        meaning="what the client keeps back, and when lining is claimed",
        columns=(
            number(
                "retention_pct",
                "share of each valuation that the client keeps back",
                field="retention",
                unit="pct",
                low=0,
                high=100,
                default=0.0,
                origin=_NONE,
            ),
            number(
                "retention_limit_pct",
                "greatest retention by the sum of the bill; absent is no limit",
                field="retention_limit",
                unit="pct",
                low=0,
                high=100,
            ),
            choice(
                "lining",
                "lining is claimed once it is lined, or where the run meets what was entered",
                ("lined", "met"),
                default="lined",
                origin=_PLAIN,
            ),
        ),
    ),
)
"""The tables of measurement and payment."""
