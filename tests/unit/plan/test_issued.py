"""An issued plan comes back as it was written, and what is not a plan is told so."""

import contextlib
import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.paper.plan_json import plan_document, plan_json
from mainwright.plan.issued import read_issued
from tests.unit.paper.test_plan_json import sample_plan, word


def issued_document() -> dict[str, Any]:
    found: dict[str, Any] = json.loads(plan_json(sample_plan(), word=word))
    return found


def test_runs_and_openings_come_back_as_they_were_written() -> None:
    issued = read_issued(issued_document())
    plan = sample_plan()
    again = type(plan)(**{name: getattr(plan, name) for name in plan.__slots__} | {"runs": issued.runs, "openings": issued.openings})
    before, after = plan_document(plan, word=word), plan_document(again, word=word)
    assert before == after
    assert issued.revision == plan.job.revision
    assert issued.cost == 1200.0
    assert issued.retired == ("R07",)


@pytest.mark.parametrize("document", [None, [], "plan", 3, {}, {"runs": []}, {"mainwright": "0.1.0"}])
def test_what_is_not_a_plan_is_told(document: object) -> None:
    with pytest.raises(InputError, match="issued plan"):
        read_issued(document)


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("id", "R 01", r"runs\[0\]: id is R 01; allowed: letters, digits and hyphens"),
        ("id", None, r"runs\[0\]: id is NoneType; allowed: a text"),
        ("from_m", "0", r"runs\[0\]: from_m is 0; allowed: a finite number"),
        ("from_m", True, r"runs\[0\]: from_m is True; allowed: a finite number"),
        ("from_m", 500.0, r"runs\[0\]: from_m is 500.0 m; allowed: less than to_m"),
        ("to_m", float("nan"), r"runs\[0\]: to_m is nan; allowed: a finite number"),
        ("direction", "up", r"runs\[0\]: direction is up; allowed: increasing or decreasing"),
        ("batches", 2.5, r"runs\[0\]: batches is 2.5; allowed: a whole number"),
        ("marks", {}, r"runs\[0\]: marks is dict; allowed: a list"),
        ("settings", [3], r"runs\[0\]: settings\[0\] is int; allowed: an object"),
        ("settings", [], r"runs\[0\]: settings is empty; allowed: one for each length"),
        ("mortar_l", 0.0, r"runs\[0\]: mortar_l is 0.0; allowed: more than 0"),
        ("done", "yes", r"runs\[0\]: done is yes; allowed: true or false"),
    ],
)
def test_a_broken_run_is_told_with_its_place(key: str, value: object, told: str) -> None:
    document = issued_document()
    document["runs"][0][key] = value
    with pytest.raises(InputError, match=told):
        read_issued(document)


def test_two_runs_of_one_id_are_refused() -> None:
    document = issued_document()
    document["runs"].append(document["runs"][0])
    with pytest.raises(InputError, match="runs is R01; allowed: each id once"):
        read_issued(document)


def test_a_surface_that_nobody_knows_is_told() -> None:
    document = issued_document()
    document["openings"][0]["surface"] = "moss"
    with pytest.raises(InputError, match=r"openings\[0\]: surface is moss; allowed: verge"):
        read_issued(document)


SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**400), 10**400),
    st.floats(),
    st.text(max_size=5),
    st.sampled_from(["R01", "increasing", "verge"]),
)
VALUES = st.recursive(
    SCALARS, lambda inner: st.lists(inner, max_size=2) | st.dictionaries(st.text(max_size=4), inner, max_size=2), max_leaves=4
)


def places(content: object, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    found = [path] if path else []
    if isinstance(content, dict):
        return found + [place for key, value in content.items() for place in places(value, (*path, key))]
    return found + [place for n, value in enumerate(content) for place in places(value, (*path, n))] if isinstance(content, list) else found


@given(st.data())
def test_whatever_stands_in_a_document_is_read_or_told(data: st.DataObject) -> None:
    document = issued_document()
    *way, last = data.draw(st.sampled_from(places(document)))
    spot: Any = document
    for step in way:
        spot = spot[step]
    if data.draw(st.booleans()):
        del spot[last]
    else:
        spot[last] = data.draw(VALUES)
    with contextlib.suppress(InputError):
        read_issued(document)
