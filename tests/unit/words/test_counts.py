"""What counts, bends: one run, two runs, no runs; in every language."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import mainwright
from mainwright.feeds.unreadable import Unreadable
from mainwright.folder.located import located
from mainwright.paper.pen import pen_for
from mainwright.paper.plan_json import plan_json
from mainwright.paper.plan_pdf import plan_pages
from mainwright.plan.result import Plan
from mainwright.words.catalogue import LANGUAGES, translated
from mainwright.words.message import Message, message
from mainwright.words.wording import Wording
from tests.unit.paper.sample import crowded_plan, sample_plan, stopped_plan
from tests.unit.words.texts import source_texts

SOURCE = Path(mainwright.__file__).parent
FORMS = re.compile(r"\{(\w+):([^{}/]*)/([^{}/]*)\}")

NUMBERS = frozenset({"batch", "charge", "degrees", "dn", "found", "number", "revision", "row", "smallest", "year"})
"""Places that hold a whole number which counts nothing beside it: a size, a year, a place in a row, a sum."""

ALIKE_IN_GERMAN = frozenset(
    {
        "Of {all} {all:run/runs} {meets} {meets:meets/meet} the entered requirements and {fails} {fails:does/do} not; incomplete: {open}.",
        "The file holds {entries} {entries:entry/entries}; {revisions} of {entries:its/their} revisions {revisions:was/were} not here and {revisions:was/were} taken in.",
        "The road is opened {openings} {openings:time/times} for {runs} {runs:run/runs}; {runs:/the longest, }{name}{runs:/,} is {longest}.",
        "the file has {n} {n:byte/bytes}: at most {most} are right",
        "the text has {n} {n:character/characters}: at most {most} are right",
        "{found} is no number: it has {n} {n:character/characters}",
        "{n:The/All} {n} {n:connection/connections}: stop tap holds, drained, house back-feed shut, flow taken. {doubtful} of them {doubtful:has/have} no stop tap that is known to hold.",
        "{n} {n:fault/faults}",
        "{n} {n:metre/metres}",
    }
)
"""Texts of which the German says one as it says many: characters, bytes, metres, faults."""

UNBENT = frozenset(
    {
        "Bags of cement: {n} fewer.",
        "Bags of cement: {n} more.",
    }
)
"""Texts that count and in which nothing bends, in no language."""


def test_one_is_said_as_one() -> None:
    said = message("{n} {n:run/runs} in {all} {all:shift/shifts}", n=1, all=2)
    assert Wording().word(said) == "1 run in 2 shifts"
    assert Wording("de").word(message("{n} {n:run/runs} lined", n=1)) == "1 Abschnitt ausgekleidet"
    assert Wording("de").word(message("{n} {n:run/runs} lined", n=0)) == "0 Abschnitte ausgekleidet"


def test_faults_of_files_and_senders_say_it_too() -> None:
    fault = located("main.csv", 3, "", "the row has {n} {n:cell/cells} and the header {width}: as many are right", n=1, width=4)
    assert str(fault) == "main.csv:3: the row has 1 cell and the header 4: as many are right"
    missing = located("job.toml", 1, "", "it is missing: {meaning}", meaning=Message("nominal thickness"))
    assert missing.text == "it is missing: nominal thickness"
    assert str(Unreadable("the row has {n} {n:cell/cells} and the header {width}", n=2, width=3)) == "the row has 2 cells and the header 3"


def test_a_form_without_its_count_shows() -> None:
    assert Wording().word(message("{n:run/runs}")) == "{n:run/runs}"


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("count", [0, 1, 2])
def test_every_text_that_bends_is_whole_for_no_one_and_two(language: str, count: int) -> None:
    texts = [text for text in source_texts() if FORMS.search(text)]
    assert len(texts) > 50
    for text in texts:
        values = dict.fromkeys(re.findall(r"\{(\w+)[:}]", text), count)
        said = Wording(language).word(Message(text, tuple(values.items())))
        assert not set("{}") & set(said), text
        expected = FORMS.sub(lambda found: found[2 if count == 1 else 3], translated(text, language))
        assert said == re.sub(r"\{\w+\}", str(count), expected)


@pytest.mark.parametrize("language", LANGUAGES)
def test_forms_bend_with_a_place_of_their_own_text(language: str) -> None:
    for text in source_texts():
        there = translated(text, language)
        assert {found[1] for found in FORMS.finditer(there)} <= set(re.findall(r"\{(\w+)\}", there)), text
        assert not re.search(r"\{\w+:", FORMS.sub("", there)), text


def test_what_bends_in_english_bends_in_german() -> None:
    def bending(text: str) -> set[str]:
        return {found[1] for found in FORMS.finditer(text)}

    wrong = {text for text in source_texts() if bending(text) - bending(translated(text, "de"))}
    assert wrong == ALIKE_IN_GERMAN


MANY = "runs|openings|bags|batches|shifts|connections|readings|rows|places|days|coats|bends|items|Abschnitte|Gruben|Säcke|Mischungen|Schichten|Anschlüsse|Messungen|Zeilen|Stellen|Tage|Lagen|Bögen|Positionen"


def _counting(tree: ast.Module) -> Iterator[tuple[str, str]]:
    """Yield text and place of each message that is given a length or a sum of ones."""
    for node in ast.walk(tree):
        if not (
            isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant) and isinstance(node.args[0].value, str)
        ):
            continue
        if not (isinstance(node.func, ast.Name) and node.func.id in {"message", "Message"}):
            continue
        for word in node.keywords:
            value = word.value
            counts = isinstance(value, ast.Call) and isinstance(value.func, ast.Name) and value.func.id in {"len", "sum"}
            if word.arg and (counts or word.arg in {"n", "count"}) and not (isinstance(value, ast.Name) and value.id.isupper()):
                yield node.args[0].value, word.arg


NOUN = r"(?: (?:of its|more|further|candidate|published|other))? (?!runs \{|is\b|was\b|this\b|as\b|has\b|holds\b|times as\b|always\b|pass\b|bus\b)[a-z]+(?:s|ies|ren|ches)\b"
"""A plural after a place, perhaps behind one word."""


def test_no_text_says_many_where_it_counts_one() -> None:
    wrong = []
    for path in sorted(SOURCE.rglob("*.py")):
        for text, place in _counting(ast.parse(path.read_text(encoding="utf-8"))):
            if re.search(rf"\{{{place}\}}{NOUN}", text) and text not in UNBENT:
                wrong.append(f"{path.name}: {text}")
    assert wrong == []


@pytest.mark.parametrize("plan", [sample_plan(language="de"), crowded_plan(), stopped_plan()])
def test_what_the_papers_count_bends(plan: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever whole number a paper says, it says no plural where the number is one."""
    said: list[str] = []
    plain = Wording.word

    def heard(self: Wording, one: Message) -> str:
        ones = {name: 1 if isinstance(value, int) and name not in NUMBERS else value for name, value in one.values}
        said.append(plain(self, Message(one.text, tuple(ones.items()))))
        return plain(self, one)

    monkeypatch.setattr(Wording, "word", heard)
    plan_pages(plan)
    plan_json(plan, word=pen_for(plan).say.word)
    assert len(said) > 50
    assert [text for text in said if re.search(rf"(?<![\d.,])1 (?:{MANY})\b", text)] == []
