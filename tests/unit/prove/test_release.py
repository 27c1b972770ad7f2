"""Whether the main is released: a signature is good for its state alone, and shuts no gate."""

from datetime import UTC, datetime

import pytest

from mainwright.job.records import Records, Signature
from mainwright.prove.release import Release, release_of
from mainwright.prove.signing import Signing, water_signing
from mainwright.prove.verdict import PartVerdict
from mainwright.prove.water import WaterVerdict

NOON = datetime(2026, 7, 1, 12, tzinfo=UTC)


def _signing(*signed: Signature, water: WaterVerdict = "released", pressure: PartVerdict = "meets") -> Signing:
    return water_signing(Records(signatures=signed), water=water, pressure=pressure, missing=())


def _signature(state: str, **changes: object) -> Signature:
    given = {"what": "water", "decision": "accepts", "name": "J. Osier", "time": NOON, "role": "client", "state": state} | changes
    return Signature(**given)  # type: ignore[arg-type]


def _release(*, water: WaterVerdict = "released", pressure: PartVerdict = "meets", quick: str | None = None, **changes: object) -> Release:
    state = _signing(water=water, pressure=pressure).state
    return release_of(_signing(_signature(str(changes.pop("state", state)), **changes), water=water, pressure=pressure), quick=quick)


def test_unsigned_is_not_released() -> None:
    found = release_of(_signing(), quick=None)
    assert (found.verdict, found.in_use) == ("not_signed", False)


def test_a_signature_for_what_is_proved_releases() -> None:
    found = _release()
    assert (found.verdict, found.in_use) == ("released", True)
    assert dict(found.said[0].values)["name"] == "J. Osier (client)"


def test_a_dissent_refuses_and_gives_its_reason() -> None:
    found = _release(decision="dissents", note="turbid at the far end")
    assert (found.verdict, found.in_use) == ("refused", False)
    assert dict(found.said[0].values)["reason"] == "turbid at the far end"


def test_a_signature_for_an_earlier_state_counts_for_nothing() -> None:
    assert _release(state="0" * 64).verdict == "outdated"
    assert not _release(state="0" * 64).in_use


@pytest.mark.parametrize(("water", "pressure"), [("not_released", "meets"), ("missing", "meets"), ("released", "incomplete")])
def test_an_open_gate_is_signed_with_a_reason_or_not_at_all(water: WaterVerdict, pressure: PartVerdict) -> None:
    bare = _release(water=water, pressure=pressure)
    assert (bare.verdict, bare.in_use) == ("no_reason", False)
    told = _release(water=water, pressure=pressure, note="hospital without water")
    assert (told.verdict, told.in_use) == ("with_reason", True)
    assert "stays open" in told.said[-1].text


def test_a_quick_return_needs_a_reason_too_and_is_named() -> None:
    bare = _release(quick="M. Weir, 30 June")
    assert (bare.verdict, bare.in_use) == ("no_reason", False)
    told = _release(quick="M. Weir, 30 June", note="agreed deviation 4")
    assert told.verdict == "with_reason"
    assert dict(told.said[0].values)["who"] == "M. Weir, 30 June"
