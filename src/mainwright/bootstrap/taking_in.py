"""Wires the importer of inventories."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.bootstrap.planning import read_job

if TYPE_CHECKING:
    from pathlib import Path

    from mainwright.workflow.ports import JobRead
    from mainwright.workflow.source import TakeInReport

__all__ = ["take_in"]


def take_in(*, table: Path, mapping: Path, out: Path, main: str | None) -> tuple[TakeInReport, JobRead]:
    """Make a job folder from an inventory, and read it back.

    Parameters
    ----------
    table : Path
        First table of the inventory: the pipes.
    mapping : Path
        Says which column is which.
    out : Path
        The job folder, made where it is missing.
    main : str, optional
        Which main, where the inventory holds several.

    Returns
    -------
    tuple
        What became of the inventory, and what the folder still lacks.

    Raises
    ------
    FaultyInput
        If the mapping has faults.
    InputError
        If a table cannot be read, or `out` holds files that would be lost.
    """
    from mainwright.errors import FaultyInput
    from mainwright.folder.inventory import FileInventory
    from mainwright.folder.mapping_file import mapping_faults, read_mapping_file
    from mainwright.folder.staging import staged
    from mainwright.folder.take_in_report import refuse_to_lose, write_report
    from mainwright.folder.writing import write_folder
    from mainwright.job.columns import TABLES
    from mainwright.workflow.mapping_reader import mapping_of
    from mainwright.workflow.taken_document import document_of, section_names
    from mainwright.workflow.taking_in import take_in as use

    rows = {name: known for name, known in TABLES.items() if not known.is_toml}
    content, lines = read_mapping_file(mapping)
    try:
        rules = mapping_of(content, tables=tuple(rows.values()), sections=section_names(TABLES))
    except FaultyInput as error:
        raise mapping_faults(error.faults, file=mapping.name, lines=lines) from None
    taken = use(FileInventory(table), rules, tables=rows, main=main)
    with staged(out) as place:
        write_folder(document_of(taken, tables=TABLES), place)
        refuse_to_lose(out, place)
        write_report(taken.report, place)
    return taken.report, read_job(out)
