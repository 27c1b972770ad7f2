import pytest

from mainwright.standards.demand import ASSUMED_RULE, demand_rules, find_rule


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("din_1988_300", "din_1988_300"),
        ("DIN 1988-300", "din_1988_300"),
        ("DIN 1988-3", "din_1988_3"),
        ("UNE 149201:2017", "din_1988_3"),
        ("DVGW W 410", "dvgw_w410"),
        ("DTU 60.11", "dtu_60_11"),
        ("Hunter", "hunter"),
        ("our own", None),
        ("", None),
    ],
)
def test_a_rule_is_found_by_its_name_or_its_document(text: str, name: str | None) -> None:
    found = find_rule(text)
    assert (found.name if found else None) == name


def test_every_rule_tells_its_sources() -> None:
    for rule in demand_rules():
        assert rule.sources
        assert find_rule(rule.name) is rule
    assert demand_rules()[0].name == ASSUMED_RULE
    assert {source.status for source in demand_rules()[0].sources} == {"secondary"}


def test_tables_rise() -> None:
    for rule in demand_rules():
        assert list(rule.points) == sorted(rule.points)
    hunter = find_rule("hunter")
    assert hunter is not None
    assert len(hunter.points) > 40
