"""The documentation holds together: links resolve, every page can be found, and what a tutorial shows is what happens."""

import os
import re
import runpy
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
PAGES = [ROOT / "README.md", *sorted(DOCS.rglob("*.md")), *sorted((ROOT / "changes").glob("*.md"))]
RUNNING = [*sorted((DOCS / "tutorials").glob("*.md")), DOCS / "how-to" / "write-a-job-folder-by-hand.md"]
LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)(?:\s+\"[^\"]*\")?\)")
SOMEBODYS_COMPUTER = re.compile(
    r"(?<![\w./~])/(?:home|root|work|Users|mnt)/\w|[A-Z]:\\\\Users|file://|localhost:\d|\bpypi\.|npmjs|simple/[a-z]"
)
TEXT = {".md", ".py", ".toml", ".csv", ".geojson", ".po", ".typ", ".yml", ".html", ".css", ".js", ".lock", ""}


def _name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def _without_code(text: str) -> str:
    return re.sub(r"`[^`\n]+`", "", re.sub(r"^```.*?^```", "", text, flags=re.MULTILINE | re.DOTALL))


def _anchors(page: Path) -> set[str]:
    headings = re.findall(r"^#+ +(.+?)\s*$", page.read_text(encoding="utf-8"), flags=re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}


def _links(page: Path) -> list[str]:
    return [
        link
        for link in LINK.findall(_without_code(page.read_text(encoding="utf-8")))
        if not link.startswith(("http://", "https://", "mailto:"))
    ]


@pytest.mark.parametrize("page", PAGES, ids=_name)
def test_links_resolve(page: Path) -> None:
    for link in _links(page):
        path, _, anchor = link.partition("#")
        target = (page.parent / path).resolve() if path else page
        assert target.exists(), f"{_name(page)} links to {link}"
        if anchor and target.suffix == ".md":
            assert anchor in _anchors(target), f"{_name(page)} links to {link}"


def test_every_page_can_be_reached_from_the_readme() -> None:
    seen: set[Path] = set()
    waiting = [ROOT / "README.md"]
    while waiting:
        page = waiting.pop()
        if page in seen or page.suffix != ".md" or not page.exists():
            continue
        seen.add(page)
        waiting += [(page.parent / link.partition("#")[0]).resolve() for link in _links(page) if not link.startswith("#")]
    lost = {_name(page) for page in DOCS.rglob("*.md")} - {_name(page) for page in seen if page.is_relative_to(ROOT)}
    assert not lost, "no page links to them; add a row to docs/README.md or to the README.md of their folder"


def test_nothing_points_at_one_computer() -> None:
    here = Path(__file__).resolve()
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)  # noqa: S607
    if listed.returncode:
        pytest.skip("not a clone")
    found = []
    for name in listed.stdout.splitlines():
        path = ROOT / name
        if path.suffix in TEXT and path.is_file() and path.resolve() != here:
            for number, line in enumerate(path.read_text(encoding="utf-8", errors="replace").splitlines(), start=1):
                if SOMEBODYS_COMPUTER.search(line):
                    found.append(f"{name}:{number}: {line.strip()[:80]}")
    assert found == []


@dataclass(frozen=True)
class Block:
    """A fenced block of a tutorial: its language, its text, and the file that it is, if any."""

    language: str
    text: str
    file: str | None


def _blocks(page: Path) -> list[Block]:
    pattern = re.compile(r"(?:<!-- file: (\S+) -->\n)?^```(\w*)[^\n]*\n(.*?)^```", flags=re.MULTILINE | re.DOTALL)
    return [Block(language, body, file or None) for file, language, body in pattern.findall(page.read_text(encoding="utf-8"))]


def _shown(expected: str, printed: str, command: str) -> None:
    """Check that each line which the tutorial shows was printed, in that order; ``...`` stands for anything."""
    place = 0
    for line in expected.splitlines():
        pattern = r"[^\n]*?".join(re.escape(part.strip()) for part in line.split("..."))
        match = re.compile(re.sub(r"(\\ )+", r"\\s+", pattern)).search(printed, place)
        assert match, f"after {command!r} the tutorial shows\n{line}\nbut this was printed:\n{printed}"
        place = match.end()


@pytest.mark.parametrize("page", RUNNING, ids=_name)
def test_pages_run(page: Path, tmp_path: Path) -> None:
    (tmp_path / "bin").mkdir()
    command = tmp_path / "bin" / "mainwright"
    command.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m mainwright "$@"\n', encoding="utf-8")
    command.chmod(0o755)
    where = tmp_path / "here"
    where.mkdir()
    search = os.pathsep.join((str(tmp_path / "bin"), os.environ["PATH"]))
    environment = {**os.environ, "PATH": search, "COLUMNS": "100", "LC_ALL": "C.UTF-8"}
    printed, last = "", ""
    ran = 0
    for block in _blocks(page):
        if block.file is not None:
            path = where / block.file
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(block.text, encoding="utf-8")
        elif block.language == "sh":
            done = subprocess.run(["sh", "-c", block.text], cwd=where, env=environment, capture_output=True, text=True, check=False)  # noqa: S603, S607
            printed, last = done.stdout + done.stderr, block.text.strip()
            assert done.returncode in (0, 2), f"{last}\n{printed}"
            assert "Traceback" not in printed
            ran += 1
        elif block.language == "text":
            _shown(block.text, printed, last)
    assert ran, "a tutorial without a command teaches nothing"


def test_the_glossary_speaks_as_the_papers_do() -> None:
    catalogue = (ROOT / "src" / "mainwright" / "words" / "de.po").read_text(encoding="utf-8")
    german = {text.lower(): said for text, said in re.findall(r'^msgid "(.+)"\nmsgstr "(.+)"$', catalogue, flags=re.MULTILINE)}
    words = (DOCS / "glossary.md").read_text(encoding="utf-8").split("## Words we avoid", maxsplit=1)[0]
    rows = re.findall(r"^\| ([^|]+?) \| [^|]+ \| ([^|]+?) \|$", words, flags=re.MULTILINE)
    checked = [(word, german[word], cell) for word, cell in rows if word in german and not german[word].endswith(".")]  # not abbreviations
    assert len(checked) > 15
    assert [row for row in checked if row[1].lower() not in row[2].lower()] == []


def test_the_page_of_the_job_folder_is_made_from_the_dictionary() -> None:
    made = runpy.run_path(str(DOCS / "reference" / "make.py"))["page"]()
    written = (DOCS / "reference" / "job-folder.md").read_text(encoding="utf-8")
    assert written == made, "write it again: python docs/reference/make.py"
