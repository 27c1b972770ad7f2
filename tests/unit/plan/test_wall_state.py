"""The surveyor's own words."""

import pytest

from mainwright.plan.wall_state import deposit_kind, lining_kind


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("hard tubercles", "hard"), ("Tuberculation", "hard"), ("iron scale", "hard"), ("limescale, hard", "lime"), ("thin film", "soft"),
        ("soft iron and manganese", "soft"), ("sand", "sand"), ("bitumen, blistered", "coating"), ("whatever", "unknown"), ("", "unknown"),
        (None, "unknown"),
    ],
)  # fmt: skip
def test_deposits(words: str | None, kind: str) -> None:
    assert deposit_kind(words) == kind


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("cement_mortar", "cement"), ("Coal-tar enamel", "coal_tar"), ("bitumen dip", "bitumen"), ("epoxy", "resin"), ("none", "none"),
        ("no lining", "none"), ("zinc", "other"), (None, "unknown"), ("Unknown", "unknown"), ("blank", "unknown"), ("Cement Lined", "cement"),
    ],
)  # fmt: skip
def test_linings(words: str | None, kind: str) -> None:
    assert lining_kind(words) == kind
