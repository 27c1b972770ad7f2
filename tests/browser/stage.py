"""A stage on which every page of the pages can be seen: jobs whole, recorded, bare, faulty, put away and failing; a library; phones; two runs that are followed."""

from __future__ import annotations

import threading
import time
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Final

from mainwright.bootstrap import import_job, open_store, read_job
from mainwright.bootstrap.demo import make_demo, make_recorded
from mainwright.bootstrap.serving import page_use_cases
from mainwright.errors import InputError
from mainwright.job.document import Document
from mainwright.plan.plan import make_plan
from mainwright.web.app import create_app
from mainwright.web.server import LOCAL, Server, address_of_socket, hosts_of, listen
from mainwright.workflow.desk import Order
from mainwright.workflow.jobs_at_hand import JobsAtHand
from mainwright.workflow.library import Library
from mainwright.workflow.library_entry import Facts
from mainwright.workflow.live_commands import Start
from mainwright.workflow.live_runs import FollowingBegun
from mainwright.workflow.making import Making
from tests.browser.serving import served
from tests.browser.vans import Van

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from mainwright.job.faults import Row
    from mainwright.job.job import Job
    from mainwright.plan.result import Plan
    from mainwright.workflow.desk import Paper
    from mainwright.workflow.pairing import Role
    from mainwright.workflow.ports import Progress
    from mainwright.workflow.visiting import UseCases

__all__ = ["Stage", "stage"]

PHONES: Final = "127.0.0.2"
BARE: Final = """\
[job]
name = "Wharf main"
reference = "W-1"
client = "Marrowby Waterworks"

[lining]
governing_document = "Own, first edition"
nominal_mm = 5.0
minimum_mm = 4.0
"""
MAIN: Final = "from_m,to_m,dn,material\n0,300,200,grey_iron\n"


@dataclass(frozen=True, slots=True)
class Stage:
    """Where the pages are: addresses without the stroke at the end.

    Attributes
    ----------
    uses
        What the pages of ``jobs`` ask.
    jobs
        As the lead sees them on the machine that serves.
    phones
        The same for phones.
    van
        With a run of a simulated rig, and no store.
    tokens
        What a phone brings that was let in, by its role.
    """

    uses: UseCases
    jobs: str
    phones: str
    van: str
    tokens: dict[str, str]


class _Papers:
    """The desk of the app, at which three papers stand as being made, as failed and as ready; a job whose papers nobody can list."""

    def __init__(self, desk: object) -> None:
        self._desk = desk

    def __getattr__(self, name: str) -> object:
        return getattr(self._desk, name)

    def papers(self, name: str, plan: Plan, current: Plan) -> Sequence[tuple[Paper, Order | None]]:
        if name == "w-2":
            raise RuntimeError("a fault of ours")
        found: list[tuple[Paper, Order | None]] = self._desk.papers(name, plan, current)  # type: ignore[attr-defined]
        if name != "w-1":
            return found
        states = {"plan.pdf": Order(0.4), "plan.json": Order(content=b"x" * 123_456), "job.zip": Order(failed="The disk is full.")}
        return [(one, states.get(one.name, order)) for one, order in found]


def _planner(known: Sequence[Plan], held: threading.Event) -> Callable[[Job, Progress | None], Plan]:
    def planned(job: Job, told: Progress | None) -> Plan:
        reference = job.info.reference
        if reference == "W-3":
            if told is not None:
                told(3, 10)
            held.wait(600.0)
        if reference == "W-4":
            raise InputError("job", reference, "", "a job that can be planned")
        return next((one for one in known if one.job.revision == job.revision), None) or make_plan(job, progress=told)

    return planned


def _bare(place: Path, reference: str, name: str) -> Path:
    place.mkdir()
    text = BARE.replace('"W-1"', f'"{reference}"').replace("Wharf main", name)
    (place / "job.toml").write_text(text, encoding="utf-8")
    (place / "main.csv").write_text(MAIN, encoding="utf-8")
    return place


def _fill(uses: UseCases) -> None:
    """Put into the store what pages show: a faulty job, a revision, entries of the library."""
    shelf = uses.jobs.shelf
    first: Row = {"name": "Quay main", "reference": "W-5", "client": "Marrowby Waterworks", "language": "en"}
    shelf.save(
        Document({"job": [first], "main": [{"from_m": "0", "to_m": "x12", "dn": "150"}, {"from_m": "60", "to_m": "50"}]}), author="test"
    )
    document = shelf.document("tl-03")
    features = [dict(row) for row in document.rows("features")]
    features[0]["note"] = "seen in the trench, and the cover is deeper than the drawing of 1974 says"
    features.pop()
    shelf.save(replace(document, tables={**document.tables, "features": features}), author="A. Lead")
    shelf.save(document, author="B. Lead")
    library = Library(shelf)
    facts = Facts(name="Marrowby prices", day=date(2026, 3, 1), status="read", origin="Tender 7", currency="EUR")
    row: Row = {"item": "camera", "unit": "m", "low": 3.0, "rate": 4.25, "high": 6.0}
    kept = library.keep("prices", facts, {"prices": [row]}, author="A. Lead")
    library.keep("prices", facts, {"prices": [{**row, "rate": 4.5}]}, author="B. Lead", entry=kept)
    old = library.keep("prices", replace(facts, name="Old prices"), {"prices": [row]}, author="A. Lead")
    library.withdraw(old, author="A. Lead")


@contextmanager
def stage() -> Iterator[Stage]:
    """Build it."""
    with ExitStack() as open_things:
        place = Path(open_things.enter_context(TemporaryDirectory()))
        make_demo(place / "empty")
        job = read_job(place / "empty").job
        assert job is not None
        plan = make_plan(job)
        make_recorded(place / "tallow", plan)
        name = str(place / "store.sqlite")
        for folder in (
            place / "tallow",
            _bare(place / "w1", "W-1", "Wharf main"),
            _bare(place / "w2", "W-2", "Staithe main"),
            _bare(place / "w3", "W-3", "Ropewalk main"),
            _bare(place / "w4", "W-4", "Cooperage main"),
        ):
            import_job(folder, store=name, author="test")
        store = open_things.enter_context(open_store(name))
        held = threading.Event()
        open_things.callback(held.set)
        sock = listen(LOCAL, 0)
        port = sock.getsockname()[1]
        phones = listen(PHONES, port)
        made = page_use_cases(store, van=address_of_socket(phones, "http"), devices=place / "devices.json")
        jobs = JobsAtHand(
            made.jobs.shelf,
            planner=_planner([plan], held),
            background=lambda work: threading.Thread(target=work, daemon=True).start(),
        )
        uses = replace(made, jobs=jobs, papers=_Papers(made.papers))  # type: ignore[arg-type]
        for planned in (jobs.job("w-1"), jobs.job("w-2")):
            while planned is not None and isinstance(jobs.current(planned), Making):
                time.sleep(0.02)
        open_things.callback(uses.live.close)
        _fill(uses)
        uses.live.begin("tl-03", plan, "R02", FollowingBegun("Ada", None, turned=False))
        assert uses.pairing is not None
        tokens: dict[str, str] = {}
        roles: tuple[Role, ...] = ("viewer", "crew")
        for role in roles:
            code = uses.pairing.offer(role)
            tokens[role] = uses.pairing.pair(code.text, name=role.title(), where=PHONES)[1]
        uses.pairing.offer("crew")
        server = Server(create_app(uses, hosts=[*hosts_of(LOCAL, port), *hosts_of(PHONES, port)]), sock, van=phones)
        server.start()
        open_things.callback(server.stop)
        van = Van()
        open_things.callback(van.close)
        van.run.do(Start(), who="Ada", press="p1").result(5)
        van.tell(200)
        van.tell(40, speed=0.19)
        alone = open_things.enter_context(served(van.uses()))
        yield Stage(uses, server.address.rstrip("/"), address_of_socket(phones, "http").rstrip("/"), alone.address.rstrip("/"), tokens)
