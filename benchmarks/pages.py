"""How long the pages of a long job take while a hundred jobs lie in the store, against the same server answering an empty page.

``python -m benchmarks.pages [metres [times]]`` makes an invented job of that length (10,000 unless given) and 99 short ones, plans the long
one once, asks each page so often (60 unless given) with one browser and with two at once, prints a line for each page and ends with an error
where a goal is missed. Beside the time on the clock stands that of the processor, of server and asking browser together: other work on the machine
moves it little. The first look is that of a reader to whom the place was not shown yet, in a program that showed it to another one. The job is the demo main laid end to end; its programme is searched for as briefly as can be.
"""

from __future__ import annotations

import http.client
import os
import pickle
import sys
import tempfile
import threading
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from pathlib import Path
from time import perf_counter, process_time, sleep
from typing import TYPE_CHECKING, Any, Final, TypeVar

from fastapi import FastAPI
from fastapi.responses import HTMLResponse
from tests.browser.serving import served
from tests.long_job import long_job

from mainwright.bootstrap import open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.job.survey import OpeningChoice
from mainwright.plan.plan import make_plan
from mainwright.plan.programme.programme import Search
from mainwright.web.guard import Guard
from mainwright.web.server import LOCAL, Server, hosts_of, listen
from mainwright.workflow.layout_desk import LayoutDesk
from mainwright.workflow.making import Making

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from mainwright.job.job import Job
    from mainwright.plan.result import Plan

T = TypeVar("T")

GOAL: Final = 0.100
"""Of the 95th percentile of every page [s]."""
WORK: Final = 0.030
"""Of the processor for a page that was shown before [s]."""
FIRST_WORK: Final = 0.300
"""Of the processor for a page at which nobody looked since its job changed [s]."""
FIRST_BYTES: Final = 300_000
"""Most that the first page of a visit may bring, with its style, script and type."""
DESK: Final = 0.100
"""Of the processor for price and limits of a layout by hand, and for the best one, after an opening was moved [s]."""
JOBS: Final = 100
PLACES: Final = (
    "survey",
    "lining",
    "layout",
    "runs",
    "runs/R01",
    "proof",
    "water",
    "programme",
    "money",
    "documents",
    "ribbon",
    "ribbon.svg",
)


def fill(store: Any, length: float) -> str:  # noqa: ANN401 - a store that is open
    """Put the jobs into the store, and return the address of the long one."""
    document = long_job(length=length)
    short = long_job(length=1000.0, reference="S")
    with store.transaction() as shelf:
        shelf.put(document, author="benchmark")
        for number in range(1, JOBS):
            info = dict(short.rows("job")[0]) | {"reference": f"S-{number:03}", "name": f"Short main {number}"}
            shelf.put(replace(short, tables={**short.tables, "job": [info]}), author="benchmark")
    return "long-1"


def planned(job: Job) -> Plan:
    """Return the plan; kept in a file that the environment names, for trying again."""
    kept = os.environ.get("BENCHMARK_PLAN")
    if kept and Path(kept).exists():
        with Path(kept).open("rb") as file:
            plan: Plan = pickle.load(file)  # noqa: S301 - a file of our own
        if plan.job.revision == job.revision:
            return plan
    plan = make_plan(job, search=Search(enough=lambda: True))
    if kept:
        Path(kept).write_bytes(pickle.dumps(plan))
    return plan


class Browser:
    """One connection that stays open, as a browser's does."""

    def __init__(self, address: str) -> None:
        self._connection = http.client.HTTPConnection(address.removeprefix("http://").rstrip("/"), timeout=300)

    def ask(self, path: str, language: str = "en") -> tuple[float, int, str]:
        """Return how long a page took [s], how many bytes it has and its text."""
        begun = perf_counter()
        try:
            self._connection.request("GET", path, headers={"accept-language": language})
            answer = self._connection.getresponse()
        except http.client.RemoteDisconnected:  # the server closes a connection that was idle for some seconds
            self._connection.close()
            return self.ask(path, language)
        body = answer.read()
        spent = perf_counter() - begun
        assert answer.status == 200, (path, answer.status)
        return spent, len(body), body.decode("utf-8", "replace")


def times(address: str, path: str, count: int, browsers: int) -> list[float]:
    """Return how long each of some answers took, asked by so many browsers at once [s]."""
    spent: list[float] = []

    def look() -> None:
        browser = Browser(address)
        spent.extend(browser.ask(path)[0] for _ in range(count))

    lookers = [threading.Thread(target=look) for _ in range(browsers)]
    for one in lookers:
        one.start()
    for one in lookers:
        one.join()
    return sorted(spent)


@contextmanager
def empty_page() -> Iterator[str]:
    """Serve nothing but an empty page, behind the same guard."""
    sock = listen(LOCAL, 0)
    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)
    app.add_middleware(Guard, hosts=hosts_of(*sock.getsockname()[:2]))

    @app.get("/")
    def _nothing() -> HTMLResponse:
        return HTMLResponse("")

    server = Server(app, sock)
    server.start()
    sleep(0.5)
    try:
        yield server.address
    finally:
        server.stop()


def worked(look: Callable[[], T]) -> tuple[T, float]:
    """Return what was seen, and what it took of the processor, here where both sides are one program [s]."""
    begun = process_time()
    found = look()
    return found, process_time() - begun


def p95(values: list[float]) -> float:
    return values[min(int(0.95 * len(values)), len(values) - 1)]


def at_the_desk(job: Job, count: int) -> dict[str, list[float]]:
    """Return what each question at the layout desk took of the processor while openings are moved and fixed one after another [s]."""
    desk = LayoutDesk()
    found, first = worked(lambda: desk.searched(job, (), None))
    opened = [one.chainage for one in found.openings]
    spent: dict[str, list[float]] = {"first search": [first], "layout by hand": [], "best layout": []}
    fixed: list[OpeningChoice] = []
    for number in range(count):
        at = 1 + (7 * number) % (len(opened) - 2)
        there = round(0.5 * (opened[at] + max(opened[at - 1], opened[at] - 10.0)), 1)
        moved = [*opened[:at], there, *opened[at + 1 :]]
        spent["layout by hand"].append(worked(lambda moved=moved: desk.tried(job, moved))[1])
        fixed.append(OpeningChoice(there, "locked"))
        spent["best layout"].append(worked(lambda: desk.searched(job, fixed, None))[1])
    return {name: sorted(times) for name, times in spent.items()}


def first_page(browser: Browser) -> int:
    """Return the bytes of the list of jobs with all that it brings along."""
    size, text = browser.ask("/")[1:]
    names = [part.partition('"')[0] for part in text.split('"/static/')[1:]]
    styles = [browser.ask(f"/static/{name}") for name in dict.fromkeys(names)]
    type_files = {part.partition('"')[0] for _, _, body in styles for part in body.split('"/static/')[1:]}
    return size + sum(found[1] for found in styles) + sum(browser.ask(f"/static/{name}")[1] for name in sorted(type_files))


def main() -> int:
    length = float(sys.argv[1]) if len(sys.argv) > 1 else 10_000.0
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 60
    with ExitStack() as open_:
        place = open_.enter_context(tempfile.TemporaryDirectory())
        store = open_.enter_context(open_store(str(Path(place) / "store.sqlite")))
        job = fill(store, length)
        uses = page_use_cases(store)
        uses.jobs._planner = lambda job, told: planned(job)  # noqa: SLF001 - the pages are measured, not the plan
        server = open_.enter_context(served(uses))
        peer = times(open_.enter_context(empty_page()), "/", 10 * count, 1)
        browser = Browser(server.address)
        first_list = browser.ask("/")[0]
        read = uses.jobs.job(job)
        assert read is not None
        assert read.read.job is not None
        while isinstance(plan := uses.jobs.plan(read.read.job), Making):
            assert plan.failed is None, plan.failed
            sleep(0.5)
        assert plan.runs, "the long job has no layout"
        while "http-equiv" in browser.ask("/")[2]:
            sleep(0.5)
        print(
            f"{plan.job.main[-1].end:.0f} m, {len(plan.runs)} runs, {JOBS} jobs; empty page p95 {1e3 * p95(peer):.1f} ms; first look at the list {1e3 * first_list:.0f} ms"
        )
        print("| page | bytes | first look, CPU ms | CPU ms | p95 ms | by the empty page | two at once p95 ms |")
        print("| --- | ---: | ---: | ---: | ---: | ---: | ---: |")
        missed = False
        for path in ("/", *(f"/jobs/{job}/{one}" for one in PLACES), "/library", "/new-job"):
            browser.ask(path, "de")
            (size, text), first = worked(lambda path=path: browser.ask(path)[1:])
            assert "progress max" not in text, f"{path} is not there yet"
            works = sorted(worked(lambda path=path: browser.ask(path))[1] for _ in range(count))
            alone, both = p95(times(server.address, path, count, 1)), p95(times(server.address, path, count // 2, 2))
            work = works[len(works) // 2]
            over = alone > GOAL or work > WORK or first > FIRST_WORK
            missed |= over
            shown = path.replace(f"/jobs/{job}/", "")
            print(
                f"| {shown} | {size:,} | {1e3 * first:.0f} | {1e3 * work:.1f} | {1e3 * alone:.1f}{' MISSED' if over else ''} | {alone / p95(peer):.1f} | {1e3 * both:.1f} |"
            )
        for what, spent in at_the_desk(read.read.job, count).items():
            over = what != "first search" and p95(spent) > DESK
            missed |= over
            print(
                f"layout desk, {what}: {1e3 * spent[len(spent) // 2]:.0f} ms CPU, p95 {1e3 * p95(spent):.0f} ms{' MISSED' if over else ''}"
            )
        whole = first_page(browser)
        missed |= whole > FIRST_BYTES
        print(f"first page with style, script and type: {whole:,} bytes{' MISSED' if whole > FIRST_BYTES else ''}")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
