"""Wires the parts: the only place that names an adapter, reads a setting or the clock.

Each function imports just what it wires, so that a command pays for nothing else.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from mainwright.job.job import Job
    from mainwright.plan.result import LinedStretch, Plan
    from mainwright.prove.proof import Proof
    from mainwright.words.message import Message
    from mainwright.workflow.planning import Checked, Planned
    from mainwright.workflow.ports import JobRead, Progress
    from mainwright.workflow.proving import Proved
    from mainwright.workflow.scan_ports import ScanSummary
    from mainwright.workflow.source import TakeInReport

__all__ = [
    "check",
    "log_file",
    "make_demo",
    "make_recorded",
    "plan",
    "plan_text",
    "proof_text",
    "prove",
    "read_job",
    "rings",
    "take_in",
    "water",
]


def read_job(folder: Path) -> JobRead:
    """Return what a job folder says, and what is wrong with it.

    Parameters
    ----------
    folder : Path
        The job folder.

    Returns
    -------
    JobRead
        Job, faults, warnings, and what is not known.
    """
    from mainwright.folder.reading import read_folder

    return read_folder(folder)


def check(folder: Path, *, progress: Progress | None = None) -> Checked:
    """Return what is wrong with a job folder; where nothing is, also the plan that says what it assumes and asks.

    Parameters
    ----------
    folder : Path
        The job folder.
    progress : callable, optional
        Told how far the plan is.

    Returns
    -------
    Checked
        What was read, and the plan.
    """
    from mainwright.workflow.planning import check_job

    def make(job: Job, told: Progress | None) -> Plan:
        from mainwright.plan.plan import make_plan

        return make_plan(job, progress=told)

    return check_job(read_job(folder), make, progress=progress)


def plan(
    folder: Path, *, out: Path, issued: Path | None = None, progress: Progress | None = None, writing: Progress | None = None
) -> Planned:
    """Make the plan of a job folder and write its papers, all or none.

    Parameters
    ----------
    folder : Path
        The job folder.
    out : Path
        Folder of the papers, made where it is missing; other files in it are left alone.
    issued : Path, optional
        The ``plan.json`` that was issued: what is done is frozen, and ids stay with what stands.
    progress, writing : callable, optional
        Told how far the plan is, and how many papers are made.

    Returns
    -------
    Planned
        What was read, the plan, the papers.

    Raises
    ------
    InputError
        If the issued plan is none, or `out` holds a file of a paper's name that is no paper.
    """
    from mainwright.workflow.planning import plan_job, with_records

    document = None
    records = None
    read = read_job(folder)
    if issued is not None:
        from mainwright.folder.issued_file import read_issued_file
        from mainwright.folder.records import read_records

        document = read_issued_file(issued)
        found = read_records(folder)
        records = found.records
        read = with_records(read, faults=found.faults, unknown=found.unknown)

    def make(job: Job, told: Progress | None) -> Plan:
        from mainwright.plan.plan import make_plan

        return make_plan(job, records=records, issued=document, progress=told)

    def write(made: Plan, told: Progress | None) -> Sequence[str]:
        from mainwright.folder.staging import staged_papers
        from mainwright.paper.papers import write_papers

        with staged_papers(out) as place:
            write_papers(made, place, progress=told)
            return sorted(entry.name for entry in place.iterdir())

    return plan_job(read, make, write, progress=progress, writing=writing)


def plan_text(made: Plan) -> str:
    """Return the text of ``plan.json``.

    Parameters
    ----------
    made : Plan
        The plan.

    Returns
    -------
    str
        In the language and units of the job.
    """
    from mainwright.paper.plan_json import plan_json

    return plan_json(made, word=_word(made.job)).decode("utf-8")


def prove(folder: Path, *, out: Path, progress: Progress | None = None) -> Proved:
    """Prove a job from its records and write ``proof.json``, ``handover.pdf`` and the thickness along each run, all or none.

    Parameters
    ----------
    folder : Path
        The job folder, with ``records/``; the plan that was followed is its ``plan.json``, and where there is none the job is planned anew.
    out : Path
        Folder of the papers, made where it is missing; other files in it are left alone.
    progress : callable, optional
        Told how many runs are judged, and of how many.

    Returns
    -------
    Proved
        What was read, the proof, the papers.

    Raises
    ------
    InputError
        If ``plan.json`` is no plan.
    """
    from mainwright.folder.issued_file import read_issued_file
    from mainwright.folder.records import read_records
    from mainwright.workflow.planning import with_records
    from mainwright.workflow.proving import prove_job

    found = read_records(folder)
    read = with_records(read_job(folder), faults=found.faults, unknown=found.unknown)
    issued = folder / "plan.json"

    def write(made: Proof, stretches: Sequence[LinedStretch]) -> Sequence[str]:
        from mainwright.folder.staging import staged
        from mainwright.paper.handover_pdf import render_handover
        from mainwright.paper.proof_json import proof_json, thickness_csv

        with staged(out) as place:
            (place / "proof.json").write_bytes(proof_json(made, word=_word(made.job)))
            (place / "handover.pdf").write_bytes(render_handover(made, stretches))
            for one in made.runs:
                if one.laid is not None:
                    (place / f"thickness_{one.run.id}.csv").write_bytes(thickness_csv(one.laid))
            return sorted(entry.name for entry in place.iterdir())

    return prove_job(read, found.records, issued=read_issued_file(issued) if issued.exists() else None, papers=write, progress=progress)


def proof_text(made: Proof) -> str:
    """Return the text of ``proof.json``.

    Parameters
    ----------
    made : Proof
        The proof.

    Returns
    -------
    str
        In the language and units of the job.
    """
    from mainwright.paper.proof_json import proof_json

    return proof_json(made, word=_word(made.job)).decode("utf-8")


def _word(job: Job) -> Callable[[Message], str]:
    from mainwright.words.wording import Wording

    return Wording(job.info.language, job.info.units).word


def make_demo(folder: Path) -> None:
    """Write the invented job of Marrowby into a folder; what somebody changed there is not written over.

    Parameters
    ----------
    folder : Path
        The job folder, made where it is missing.
    """
    from mainwright.demo.job import write_demo

    write_demo(folder)


def make_recorded(folder: Path, made: Plan) -> None:
    """Write the invented job as it was lined: its folder with the issued plan and the records of a simulated rig.

    Parameters
    ----------
    folder : Path
        The folder, made where it is missing; what somebody changed there is not written over.
    made : Plan
        The plan that was followed.
    """
    from mainwright.demo.job import demo_files, write_files
    from mainwright.demo.records import demo_records

    records = {f"records/{name}": data for name, data in demo_records(made.job, made.runs).items()}
    write_files(demo_files() | {"plan.json": plan_text(made).encode("utf-8")} | records, folder)


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


def log_file() -> Path:
    """Return the file that keeps the traces of unforeseen failures, its folder made.

    Returns
    -------
    Path
        In the user's folder for states.
    """
    import os
    from pathlib import Path

    base = os.environ.get("XDG_STATE_HOME") or os.environ.get("LOCALAPPDATA") or str(Path.home() / ".local" / "state")
    folder = Path(base) / "mainwright"
    folder.mkdir(parents=True, exist_ok=True)
    return folder / "mainwright.log"


def rings(
    *,
    cleaned: Path,
    lined: Path | None,
    out: Path,
    minimum_mm: float | None = None,
    fixed: Path | None = None,
    gauges: Path | None = None,
    gauge_deviation_mm: float | None = None,
    eccentricity_mm: float | None = None,
    progress: Progress | None = None,
) -> tuple[dict[str, object], ScanSummary]:
    """Write what one or two ring scans show.

    Parameters
    ----------
    cleaned : Path
        Scan before lining.
    lined : Path, optional
        Scan after it.
    out : Path
        Folder of the result; reduced rings are kept in it until it is whole.
    minimum_mm : float, optional
        Thickness under which an area is thin.
    fixed, gauges : Path, optional
        Tables of fixed points and of spot readings.
    gauge_deviation_mm : float, optional
        Standard deviation of a spot reading.
    eccentricity_mm : float, optional
        Standard deviation of the lining's eccentricity, where it is known.
    progress : callable, optional
        Told how far the reading is.

    Returns
    -------
    dict
        The summary as plain values in the units of the files.
    ScanSummary
        The summary.

    Raises
    ------
    FaultyInput
        If a file has faults.
    InputError
        If a number is out of range, or the scans do not go together.
    """
    from mainwright.errors import require_not_negative, require_positive
    from mainwright.folder.scan_files import ParquetRings
    from mainwright.folder.scan_results import ScanResults, summary_document
    from mainwright.folder.scan_store import ScanPieces
    from mainwright.folder.scan_tables import read_fixed, read_gauges
    from mainwright.folder.staging import staged
    from mainwright.units import to_si
    from mainwright.workflow.scan_ports import ScanOptions
    from mainwright.workflow.scanning import scan_rings

    for name, given, check_value in (
        ("--minimum-mm", minimum_mm, require_positive),
        ("--gauge-deviation-mm", gauge_deviation_mm, require_not_negative),
        ("--eccentricity-mm", eccentricity_mm, require_not_negative),
    ):
        if given is not None:
            check_value(name, given, "mm")
    options = ScanOptions(
        minimum=None if minimum_mm is None else to_si(minimum_mm, "mm"),
        fixed=() if fixed is None else read_fixed(fixed),
        gauges=() if gauges is None else read_gauges(gauges),
        eccentricity=None if eccentricity_mm is None else to_si(eccentricity_mm, "mm"),
        gauge_deviation=None if gauge_deviation_mm is None else to_si(gauge_deviation_mm, "mm"),
    )
    sources = (ParquetRings(cleaned), None if lined is None else ParquetRings(lined))
    with staged(out) as place:
        writer = ScanResults(place)
        try:
            summary = scan_rings(
                cleaned=sources[0], lined=sources[1], options=options, store=ScanPieces(out), writer=writer, progress=progress
            )
        finally:
            writer.close()
    return summary_document(summary), summary


def water(
    table: Path, *, out: Path, lime: float | None, contact_hours: float, bore_mm: float
) -> tuple[Sequence[object], list[dict[str, object]], list[str]]:
    """Judge a table of waters and write the answers; nothing is written where it has faults.

    Parameters
    ----------
    table : Path
        CSV with the columns of ``water.toml`` and ``id``.
    out : Path
        The CSV file of the answers.
    lime : float or None
        Calcium hydroxide that dissolves, in mmol/l.
    contact_hours, bore_mm : float
        Stay in the lined main, and its bore.

    Returns
    -------
    tuple
        Faults, answers, and what must be said of waters that cannot be right.
    """
    from mainwright.folder.staging import staged
    from mainwright.folder.water_table import read_waters, waters_csv
    from mainwright.units import to_si
    from mainwright.workflow.waters import COLUMNS, LIME_COLUMN, judge_waters, water_remarks

    read = read_waters(table)
    faults = [fault for fault in read.faults if fault.severity == "fault"]
    if faults:
        return faults, [], []
    contact, bore = to_si(contact_hours, "hours"), to_si(bore_mm, "mm")
    answers = judge_waters(read.rows, lime=None if lime is None else to_si(lime, "mmol_l"), contact=contact, bore=bore)
    columns = COLUMNS if lime is None else (*COLUMNS, LIME_COLUMN)
    with staged(out.parent) as place:
        (place / out.name).write_bytes(waters_csv(columns, answers))
    return [], answers, water_remarks(read.rows, answers)
