"""The benchmark of the layout at a small size: all tools agree on the least cost, and the ratios point the right way."""

import importlib.util
import sys
from pathlib import Path

BENCHMARK = Path(__file__).parents[4] / "benchmarks" / "layout.py"


def test_all_tools_agree_and_the_solver_is_far_ahead() -> None:
    spec = importlib.util.spec_from_file_location("benchmark_layout", BENCHMARK)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    for seed in (1, 2, 3):
        found = module.measure(200, times=1, seed=seed)
        # Far under the goals, for a busy machine.
        assert found["networkx"] > 10.0 * found["mainwright"]
        assert found["milp"] > 100.0 * found["mainwright"]
