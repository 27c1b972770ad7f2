"""Every public function of the science floor says its units and its source."""

import ast
import re
from pathlib import Path

import pytest

SCIENCE = Path(__file__).parents[2] / "src" / "mainwright" / "science"


def _functions() -> list[tuple[str, ast.FunctionDef]]:
    found = []
    for path in sorted(SCIENCE.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        found += [
            (f"{path.relative_to(SCIENCE).as_posix()}:{node.name}", node)
            for node in tree.body
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
        ]
    return found


FUNCTIONS = _functions()


def _parameters(node: ast.FunctionDef) -> list[str]:
    spec = node.args
    return [arg.arg for arg in (*spec.posonlyargs, *spec.args, *spec.kwonlyargs)]


@pytest.mark.parametrize(("name", "node"), FUNCTIONS, ids=[name for name, _ in FUNCTIONS])
def test_units_and_source_are_stated(name: str, node: ast.FunctionDef) -> None:
    text = ast.get_docstring(node) or ""
    assert "References\n----------" in text, f"{name} names no source"
    section = text.split("Parameters\n----------", 1)[-1].split("\nReturns\n", 1)[0] if _parameters(node) else ""
    for parameter in _parameters(node):
        match = re.search(rf"^{parameter}\b.*:.*\n((?:    .*\n?|\n)+)", section, flags=re.MULTILINE)
        assert match, f"{name}: {parameter} is not described"
        assert re.search(r"\[[^\]]+\]\s*$", match.group(1).strip()), f"{name}: {parameter} has no unit in brackets"
