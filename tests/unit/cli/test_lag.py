"""``lag`` as somebody uses it."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from mainwright.bootstrap import open_store
from mainwright.cli.root import cli
from mainwright.errors import NotFound
from mainwright.line.alarms import AlarmRules
from mainwright.line.plan_codec import header_document
from mainwright.workflow.live_ports import LogEntry, RunKey
from tests.unit.line.plans import plan
from tests.unit.line.test_hose_lag import readings

KEY = RunKey("TL-03", "R01")


def keep_run(store: Path, *, lag: float, pressure: bool = True) -> None:
    entries = [LogEntry("started", 1e9 - 1.0, {"who": "lead"})]
    for number, one in enumerate(readings(lag)):
        values = {"number": number, "odometer": 0.01 * number, "flow": one.flow, "pressure": one.pressure if pressure else None}
        entries.append(LogEntry("reading", one.time, values))
    with open_store(str(store)) as opened:
        opened.log.begin(KEY, header_document(plan(), rules=AlarmRules(), bin_length=0.1, lag=0.0), author="lead")
        opened.log.append(KEY, entries, after=0)


def test_the_constant_of_a_kept_run_is_told_for_the_next_one(tmp_path: Path) -> None:
    store = tmp_path / "store.sqlite"
    keep_run(store, lag=8.0)
    told = CliRunner().invoke(cli, ["lag", "TL-03", "R01", "--store", str(store)], standalone_mode=False)
    assert told.return_value == 0
    assert "Time constant of the hose: 8.0 s. For the next run with it: --lag-s 8.0" in told.stdout
    answer = json.loads(CliRunner().invoke(cli, ["lag", "TL-03", "R01", "--store", str(store), "--json"]).stdout)
    assert answer["lag_s"] == pytest.approx(8.0, rel=1e-6)
    assert [(one["kind"], one["counts"]) for one in answer["turns"]] == [("stop", True), ("start", True)]


def test_where_the_run_shows_none_that_is_said_with_what_it_takes(tmp_path: Path) -> None:
    store = tmp_path / "store.sqlite"
    keep_run(store, lag=8.0, pressure=False)
    told = CliRunner().invoke(cli, ["lag", "TL-03", "R01", "--store", str(store), "--strict"], standalone_mode=False)
    assert told.return_value == 1
    assert "it takes a stop or start of the pump with six or more readings" in told.stdout


def test_a_run_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(NotFound, match="R09"):
        cli.main(["lag", "TL-03", "R09", "--store", str(tmp_path / "store.sqlite")], standalone_mode=False)
