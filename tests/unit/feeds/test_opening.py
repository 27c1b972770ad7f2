"""What an argument of the command line opens."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from mainwright.bootstrap.feeds import new_inbox, open_feed
from mainwright.errors import FaultyInput, InputError
from mainwright.workflow.live_ports import Signal
from tests.unit.feeds.rig import running, until

RUN = "time,odometer_m,flow_l_min\n2026-05-04T12:00:00Z,1,30\n2026-05-04T12:00:01Z,2,30\n"
MAPPING = """
[[feed]]
source = "drum"
kind = "csv"
path = "drum.csv"
[feed.time]
column = "t"
format = "iso"
[feed.channels.odometer]
column = "way_m"
unit = "m"

[[feed]]
source = "pump"
kind = "csv"
path = "pump.csv"
[feed.time]
column = "t"
format = "iso"
[feed.channels.flow]
column = "q"
unit = "l_min"
"""


@pytest.mark.parametrize("spec", ["replay:{}@max", "replay:{}@1000", "replay:{}", "csv:{}"])
def test_a_run_file_is_opened(tmp_path: Path, spec: str) -> None:
    path = tmp_path / "run@R1.csv"
    path.write_text(RUN)
    inbox, signals = new_inbox(), list[Signal]()
    with running(open_feed(spec.format(path), inbox=inbox, notice=signals.append, seed=1)):
        found = inbox.take(1, timeout=5.0)
        until(lambda: bool(signals))
    assert found[0].reading.values["odometer"] == 1.0
    assert found[0].reading.source.partition(":")[0] == spec.partition(":")[0]


def test_a_mapping_of_several_feeds_is_one_feed(tmp_path: Path) -> None:
    (tmp_path / "feeds.toml").write_text(MAPPING)
    (tmp_path / "drum.csv").write_text("t,way_m\n2026-05-04T12:00:00Z,1\n")
    (tmp_path / "pump.csv").write_text("t,q\n2026-05-04T12:00:00Z,30\n")
    inbox, signals = new_inbox(), list[Signal]()
    feed = open_feed(str(tmp_path / "feeds.toml"), inbox=inbox, notice=signals.append, clock=lambda: datetime(2026, 5, 4, 12, tzinfo=UTC))
    with running(feed):
        until(lambda: len(inbox) == 2)
        assert not feed.finished
    assert feed.finished
    assert {one.reading.source.partition(":")[0] for one in inbox.take(2, timeout=0.0)} == {"drum", "pump"}


def test_faults_of_a_mapping_have_their_lines(tmp_path: Path) -> None:
    (tmp_path / "feeds.toml").write_text(MAPPING.replace('unit = "m"', 'unit = "bar"').replace('column = "q"', "column = 3"))
    with pytest.raises(FaultyInput, match="2 faults") as caught:
        open_feed(str(tmp_path / "feeds.toml"), inbox=new_inbox(), notice=print)
    assert [str(fault).partition(": ")[0] for fault in caught.value.faults] == ["feeds.toml:11", "feeds.toml:21"]


@pytest.mark.parametrize("spec", ["replay:", "replay:nowhere.csv", "replay:nowhere.csv@10", "csv:", "nowhere.toml", "mqtt:host", ""])
def test_what_names_no_feed_is_refused(spec: str) -> None:
    with pytest.raises(InputError, match=r"feed .* must be|feed"):
        open_feed(spec, inbox=new_inbox(), notice=print)


@pytest.mark.parametrize("speed", ["0", "-1", "nan"])
def test_a_speed_that_is_none_is_refused(tmp_path: Path, speed: str) -> None:
    (tmp_path / "run_R1.csv").write_text(RUN)
    with pytest.raises(InputError, match="speed"):
        open_feed(f"replay:{tmp_path}/run_R1.csv@{speed}", inbox=new_inbox(), notice=print)


def test_every_kind_of_feed_is_wired(tmp_path: Path) -> None:
    kinds = {
        "mqtt": 'host = "h"\nclient = "c"\nca_file = "ca.pem"\ntls = "yes"\n[feed.channels.flow]\ntopic = "t"',
        "modbus": 'host = "h"\n[feed.channels.flow]\nregister = 1\ntype = "int16"',
        "serial": 'port = "p"\nformat = "sentences"\nsentence = "A"\n[feed.channels.flow]\nfield = 1',
    }
    for kind, keys in kinds.items():
        (tmp_path / "feeds.toml").write_text(f'[[feed]]\nsource = "a"\nkind = "{kind}"\n{keys}\nunit = "l_min"\n')
        assert not open_feed(str(tmp_path / "feeds.toml"), inbox=new_inbox(), notice=print).finished
