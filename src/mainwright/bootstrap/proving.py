"""Wires the proof of a job."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.bootstrap.planning import read_job, word

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from mainwright.plan.result import LinedStretch, Run
    from mainwright.prove.proof import Proof
    from mainwright.prove.scans import ScanProof
    from mainwright.workflow.ports import Progress
    from mainwright.workflow.proving import Proved
    from mainwright.workflow.scan_proof import DrawnWall

__all__ = ["photos_of", "proof_text", "prove"]


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
    walls: dict[str, DrawnWall] = {}

    def write(made: Proof, stretches: Sequence[LinedStretch]) -> Sequence[str]:
        from mainwright.folder.staging import staged
        from mainwright.paper.as_built_files import as_built_csv, write_as_built_map
        from mainwright.paper.handover_pdf import render_evidence, render_handover
        from mainwright.paper.proof_json import proof_json, thickness_csv

        photos = photos_of(folder, made)
        rows = {name: wall.rows for name, wall in walls.items()}
        with staged(out) as place:
            (place / "proof.json").write_bytes(proof_json(made, word=word(made.job)))
            (place / "handover.pdf").write_bytes(render_handover(made, stretches, photos=photos, walls=rows))
            (place / "as_built.csv").write_bytes(as_built_csv(made, stretches))
            write_as_built_map(made, stretches, place / "as_built.gpkg")
            for one in made.runs:
                if one.laid is not None:
                    (place / f"thickness_{one.run.id}.csv").write_bytes(thickness_csv(one.laid))
                    (place / f"evidence_{one.run.id}.pdf").write_bytes(
                        render_evidence(made, one.run.id, stretches, photos=photos, walls=rows)
                    )
            return sorted(entry.name for entry in place.iterdir())

    from mainwright.bootstrap.scans import any_scan, scanned_runs

    def scans(runs: Sequence[Run], stretches: Sequence[LinedStretch]) -> dict[str, ScanProof]:
        scanned = scanned_runs(folder, runs=runs, stretches=stretches, records=found.records, progress=progress)
        walls.update({name: one.wall for name, one in scanned.items()})
        return {name: one.proof for name, one in scanned.items()}

    return prove_job(
        read,
        found.records,
        issued=read_issued_file(issued) if issued.exists() else None,
        papers=write,
        scans=scans if any_scan(folder) else None,
        progress=progress,
    )


def photos_of(folder: Path, made: Proof) -> dict[str, bytes]:
    """Return the photographs of obstructions that lie in ``records/`` or ``records/photos/`` and can be printed.

    Parameters
    ----------
    folder : Path
        The job folder.
    made : Proof
        With the obstructions.

    Returns
    -------
    dict
        By their names.
    """
    from mainwright.paper.photos import MOST_BYTES, SUFFIXES, usable_photo

    found: dict[str, bytes] = {}
    for one in made.obstructions:
        name = one.record.photo or ""
        if not name.lower().endswith(SUFFIXES) or "/" in name or "\\" in name or name in found:
            continue
        for path in (folder / "records" / name, folder / "records" / "photos" / name):
            if path.is_file() and path.stat().st_size <= MOST_BYTES:
                data = path.read_bytes()
                if usable_photo(data):
                    found[name] = data
                break
    return found


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

    return proof_json(made, word=word(made.job)).decode("utf-8")
