"""What the page on taking in shows is what happens."""

import re
import tomllib
from pathlib import Path

import pytest

from mainwright.cli.roof import run
from mainwright.job.columns import TABLES
from mainwright.workflow.mapping_reader import mapping_of
from mainwright.workflow.taken_document import section_names

HOW_TO = Path(__file__).parents[2] / "docs" / "how-to"
PAGE = (HOW_TO / "take-in-an-inventory.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(\w+)\n(.*?)^```", PAGE, flags=re.MULTILINE | re.DOTALL)
SNIPPETS = [text for language, text in BLOCKS if language == "toml"]
FIRST = "[main.columns]\nfrom_m = 'a'\nto_m = 'b'\ndn = 'c'\nmaterial = 'd'\n"


def _check(text: str) -> None:
    rows = tuple(table for table in TABLES.values() if not table.is_toml)
    mapping_of(tomllib.loads(text), tables=rows, sections=section_names(TABLES))


def test_the_first_example_prints_what_is_shown(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    (csv,) = [text for language, text in BLOCKS if language == "csv"]
    (shown,) = [text for language, text in BLOCKS if language == "text"]
    Path("pipes.csv").write_text(csv, encoding="utf-8")
    Path("mapping.toml").write_text(SNIPPETS[0], encoding="utf-8")
    (command,) = re.findall(r"^    mainwright (take-in .*)$", PAGE, flags=re.MULTILINE)
    capsys.readouterr()
    assert run(command.split()) == 0
    assert capsys.readouterr().out.strip() == shown.strip()


@pytest.mark.parametrize("text", SNIPPETS, ids=range(len(SNIPPETS)))
def test_each_snippet_is_a_sound_part_of_a_mapping(text: str) -> None:
    _check(text if "[main.columns]" in text else FIRST + text)


@pytest.mark.parametrize("path", sorted((HOW_TO / "mappings").glob("*.toml")), ids=lambda path: path.stem)
def test_the_mappings_are_sound(path: Path) -> None:
    _check(path.read_text(encoding="utf-8"))
    assert f"mappings/{path.name}" in PAGE


def test_rules_in_the_table_of_the_page_are_sound() -> None:
    rules = re.findall(r"`((?:bore_mm|size_mm|confidence|existing_lining|note|angle_deg) = [^`]*)`", PAGE)
    assert len(rules) == 6
    for rule in rules:
        table = {"bore_mm": "main", "existing_lining": "main"}.get(rule.split(" ")[0], "features")
        _check(FIRST + (rule if table == "main" else f"[[features]]\n[features.columns]\n{rule}\n"))
