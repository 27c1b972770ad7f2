"""The one dictionary of tables, columns and keys of a job folder.

Reader, writer, editor, importer and the reference page are made from it.
"""

from types import MappingProxyType
from typing import Final

from mainwright.job.column import Column
from mainwright.job.columns_giving_back import GIVING_BACK_TABLES
from mainwright.job.columns_job import JOB_TABLES
from mainwright.job.columns_measurement import MEASUREMENT_TABLES
from mainwright.job.columns_office import OFFICE_TABLES
from mainwright.job.columns_plant import PLANT_TABLES, WATER_TABLES
from mainwright.job.columns_records import READINGS_TABLE, RECORD_TABLES
from mainwright.job.columns_survey import SURVEY_TABLES

__all__ = ["ALIGNMENT_FILES", "RECORDS", "TABLES", "defaults", "find_key"]

TABLES: Final = MappingProxyType(
    {
        table.name: table
        for table in (*JOB_TABLES, *MEASUREMENT_TABLES, *GIVING_BACK_TABLES, *SURVEY_TABLES, *PLANT_TABLES, *WATER_TABLES, *OFFICE_TABLES)
    }
)
"""Every table that a job is made from, by its short name, in canonical order."""

RECORDS: Final = MappingProxyType({table.name: table for table in (*RECORD_TABLES, READINGS_TABLE)})
"""Every table of records, by its short name; ``readings`` stands for each ``run_<id>.csv``."""

ALIGNMENT_FILES: Final = ("alignment.geojson", "alignment.gpkg")
"""The files that may hold the line of the main on the map; a folder has one of them at most."""


def find_key(dotted: str) -> Column | None:
    """Return the column that a dotted key names, as it stands in `mainwright.job.job.Job.defaulted`.

    Parameters
    ----------
    dotted : str
        Table and key, as ``lining.bore_deviation_mm``; a name may stand between (``hose.H1.dead_length_m``). [-]

    Returns
    -------
    Column or None
        Its description.

    Examples
    --------
    >>> find_key("lining.confidence").default
    0.95
    """
    table, _, rest = dotted.partition(".")
    known = TABLES.get(table)
    return known.column(rest.rpartition(".")[2]) if known and rest else None


def defaults(table: str) -> dict[str, float | int | str]:
    """Return the documented defaults of a table, in the units of the files.

    Parameters
    ----------
    table : str
        Short name of the table. [-]

    Returns
    -------
    dict
        Key and default, in canonical order.

    Examples
    --------
    >>> defaults("shift")
    {'start': '07:00', 'hours': 10.0}
    """
    return {column.name: column.default for column in TABLES[table].columns if column.default is not None}
