"""Every number of the page in the van tells where it comes from: a new tile without an origin fails here."""

import re
from pathlib import Path

import mainwright
from mainwright.web.views.van_origins import VAN_ORIGINS, van_told
from mainwright.words.wording import Wording

PAGE = (Path(mainwright.__file__).parent / "web" / "templates" / "van.html").read_text(encoding="utf-8")


def test_every_number_that_can_be_touched_has_an_origin() -> None:
    touched = (
        set(re.findall(r'number\("([a-z-]+)"', PAGE))
        | set(re.findall(r'tile\(t\("[^"]+"\), "([a-z-]+)"', PAGE))
        | set(re.findall(r'popovertarget="from-([a-z-]+)"', PAGE))
    )
    assert len(touched) == 10
    assert touched == {name for name, _, _ in VAN_ORIGINS}


def test_no_number_stands_alone() -> None:
    """What is no number, or stands under one and is told of with it."""
    words = {"run", "phase", "lasted", "disk", "feeds", "charge", "clock", "trouble", "cover"}
    under = {"band", "sure", "trend", "do", "speed", "speeds"}
    alone = set(re.findall(r'\{\{ v\("([a-z-]+)"\) \}\}', PAGE)) - words - under - {"chainage"}
    assert alone == set()


def test_it_is_told_in_the_words_of_the_reader() -> None:
    told = {str(one["name"]): one for one in van_told(Wording("de"))}
    assert told["thickness"]["label"] == "Dicke jetzt"
    assert all(len(text) > 30 for one in told.values() for text in one["said"])  # type: ignore[attr-defined]
