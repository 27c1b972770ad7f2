"""Every key of a mapping of feeds is documented with its default, and nothing is documented that is not there."""

import math
import re
import tomllib
from pathlib import Path
from typing import get_args

import pytest

from mainwright.errors import FaultyInput
from mainwright.feeds.mapping import feed_mappings
from mainwright.feeds.watch import ChannelLimits
from mainwright.units import from_si, to_si
from mainwright.workflow.live_ports import CHANNELS, Channel, SignalKind
from mainwright.workflow.mapping import MappingFault

DOCS = Path(__file__).parents[2] / "docs"
PAGE = (DOCS / "reference" / "feed-mapping.md").read_text(encoding="utf-8")
HOW_TO = (DOCS / "how-to" / "connect-sensors.md").read_text(encoding="utf-8")
SECTIONS = dict(re.findall(r"^## (.+?)\n(.*?)(?=^## |\Z)", PAGE, flags=re.MULTILINE | re.DOTALL))
NOBODYS = "qqzzqq"
KINDS = {
    "csv": "",
    "mqtt": "",
    "modbus": "",
    "sentences": 'format = "sentences"',
    "pattern": "format = \"pattern\"\npattern = '(?P<a>.)'",
}


def _known(style: str) -> dict[str, set[str]]:
    """Return the keys that each table takes, out of what is said about one that none takes."""
    kind = "serial" if style in ("sentences", "pattern") else style
    odd = f"{NOBODYS} = 1\n"
    text = (
        f'[[feed]]\nsource = "a"\nkind = "{kind}"\n{KINDS[style]}\n{odd}[feed.time]\n{odd}[feed.number]\n{odd}[feed.channels.flow]\n{odd}'
    )
    with pytest.raises(FaultyInput, match="fault") as caught:
        feed_mappings(tomllib.loads(text))
    found = {}
    for fault in caught.value.faults:
        assert isinstance(fault, MappingFault)
        if fault.key.endswith(NOBODYS):
            table = fault.key.removesuffix(f".{NOBODYS}").removeprefix("feed.0")
            found[table] = set(str(dict(fault.message.values)["known"]).split(", "))
    return found


def _rows(section: str) -> list[list[str]]:
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in SECTIONS[section].splitlines() if line.startswith("| ")]


def _keys(section: str, *, column: int = 0, width: int = 3) -> set[str]:
    return {row[column].strip("`") for row in _rows(section) if len(row) == width and row[column].startswith("`")}


def _places(style: str) -> set[str]:
    return {row[1].strip("`") for row in _rows("[feed.channels.NAME]") if len(row) == 4 and row[0] == style}


@pytest.mark.parametrize("style", KINDS)
def test_keys(style: str) -> None:
    kind = "serial" if style in ("sentences", "pattern") else style
    known, common = _known(style), _keys("[[feed]]")
    own = {
        row[0].strip("`")
        for row in _rows(f'kind = "{kind}"')
        if row[0].startswith("`") and not (row[1].startswith("with sentences") and style == "pattern")
        and not (row[1].startswith("with a pattern") and style == "sentences")
    }  # fmt: skip
    assert known[""] == common | own
    assert known[".channels.flow"] - _places(style) == _keys("[feed.channels.NAME]") - set(CHANNELS)
    assert known[".time"] - _places(style) == _keys("[feed.time]")
    assert known[".number"] == _places(style)


def test_channels_and_units() -> None:
    told = {
        row[0].strip("`"): tuple(re.findall(r"`([^`]+)`", row[2])) for row in _rows("[feed.channels.NAME]") if row[0].strip("`") in CHANNELS
    }
    assert told == dict(CHANNELS)


def test_limits_are_those_that_are_assumed() -> None:
    rows = {row[0].strip("`"): row for row in _rows("What is not believed") if row[0].strip("`") in CHANNELS}
    assert set(rows) == set(CHANNELS)
    for channel in get_args(Channel):
        limits, (_, least, most, rate, frozen, unit) = ChannelLimits.assumed(channel), rows[channel]
        assert unit == CHANNELS[channel][0]
        told = [math.inf if cell == "none" else to_si(float(cell), unit) for cell in (least, most, rate)]
        assert told == pytest.approx([limits.least, limits.most, limits.rate])
        assert (math.inf if frozen == "none" else float(frozen)) == limits.frozen
        assert from_si(told[0], unit) == pytest.approx(float(least))


def test_signals() -> None:
    assert {row[0].strip("`") for row in _rows("What is not believed") if len(row) == 2 and row[0].startswith("`")} == set(
        get_args(SignalKind)
    )


def test_what_is_said_where_nothing_is_said_is_what_happens() -> None:
    mapping = {
        "csv": 'path = "p"\n[feed.time]\ncolumn = "t"\nformat = "iso"\n[feed.channels.flow]\ncolumn = "q"\nunit = "l_min"',
        "mqtt": 'host = "h"\nclient = "c"\n[feed.channels.flow]\ntopic = "q"\nunit = "l_min"',
        "modbus": 'host = "h"\n[feed.channels.flow]\nregister = 1\ntype = "int16"\nunit = "l_min"',
        "serial": 'port = "p"\nformat = "sentences"\nsentence = "A"\n[feed.channels.flow]\nfield = 1\nunit = "l_min"',
    }
    for kind, least in mapping.items():
        (silent,) = feed_mappings(tomllib.loads(f'[[feed]]\nsource = "a"\nkind = "{kind}"\n{least}'))
        told = []
        for section in ("[[feed]]", f'kind = "{kind}"'):
            for row in _rows(section):
                if len(row) == 3 and re.fullmatch(r"`\w+`|[\d.]+", row[2]):
                    value = row[2].strip("`")
                    told.append(f"{row[0].strip('`')} = " + (value if re.fullmatch(r"[\d.]+", value) else f'"{value}"'))
        assert len(told) > 3
        (spoken,) = feed_mappings(tomllib.loads(f'[[feed]]\nsource = "a"\nkind = "{kind}"\n' + "\n".join(told) + f"\n{least}"))
        assert spoken == silent


@pytest.mark.parametrize("text", re.findall(r"^```toml\n(.*?)^```", HOW_TO, flags=re.MULTILINE | re.DOTALL))
def test_what_is_shown_is_a_mapping(text: str) -> None:
    assert feed_mappings(tomllib.loads(text))
