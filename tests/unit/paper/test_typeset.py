"""Typesetting: warnings fail, the outside stays outside."""

import pytest
import typst

from mainwright.errors import MainwrightError
from mainwright.paper.typeset import typeset


def test_a_warning_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    class Warned:
        message = "unknown font family"

    monkeypatch.setattr(typst, "compile_with_warnings", lambda *_, **__: (b"%PDF", [Warned()]))
    with pytest.raises(MainwrightError, match=r"plan.typ: unknown font family"):
        typeset("plan.typ", {}, day=None)
