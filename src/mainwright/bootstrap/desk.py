"""Wires the desk: which papers a job has, what each is made of, and the proof of its records."""

from __future__ import annotations

import contextlib
import re
from functools import partial
from typing import TYPE_CHECKING, Final

from mainwright.workflow.desk import Orders, Paper, Pictures
from mainwright.workflow.keeping import FILE
from mainwright.workflow.making import Makings

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from mainwright.job.document import Document
    from mainwright.job.records import Records
    from mainwright.plan.result import Plan, Run
    from mainwright.plan.timetable import Programme
    from mainwright.prove.proof import Proof
    from mainwright.prove.valuation import Valuation
    from mainwright.workflow.desk import Order
    from mainwright.workflow.jobs_at_hand import JobShelf
    from mainwright.workflow.keeping import FolderRecords
    from mainwright.workflow.live_ports import RunKey
    from mainwright.workflow.making import Background, Making
    from mainwright.workflow.ports import Progress
    from mainwright.workflow.store_ports import CarriedLog, Store

    Maker = Callable[[Progress], bytes]

__all__ = ["PaperDesk", "records_held"]

_MOST_PROOFS: Final = 4

_MOST_ZIPPED: Final = 256_000_000
"""Bytes of scans and photographs that are put into one file on the pages."""


class PaperDesk:
    """Papers and proofs of the jobs of a shelf.

    Parameters
    ----------
    shelf : JobShelf
        Where the jobs lie. [-]
    background : Background
        Where papers are made: not where plans are, so that nobody waits for a paper to see a page. [-]
    store : Store, optional
        Keeps the runs that were followed, and scans and photographs. [-]
    """

    def __init__(self, shelf: JobShelf, *, background: Background, store: Store | None = None) -> None:
        self._shelf = shelf
        self._store = store
        self._orders = Orders(background)
        self._proofs: Makings[Proof] = Makings(background)
        self._proved: dict[tuple[object, ...], tuple[Proof, Pictures]] = {}
        self._marks = _Marks()

    def recorded(self, name: str) -> bool:
        """Return whether anything at all is on record of a job."""
        return self._shelf.record_count(name) > 0

    def proof(self, name: str, plan: Plan) -> Proof | Making | None:
        """Return what the records of a job prove, or how far that is; None where nothing is on record."""
        count = self._shelf.record_count(name)
        if not count:
            return None
        return self._proofs.get(self._key(name, plan, "", count), lambda told: self._prove(name, plan, count, told)[0])

    def pictures(self, name: str, plan: Plan) -> Pictures:
        """Return what is shown beside the proof that was made."""
        made = self._proved.get(self._key(name, plan, "", self._shelf.record_count(name)))
        return Pictures() if made is None else made[1]

    def valuation(self, name: str, plan: Plan) -> Valuation | None:
        """Return what is owed for what is on record; None where nothing is, or while the proof is made."""
        made = self._proved.get(self._key(name, plan, "", self._shelf.record_count(name)))
        return None if made is None else _valued(made[0], plan, records_held(self._held(name)))

    def plan_text(self, plan: Plan) -> str:
        """Return a plan as the text of ``plan.json``."""
        from mainwright.bootstrap.planning import plan_text

        return plan_text(plan)

    def folder(self, document: Document) -> bytes:
        """Return the job folder of a document as a zip, the same bytes for the same document."""
        from mainwright.folder.writing import folder_bytes

        return _zipped(folder_bytes(document), lambda _done, _of: None)

    def papers(self, name: str, plan: Plan, current: Plan) -> Sequence[tuple[Paper, Order | None]]:
        """Return the papers that can be made now, each with where it stands."""
        count = self._shelf.record_count(name)
        return [
            (one, self._orders.state(self._key(name, plan, one.known_as, count, current)))
            for one, _ in self._makers(name, plan, current, count)
        ]

    def ask(self, name: str, plan: Plan, current: Plan, paper: str) -> bool:
        """Have a paper made; return whether there is one of that name."""
        count = self._shelf.record_count(name)
        for one, make in self._makers(name, plan, current, count):
            if one.name == paper:
                self._orders.ask(self._key(name, plan, one.known_as, count, current), make)
                return True
        return False

    def stop(self, name: str, plan: Plan, current: Plan, paper: str) -> bool:
        """Stop making a paper; return whether there is one of that name."""
        count = self._shelf.record_count(name)
        found = next((one for one, _ in self._makers(name, plan, current, count) if one.name == paper), None)
        if found is not None:
            self._orders.stop(self._key(name, plan, found.known_as, count, current))
        return found is not None

    def _key(self, name: str, plan: Plan, paper: str, count: int, current: Plan | None = None) -> tuple[object, ...]:
        # Records are only ever added: their count says which there are. The programme is another one once a search found a better one.
        return (name, plan.job.revision, plan.issued, count, *(self._marks.of(one) for one in (plan, current or plan)), paper)

    def _makers(self, name: str, plan: Plan, current: Plan, count: int) -> list[tuple[Paper, Maker]]:
        from mainwright.paper.programme_ics import OFFICE, calendar_name, crew_names

        found: list[tuple[Paper, Maker]] = [
            (Paper("plan.pdf", "plan"), partial(_plan_pdf, plan)),
            (Paper("plan.json", "plan"), partial(_plan_json, plan)),
        ]
        if plan.bill:
            found.append((Paper("bill.xlsx", "plan"), partial(_bill, plan)))
        if current.programme is not None:
            found += [
                (Paper("programme.pdf", "plan"), partial(_programme_pdf, current)),
                (Paper("programme.ics", "plan"), partial(_calendar, current, None)),
            ]
            if current.programme.waits:
                found.append((Paper(OFFICE, "plan"), partial(_office_calendar, current)))
            found += [
                (Paper(calendar_name(crew, number), "plan", crew), partial(_calendar, current, crew))
                for number, crew in enumerate(crew_names(current.programme), start=1)
            ]
        if plan.job.alignment is not None:
            found.append((Paper("openings.geojson", "plan"), partial(_openings, plan)))
        if plan.supply is not None and plan.supply.lines is not None:
            found.append((Paper("supply.pdf", "plan"), partial(_supply, plan)))
        if plan.return_to_service is not None and plan.return_to_service.blocks:
            found.append((Paper("giveback.pdf", "plan"), partial(_giving_back, plan)))
            if plan.return_to_service.notices:
                found.append((Paper("notices.pdf", "plan"), partial(_notices, plan)))
        found += self._reports(name, plan)
        if count:
            found += self._of_proof(name, plan, count)
        found.append((Paper("job.zip", "job"), partial(self._folder, name)))
        return found

    def _of_proof(self, name: str, plan: Plan, count: int) -> list[tuple[Paper, Maker]]:
        def of(make: Callable[[Proof, Plan], bytes]) -> Maker:
            return lambda told: make(self._prove(name, plan, count, told)[0], plan)

        def with_pictures(make: Callable[[Proof, Plan, Pictures], bytes]) -> Maker:
            def made(told: Progress) -> bytes:
                proof, pictures = self._prove(name, plan, count, told)
                return make(proof, plan, pictures)

            return made

        def valued(make: Callable[[Valuation], bytes]) -> Maker:
            return lambda told: make(_valued(self._prove(name, plan, count, told)[0], plan, records_held(self._held(name))))

        found: list[tuple[Paper, Maker]] = [
            (Paper("handover.pdf", "proof"), with_pictures(_handover)),
            (Paper("proof.json", "proof"), of(_proof_json)),
            (Paper("as_built.csv", "proof"), of(_as_built_csv)),
            (Paper("valuation.pdf", "proof"), valued(_valuation_pdf)),
            (Paper("valuation.xlsx", "proof"), valued(_valuation_book)),
            (Paper("valuation.json", "proof"), valued(_valuation_json)),
        ]
        if plan.job.alignment is not None:
            found.append((Paper("as_built.gpkg", "proof"), of(_as_built_map)))
        # Which runs have evidence, the proof says: it is on its way.
        self.proof(name, plan)
        made = self._proved.get(self._key(name, plan, "", count))
        judged = () if made is None else made[0].runs
        done = [one.run.id for one in judged if (one.done or one.laid is not None) and re.fullmatch(r"[A-Za-z0-9_-]+", one.run.id)]
        found += [(Paper(f"evidence_{run}.pdf", "proof", run), with_pictures(partial(_evidence, run=run))) for run in done]
        return found

    def _reports(self, name: str, plan: Plan) -> list[tuple[Paper, Maker]]:
        """Return the daily report of each run that was followed."""
        from mainwright.workflow.running import job_name

        if self._store is None:
            return []
        log = self._store.log
        keys = {one.run: one for one in log.runs(job_name(plan.job)) if re.fullmatch(r"[A-Za-z0-9_-]+", one.run)}
        return [
            (Paper(f"report_{run}.pdf", "proof", run, stamp=str(log.anchor(key))), partial(self._report, name, plan, log, key))
            for run, key in keys.items()
        ]

    def _report(self, name: str, plan: Plan, log: CarriedLog, key: RunKey, _told: Progress) -> bytes:
        from mainwright.bootstrap.running import report_of
        from mainwright.errors import InputError

        held = self._held(name)
        run = next((one for one in self._runs(held, plan) if one.id == key.run), None)
        if run is None:
            raise InputError("run", key.run, "", "a run of the plan as it is now")
        return report_of(plan.job, run=run, stretches=plan.stretches, records=records_held(held), log=log, key=key)

    @staticmethod
    def _runs(held: FolderRecords, plan: Plan) -> Sequence[Run]:
        """Return the runs of the plan that was issued, of the present plan where there is none."""
        import json

        from mainwright.plan.issued import read_issued

        return plan.runs if held.plan is None else read_issued(json.loads(held.plan)).runs

    def _held(self, name: str) -> FolderRecords:
        from mainwright.workflow.keeping import records_of_folder

        return records_of_folder(self._shelf.records(name))

    def _prove(self, name: str, plan: Plan, count: int, told: Progress | None) -> tuple[Proof, Pictures]:
        """Return the proof with its pictures, made once for the page and all its papers: both run in the one background, one after the other."""
        key = self._key(name, plan, "", count)
        if key not in self._proved:
            made = self._judged(name, plan, told)
            while len(self._proved) >= _MOST_PROOFS:
                del self._proved[next(iter(self._proved))]
            self._proved[key] = made
        return self._proved[key]

    def _judged(self, name: str, plan: Plan, told: Progress | None) -> tuple[Proof, Pictures]:
        import json
        from pathlib import Path
        from tempfile import TemporaryDirectory

        from mainwright.bootstrap.keeping import write_files
        from mainwright.bootstrap.proving import photos_of
        from mainwright.bootstrap.scans import scanned_runs
        from mainwright.plan.issued import read_issued
        from mainwright.prove.proof import prove

        held = self._held(name)
        records = records_held(held)
        followed = None if held.plan is None else read_issued(json.loads(held.plan))
        runs = plan.runs if followed is None else followed.runs
        with TemporaryDirectory(prefix="mainwright-records-") as place:
            if self._store is not None:
                write_files(self._store, held, Path(place))
            scanned = scanned_runs(Path(place), runs=runs, stretches=plan.stretches, records=records, progress=told)
            proof = prove(
                plan.job,
                runs=runs,
                stretches=plan.stretches,
                records=records,
                issued=None if followed is None else followed.revision,
                bill=plan.bill,
                scans={run: one.proof for run, one in scanned.items()},
                progress=told,
            )
            photos = photos_of(Path(place), proof)
        stamp = ",".join(sorted(str(row.get("sha256"))[:16] for row in held.tables.get(FILE, ())))
        return proof, Pictures({run: one.wall.rows for run, one in scanned.items()}, photos, stamp)

    def _folder(self, name: str, told: Progress) -> bytes:
        """Return the job folder as a zip, the same bytes for the same job and records."""
        from mainwright.folder.writing import folder_bytes

        held = self._held(name)
        files = folder_bytes(self._shelf.document(name))
        if held.plan is not None:
            files["plan.json"] = held.plan.encode("utf-8")
        files |= {f"records/{file}": content for file, content in _record_files(held).items()}
        return _zipped(files | self._kept_files(held), told)

    def _kept_files(self, held: FolderRecords) -> dict[str, bytes]:
        """Return scans and photographs, which are held in memory here."""
        from mainwright.errors import InputError
        from mainwright.folder.record_rows import file_name

        named = {one: row for row in held.tables.get(FILE, ()) if (one := file_name(row.get("name"))) is not None}
        size = sum(int(str(row.get("bytes", 0))) for row in named.values())
        if size > _MOST_ZIPPED:
            raise InputError(
                "job.zip",
                f"{size / 1e6:.0f} MB of scans and photographs",
                "",
                f"at most {_MOST_ZIPPED / 1e6:.0f} MB; `mainwright export` writes all of it",
            )
        store = self._store
        return {} if store is None else {f"records/{one}": b"".join(store.files.read(str(row["sha256"]))) for one, row in named.items()}


class _Marks:
    """What tells programmes apart: when their activities begin, and how near to the best they are known to be."""

    def __init__(self) -> None:
        self._known: dict[int, tuple[Programme, int]] = {}

    def of(self, plan: Plan) -> int:
        programme = plan.programme
        if programme is None:
            return 0
        known = self._known.get(id(programme))
        if known is None:
            begins = tuple((one.id, one.begin, one.crew) for one in programme.activities)
            known = programme, hash((begins, programme.bound, programme.gap))
            while len(self._known) >= _MOST_PROOFS:
                with contextlib.suppress(KeyError, StopIteration, RuntimeError):
                    del self._known[next(iter(self._known))]
            self._known[id(programme)] = known
        return known[1]


def _record_files(held: FolderRecords) -> dict[str, bytes]:
    from mainwright.folder.record_rows import RecordRows, record_files

    return record_files(RecordRows(held.tables, held.readings))


def records_held(held: FolderRecords) -> Records:
    """Return what happened, as it is kept.

    Parameters
    ----------
    held : FolderRecords
        Of a job. [-]

    Returns
    -------
    Records
        All of them.

    Raises
    ------
    InputError
        If any row has a fault.
    """
    from mainwright.errors import InputError
    from mainwright.folder.records import read_record_files

    found = read_record_files(_record_files(held))
    if found.faults:
        raise InputError("records", len(found.faults), "", "records without faults: `mainwright check` on the exported folder names each")
    return found.records


def _zipped(files: Mapping[str, bytes], told: Progress) -> bytes:
    import io
    import zipfile

    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
        for done, (file, content) in enumerate(sorted(files.items())):
            told(done, len(files))
            entry = zipfile.ZipInfo(file, date_time=(1980, 1, 1, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            pack.writestr(entry, content)
    return out.getvalue()


def _plan_pdf(plan: Plan, told: Progress) -> bytes:
    from mainwright.paper.plan_pdf import render_plan_pdf

    return render_plan_pdf(plan, progress=told)


def _plan_json(plan: Plan, _told: Progress) -> bytes:
    from mainwright.bootstrap.planning import word
    from mainwright.paper.plan_json import plan_json

    return plan_json(plan, word=word(plan.job))


def _bill(plan: Plan, _told: Progress) -> bytes:
    from mainwright.paper.bill_xlsx import render_bill

    return render_bill(plan)


def _programme_pdf(plan: Plan, _told: Progress) -> bytes:
    from mainwright.paper.plan_pdf import render_programme_pdf

    return render_programme_pdf(plan)


def _calendar(plan: Plan, crew: str | None, _told: Progress) -> bytes:
    from mainwright.paper.programme_ics import render_calendar

    return render_calendar(plan.job, plan.programme, crew=crew) or b""


def _office_calendar(plan: Plan, _told: Progress) -> bytes:
    from mainwright.paper.programme_ics import render_calendar

    return render_calendar(plan.job, plan.programme, office=True) or b""


def _openings(plan: Plan, _told: Progress) -> bytes:
    from mainwright.paper.openings_geojson import render_openings

    return render_openings(plan) or b""


def _supply(plan: Plan, _told: Progress) -> bytes:
    from mainwright.paper.plan_pdf import render_supply_pdf

    return render_supply_pdf(plan)


def _giving_back(plan: Plan, _told: Progress) -> bytes:
    from mainwright.paper.giving_back_pdf import render_giving_back

    return render_giving_back(plan)


def _notices(plan: Plan, _told: Progress) -> bytes:
    from mainwright.paper.notices_pdf import render_notices

    return render_notices(plan) or b""


def _handover(proof: Proof, plan: Plan, pictures: Pictures) -> bytes:
    from mainwright.paper.handover_pdf import render_handover

    return render_handover(proof, plan.stretches, photos=pictures.photos, walls=pictures.walls)


def _evidence(proof: Proof, plan: Plan, pictures: Pictures, *, run: str) -> bytes:
    from mainwright.paper.handover_pdf import render_evidence

    return render_evidence(proof, run, plan.stretches, photos=pictures.photos, walls=pictures.walls)


def _proof_json(proof: Proof, _plan: Plan) -> bytes:
    from mainwright.bootstrap.planning import word
    from mainwright.paper.proof_json import proof_json

    return proof_json(proof, word=word(proof.job))


def _valued(proof: Proof, plan: Plan, records: Records) -> Valuation:
    from mainwright.workflow.valuing import value_proof

    return value_proof(proof, bill=plan.bill, records=records)


def _valuation_pdf(made: Valuation) -> bytes:
    from mainwright.paper.valuation_pdf import render_valuation

    return render_valuation(made)


def _valuation_book(made: Valuation) -> bytes:
    from mainwright.paper.valuation_xlsx import render_valuation_book

    return render_valuation_book(made)


def _valuation_json(made: Valuation) -> bytes:
    from mainwright.bootstrap.planning import word
    from mainwright.paper.valuation_json import valuation_json

    return valuation_json(made, word=word(made.job))


def _as_built_csv(proof: Proof, plan: Plan) -> bytes:
    from mainwright.paper.as_built_files import as_built_csv

    return as_built_csv(proof, plan.stretches)


def _as_built_map(proof: Proof, plan: Plan) -> bytes:
    from pathlib import Path
    from tempfile import TemporaryDirectory

    from mainwright.errors import InputError
    from mainwright.paper.as_built_files import write_as_built_map

    with TemporaryDirectory(prefix="mainwright-map-") as place:
        path = Path(place) / "as_built.gpkg"
        if not write_as_built_map(proof, plan.stretches, path):
            raise InputError("as_built.gpkg", "nothing lined", "", "records of a run that was lined")
        return path.read_bytes()
