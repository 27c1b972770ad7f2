"""Every module says what is public, and says it truly."""

import ast
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[2] / "src" / "mainwright"
MODULES = sorted(path for path in SOURCE.rglob("*.py") if path.name != "__init__.py" and "migrations" not in path.parts)


def _declared(tree: ast.Module) -> list[str] | None:
    for node in tree.body:
        targets = node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
        if any(isinstance(target, ast.Name) and target.id == "__all__" for target in targets):
            assert isinstance(node, ast.Assign | ast.AnnAssign)
            assert node.value is not None
            return list(ast.literal_eval(node.value))
    return None


def _public(tree: ast.Module) -> set[str]:
    names: set[str] = set()
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            names.add(node.name)
        elif isinstance(node, ast.Assign):
            names |= {target.id for target in node.targets if isinstance(target, ast.Name)}
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            names.add(node.target.id)
    return {name for name in names if not name.startswith("_")}


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(SOURCE).as_posix())
def test_all_names_are_declared(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    declared = _declared(tree)
    assert declared is not None, "the module has no __all__"
    assert set(declared) == _public(tree)
    assert len(declared) == len(set(declared))
