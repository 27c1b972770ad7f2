"""The C network engine of the US EPA in this process, by the shared library that package wntr brings: no file of results is read."""

import ctypes
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from numpy.typing import NDArray

if TYPE_CHECKING:
    from collections.abc import Callable

_HEAD = 10
"""The engine's number of the parameter head."""


def engine() -> ctypes.CDLL:
    """Return the engine, or skip where it is not for this machine."""
    found = find_spec("wntr")
    place = (
        None
        if found is None or found.origin is None
        else Path(found.origin).parent / "epanet" / "libepanet" / "linux-x64" / "libepanet22.so"
    )
    if place is None or not place.exists():
        pytest.skip("the C network engine is not here")
    try:
        return ctypes.CDLL(str(place))
    except OSError:
        pytest.skip("the C network engine is not for this machine")


def engine_heads(folder: Path, lines: list[str], names: list[str]) -> NDArray[np.float64]:
    """Return the heads [m] of named nodes of a network that is written in the engine's own words."""
    (folder / "net.inp").write_text("\n".join(lines) + "\n")
    tool = engine()

    def call(name: str, *given: object) -> None:
        work: Callable[..., int] = getattr(tool, name)
        code = work(*given)
        assert code < 100, f"{name}: error {code}"

    call("ENopen", *(str(folder / f"net.{end}").encode() for end in ("inp", "rpt", "bin")))
    try:
        call("ENopenH")
        call("ENinitH", 0)
        call("ENrunH", ctypes.byref(ctypes.c_long()))
        heads, index, value = np.empty(len(names)), ctypes.c_int(), ctypes.c_float()
        for number, name in enumerate(names):
            call("ENgetnodeindex", name.encode(), ctypes.byref(index))
            call("ENgetnodevalue", index, _HEAD, ctypes.byref(value))
            heads[number] = value.value
        call("ENcloseH")
    finally:
        tool.ENclose()
    return heads
