"""A question about a layout that follows another one: the answer is that of a question asked for the first time."""

import random
from dataclasses import replace

import pytest

from mainwright.job.job import Job
from mainwright.plan.host import Host, resolve_host
from mainwright.plan.layout import again as module
from mainwright.plan.layout.again import Again
from mainwright.plan.layout.choose import choose_layout
from mainwright.plan.layout.limits import Line, Relaxed
from mainwright.plan.layout.problem import build
from mainwright.plan.layout.reaches import Reaches, alike, find_reaches
from mainwright.plan.layout.tried import tried_layout
from mainwright.plan.placing import Linings
from tests.unit.paper.sample import sample_plan


@pytest.fixture(scope="module")
def asked() -> tuple[Job, Host, Linings]:
    job = sample_plan().job
    host = resolve_host(job)
    return job, host, Linings(job, host)


@pytest.mark.parametrize("seed", range(3))
def test_what_is_asked_again_is_answered_as_if_for_the_first_time(seed: int, asked: tuple[Job, Host, Linings]) -> None:
    job, host, linings = asked
    rng, again = random.Random(seed), Again()
    opened = [one.chainage for one in choose_layout(job, host, prices_of_limits=False, linings=linings).openings]
    locked: list[float] = []
    forbidden: list[float] = []
    for _ in range(15):
        way = rng.random()
        if way < 0.5 or not locked:
            locked.append(round(rng.uniform(host.start, host.end), rng.choice([0, 1])))
        elif way < 0.8:
            at = rng.randrange(len(locked))
            locked[at] = min(host.end, max(host.start, round(locked[at] + rng.uniform(-9.0, 9.0), 1)))
        else:
            locked.pop()
        forbidden = [rng.choice(opened)] if rng.random() < 0.5 else []
        first = choose_layout(job, host, prices_of_limits=False, linings=linings, locked=locked, forbidden=forbidden)
        assert choose_layout(job, host, prices_of_limits=False, linings=linings, locked=locked, forbidden=forbidden, again=again) == first
        by_hand = [*opened[::2], *locked]
        assert tried_layout(job, host, by_hand, linings=linings, again=again) == tried_layout(job, host, by_hand, linings=linings)


def test_a_drag_reckons_a_piece_of_the_main_only(asked: tuple[Job, Host, Linings], monkeypatch: pytest.MonkeyPatch) -> None:
    job, host, linings = asked
    pieces = []

    def looked(line: Line) -> Reaches:
        pieces.append(line.candidates[-1].chainage - line.candidates[0].chainage)
        return find_reaches(line)

    monkeypatch.setattr(module, "find_reaches", looked)
    again = Again()
    for place in (600.0, 601.5, 603.0):
        choose_layout(job, host, prices_of_limits=False, linings=linings, locked=[place], again=again)
    assert pieces[0] == pytest.approx(host.end - host.start)
    assert max(pieces[1:]) < 0.6 * (host.end - host.start)


def test_how_much_two_lines_have_in_common(asked: tuple[Job, Host, Linings]) -> None:
    job, host, linings = asked
    again = Again()
    choose_layout(job, host, prices_of_limits=False, linings=linings, again=again)
    assert again.problem is not None
    line = again.problem.line.candidates
    assert alike(line, line) == (len(line), 0)
    assert alike(line, (*line[:10], *line[11:])) == (10, len(line) - 11)
    assert alike(line[:5], line) == (5, 0)


@pytest.mark.parametrize("name", ["max_length", "hose_length", "rope_pull", "max_bends_total", "connections", "shift", "hose_pressure"])
def test_a_raised_limit_is_reckoned_from_what_is_known(name: str, asked: tuple[Job, Host, Linings]) -> None:
    job, host, linings = asked
    again = Again()
    choose_layout(job, host, prices_of_limits=False, linings=linings, again=again)
    assert again.problem is not None
    line, known = again.problem.line, again.problem.reaches
    raised = replace(line, relaxed=Relaxed(name, 1e9))
    assert find_reaches(raised, (), (line, known)) == find_reaches(raised)
    layout = build(raised, again.problem.rates, (), find_reaches(raised))
    kept = build(raised, again.problem.rates, (), find_reaches(raised), again.problem)
    assert (kept.starts, kept.prices, kept.furthest) == (layout.starts, layout.prices, layout.furthest)


@pytest.mark.parametrize("hours", [2.0, 4.0, 6.0, 8.0])
def test_a_closing_is_reckoned_from_what_is_known(hours: float, asked: tuple[Job, Host, Linings]) -> None:
    job, host, linings = asked
    again = Again()
    choose_layout(job, host, prices_of_limits=False, linings=linings, again=again)
    assert again.problem is not None
    line = again.problem.line
    shorter = replace(line, closing=3600.0 * hours)
    assert find_reaches(shorter, (), (line, again.problem.reaches)) == find_reaches(shorter)
