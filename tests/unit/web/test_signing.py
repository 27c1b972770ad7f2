"""What a form that signs must bring."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from mainwright.prove.signing import Signing
from mainwright.web.views.signing import signature_in

_NOW = datetime(2026, 5, 6, 12, tzinfo=UTC)
_FORM = {"decision": "accepts", "name": "Ada Lane", "role": "client", "note": "", "state": "abc"}


def test_a_form_becomes_a_row_with_the_state_that_was_read() -> None:
    row = signature_in(_FORM, Signing("abc", "meets", needs_reason=False, signatures=()), run="R01", now=_NOW)
    assert row == {
        "what": "run", "run": "R01", "decision": "accepts", "name": "Ada Lane", "role": "client", "verdict": "meets", "state": "abc",
        "time": "2026-05-06T12:00:00+00:00",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"decision": "maybe"}, "accept or dissent"),
        ({"name": " "}, "your name is needed"),
        ({"name": "x" * 81}, "your name is needed"),
        ({"note": "x" * 1001}, "longer than 1000"),
        ({"decision": "dissents"}, "a dissent needs its reason"),
        ({}, "the proof does not show all"),
        ({"note": "patched", "state": "older"}, "has changed since this page was opened"),
    ],
)
def test_what_is_missing_is_said_and_nothing_is_signed(change: dict[str, str], why: str) -> None:
    signing = Signing("abc", "incomplete", needs_reason=True, signatures=())
    with pytest.raises(ValueError, match=why):
        signature_in({**_FORM, **change}, signing, run=None, now=_NOW)
