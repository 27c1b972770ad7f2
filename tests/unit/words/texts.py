"""Every text that the program can say, read out of its source: what a catalogue must hold."""

import ast
import re
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import mainwright
from mainwright.job.columns import TABLES
from mainwright.units import UNITS
from mainwright.words.catalogue import read_po
from mainwright.words.codes import CODE_TEXT

SOURCE = Path(mainwright.__file__).parent
ROOMS = ("standards", "job", "plan", "line", "prove", "figures", "paper", "web")
MODULES = (
    "folder/bringing.py", "folder/csv_text.py", "folder/library_files.py", "folder/reading.py", "folder/tables.py", "folder/toml_text.py",
    "workflow/library_entry.py", "workflow/library_file.py", "workflow/library_taking.py", "workflow/live_run.py", "workflow/live_writer.py",
    "workflow/scan_comparison.py",
)  # fmt: skip
"""Rooms, and single modules of others, whose texts are worded in the language of the job or of the person. What the prompt and the importer say is English for now."""

_FAULTS = {"fault", "warn", "located"}
"""Say a text in their fourth place, after table, row and column, or file, line and column."""

_SAYS = {"message", "Message", "text", "head", "_cost_head", "_head", "_per_metre"}
_AFTER_PEN = {"_cost_head", "_head", "_per_metre"}
_WORDY = re.compile(r"^(?!.*[=<>#\\]).*[a-z]{2,}.* ")


def _called(node: ast.Call) -> str:
    return node.func.id if isinstance(node.func, ast.Name) else node.func.attr if isinstance(node.func, ast.Attribute) else ""


def _constants(node: ast.expr) -> Iterator[str]:
    """Yield the texts that an argument can be: itself, or either side of a choice."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from _constants(node.body)
        yield from _constants(node.orelse)


def _said(tree: ast.Module, *, worded: bool) -> Iterator[str]:
    """Yield what a module says; ``worded`` modules ask for texts by name, elsewhere ``text`` reads a table."""
    says = _SAYS if worded else {"message", "Message"}
    indirect = False
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and _called(node) in _FAULTS and len(node.args) > 3:
            found = list(_constants(node.args[3]))
            yield from found
            indirect = indirect or not found
        if isinstance(node, ast.Call) and _called(node) in says and node.args:
            takes = node.args[1:2] if _called(node) in _AFTER_PEN else node.args[:1]
            found = [text for argument in takes for text in _constants(argument)]
            yield from found
            indirect = indirect or (not found and _called(node) in says)
    if indirect:
        # A text that is chosen from a table or a variable: every sentence of the module may be one.
        docs = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        parts = {id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values}
        raised = {id(part) for node in ast.walk(tree) if isinstance(node, ast.Raise) for part in ast.walk(node)}
        for node in ast.walk(tree):
            if (
                isinstance(node, ast.Constant)
                and isinstance(node.value, str)
                and id(node) not in docs | parts | raised
                and _WORDY.search(node.value)
            ):
                yield node.value


def _elsewhere() -> Iterator[tuple[str, str]]:
    """Yield the texts of templates, of the dictionary of tables, of codes and of units."""
    for path in sorted((SOURCE / "web" / "templates").glob("*.html")):
        for text in re.findall(r'\bt\("((?:[^"\\]|\\.)*)"\)', path.read_text(encoding="utf-8")):
            yield text, path.relative_to(SOURCE).as_posix()
    for table in TABLES.values():
        for text in (table.meaning, *(column.meaning for column in table.columns)):
            yield text, "job/columns.py"
    for text in CODE_TEXT.values():
        yield text, "words/codes.py"


@cache
def source_texts() -> dict[str, str]:
    """Return each text and where it stands, in order of the files."""
    texts: dict[str, str] = {}
    for room in ROOMS:
        for path in [*sorted((SOURCE / room).rglob("*.py")), *(SOURCE / one for one in MODULES if room == "web")]:
            for text in _said(ast.parse(path.read_text(encoding="utf-8")), worded=room in ("figures", "paper", "web")):
                if re.search(r"[A-Za-z]{2}", re.sub(r"\{\w+\}", "", text)):
                    texts.setdefault(text, path.relative_to(SOURCE).as_posix())
    for text, where in _elsewhere():
        texts.setdefault(text, where)
    for unit in UNITS.values():
        if unit.label in ("weeks", "years", "per hour"):
            texts.setdefault(unit.label, "units.py")
    return texts


def missing_entries(language: str) -> str:
    """Return what a catalogue lacks, as entries to be filled in."""
    known = read_po((SOURCE / "words" / f"{language}.po").read_text(encoding="utf-8"))

    def quoted(text: str) -> str:
        return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'

    texts = source_texts()
    return "".join(f'# {where}\nmsgid {quoted(text)}\nmsgstr ""\n\n' for text, where in texts.items() if text not in known)


if __name__ == "__main__":
    sys.stdout.write(missing_entries(sys.argv[1]))
