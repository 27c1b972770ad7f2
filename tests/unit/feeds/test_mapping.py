"""The mapping of feeds: what is right, and every fault with its key."""

import pytest

from mainwright.errors import FaultyInput
from mainwright.feeds.mapping import ModbusSource, MqttSource, SerialSource, feed_mappings
from mainwright.folder.mapping_file import mapping_faults
from mainwright.folder.toml_text import read_toml_text
from mainwright.workflow.mapping import MappingFault
from tests.unit.feeds.rig import mapped

GOOD = """
[[feed]]
source = "pump"
kind = "modbus"
host = "192.0.2.7"
period_s = 0.5
[feed.channels.flow]
register = 10
type = "uint32"
word_order = "low_first"
scale = 0.01
offset = -1.5
unit = "l_min"
absent = [4294967295]
least = 0.0
most = 80.0
most_per_s = 60.0
frozen_s = 20.0
"""


def test_a_mapping_says_where_a_value_stands_and_what_it_is() -> None:
    mapping = mapped(GOOD)
    assert mapping.origin == ModbusSource("192.0.2.7", 502, 1, 0.5, 2.0)
    (rule,) = mapping.channels
    assert (rule.place.register, rule.place.word, rule.place.high_word_first) == (10, "uint32", False)
    assert rule.si(1350.0) == pytest.approx(12.0e-3 / 60.0)
    ((channel, limits),) = mapping.limits.channels
    assert channel == "flow"
    assert (limits.most, limits.rate) == pytest.approx((80e-3 / 60, 1e-3))
    assert limits.frozen == 20.0


def test_an_offset_unit_is_no_matter_for_a_rate() -> None:
    mapping = mapped(GOOD.replace('"l_min"', '"gpm"'))
    assert mapping.limits.channels[0][1].rate == pytest.approx(60.0 * 3.785411784e-3 / 60.0)


def test_every_kind_has_its_places() -> None:
    mqtt = mapped(
        '[[feed]]\nsource = "a"\nkind = "mqtt"\nhost = "h"\nclient = "van"\n'
        '[feed.number]\ntopic = "t"\nkey = "n"\n[feed.time]\ntopic = "t"\nkey = "at"\nformat = "iso"\n[feed.channels.odometer]\ntopic = "t"\nkey = "way.m"\nunit = "m"\n'
    )
    assert mqtt.origin == MqttSource("h", 1883, "van", "", 200, 604800.0, 15.0, False, "")
    assert mqtt.number is not None
    assert mqtt.number.name == "n"
    serial = mapped(
        '[[feed]]\nsource = "a"\nkind = "serial"\nport = "/dev/ttyUSB0"\nformat = "pattern"\npattern = \'L=(?P<way>[0-9.]+)\'\n'
        '[feed.channels.odometer]\ngroup = "way"\nunit = "ft"\n'
    )
    assert isinstance(serial.origin, SerialSource)
    assert serial.channels[0].si(10.0) == pytest.approx(3.048)


FAULTY = """[[feed]]
source = "pump house"
kind = "modbus"
port = 70000
perod_s = 1
[feed.channels.flow]
register = -1
type = "int24"
unit = "bar"
scale = 0
absent = 3
[feed.channels.presure]
register = 1

[[feed]]
source = "x"
kind = "mtqq"

[[feed]]
source = "x"
kind = "serial"
port = "p"
format = "pattern"
pattern = "(?P<way>["
[feed.channels]
"""


def test_all_faults_are_told_at_once_with_their_lines() -> None:
    read = read_toml_text("feeds.toml", FAULTY.encode())
    with pytest.raises(FaultyInput, match="faults in the input") as caught:
        feed_mappings(read.values)
    told = [str(fault) for fault in mapping_faults(caught.value.faults, file="feeds.toml", lines=read.lines).faults]
    for line, key in (
        (2, "feed.0.source"), (1, "feed.0.host"), (4, "feed.0.port"), (5, "feed.0.perod_s"), (7, "feed.0.channels.flow.register"),
        (8, "feed.0.channels.flow.type"), (9, "feed.0.channels.flow.unit"), (10, "feed.0.channels.flow.scale"),
        (11, "feed.0.channels.flow.absent"), (12, "feed.0.channels.presure"), (17, "feed.1.kind"), (20, "feed.2.source"),
        (24, "feed.2.pattern"), (25, "feed.2.channels"),
    ):  # fmt: skip
        assert any(text.startswith(f"feeds.toml:{line}: {key}:") for text in told), (key, told)
    assert "is pressure meant" in "".join(told)
    assert len(told) == 14


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("", "feed"),
        ("feed = 3", "feed"),
        ('[[feed]]\nsource = "a"\nkind = "csv"\npath = "x"\n[feed.time]\ncolumn = "t"\nformat = "iso"', "feed.0.channels"),
        (
            '[[feed]]\nsource = "a"\nkind = "csv"\npath = "x"\n[feed.channels.flow]\ncolumn = "f"\nunit = "l_min"',
            "feed.0.time",
        ),
        (
            '[[feed]]\nsource = "a"\nkind = "mqtt"\nhost = "h"\nclient = "c"\n[feed.number]\ntopic = "t"\nkey = "n"\n'
            '[feed.time]\ntopic = "u"\nformat = "iso"\n[feed.channels.flow]\ntopic = "t"\nunit = "l_min"',
            "feed.0.number",
        ),
        (
            '[[feed]]\nsource = "a"\nkind = "csv"\npath = "x"\n[feed.channels.flow]\ncolumn = ""\nunit = "l_min"\n'
            '[feed.time]\ncolumn = "t"\nformat = "iso"',
            "feed.0.channels.flow.column",
        ),
        (
            '[[feed]]\nsource = "a"\nkind = "csv"\npath = "x"\n[feed.channels.flow]\ncolumn = "f"\nunit = "l_min"\n[feed.time]\ncolumn = "t"\n'
            'format = "iso"\noffset_from_utc = "CET"',
            "feed.0.time.offset_from_utc",
        ),
        (
            '[[feed]]\nsource = "a"\nkind = "mqtt"\nhost = "h"\nclient = "c"\n[feed.channels.flow]\ntopic = "a/#"\nunit = "l_min"',
            "feed.0.channels.flow.topic",
        ),
        (
            '[[feed]]\nsource = "a"\nkind = "serial"\nport = "h"\nformat = "pattern"\npattern = "(?P<a>.)"\n[feed.channels.flow]\ngroup = "b"\n'
            'unit = "l_min"',
            "feed.0.channels.flow.group",
        ),
    ],
)
def test_a_single_fault_is_told_at_its_key(text: str, key: str) -> None:
    with pytest.raises(FaultyInput, match="1 fault") as caught:
        feed_mappings(read_toml_text("feeds.toml", text.encode()).values)
    (fault,) = caught.value.faults
    assert isinstance(fault, MappingFault)
    assert fault.key == key
