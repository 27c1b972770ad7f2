"""What all tests share."""

import os
from pathlib import Path

import pytest
from hypothesis import settings

SLOW = "--slow"
SOURCE = Path(__file__).parents[1] / "src"

# A machine that others use too is now and then slow: that is no fault of what is tested. The usual run tries the same examples each time, so that it
# says something of what was changed; the big proofs try others each time, and what they find becomes an example of its test.
settings.register_profile("repeated", deadline=None, derandomize=True)
settings.register_profile("searching", deadline=None)


def pytest_configure(config: pytest.Config) -> None:
    settings.load_profile("searching" if config.getoption(SLOW) else "repeated")
    # A process that a test starts finds the package as the tests do.
    os.environ["PYTHONPATH"] = os.pathsep.join(part for part in (str(SOURCE), os.environ.get("PYTHONPATH", "")) if part)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(SLOW, action="store_true", default=False, help="also run the big proofs at their full size")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if not config.getoption(SLOW):
        for item in items:
            if item.get_closest_marker("slow"):
                item.add_marker(pytest.mark.skip(reason="a big proof; run with --slow"))


@pytest.fixture(scope="session")
def open_data() -> Path:
    """Return the folder of open municipal data, or skip."""
    folder = os.environ.get("MAINWRIGHT_OPEN_DATA", "")
    if not folder or not Path(folder).is_dir():
        pytest.skip("the open municipal data are not here (MAINWRIGHT_OPEN_DATA)")
    return Path(folder)


@pytest.fixture(scope="session")
def full_size(pytestconfig: pytest.Config) -> bool:
    """Return whether the big proofs run at their full size."""
    return bool(pytestconfig.getoption(SLOW))
