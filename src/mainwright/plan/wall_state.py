"""What the survey's free words say of the wall: which deposit, which lining or coating is there already."""

from functools import lru_cache
from typing import Final, Literal, TypeVar

__all__ = ["DepositKind", "LiningKind", "deposit_kind", "lining_kind"]

DepositKind = Literal["hard", "lime", "soft", "sand", "coating", "unknown"]
LiningKind = Literal["unknown", "none", "cement", "coal_tar", "bitumen", "resin", "other"]

_DEPOSITS: Final[tuple[tuple[DepositKind, tuple[str, ...]], ...]] = (
    ("coating", ("tar", "bitumen", "asphalt", "coating")),
    ("lime", ("lime", "calc", "chalk", "carbonate")),
    ("hard", ("tuberc", "nodul", "hard", "rust", "corrosion", "incrust", "graphit", "scale")),
    ("soft", ("soft", "sludge", "slime", "mangan", "sediment", "film", "biofilm", "iron", "silt", "mud")),
    ("sand", ("sand", "gravel", "grit")),
)
_LININGS: Final[tuple[tuple[LiningKind, tuple[str, ...]], ...]] = (
    ("unknown", ("unknown", "blank", "not known")),
    ("coal_tar", ("tar", "pitch", "pah")),
    ("bitumen", ("bitum", "asphalt")),
    ("cement", ("cement", "mortar", "concrete", "cml")),
    ("resin", ("epoxy", "resin", "polyure", "polymer", "plastic", "liner")),
    ("none", ("none", "bare", "unlined", "no lining", "uncoated")),
)


_Kind = TypeVar("_Kind", bound=str)


def _first(given: str, words: tuple[tuple[_Kind, tuple[str, ...]], ...]) -> _Kind | None:
    # A word counts by its beginning, so that "mortar" holds no tar; a phrase counts wherever it stands.
    text = " ".join(given.casefold().replace("_", " ").replace("-", " ").split())
    starts = text.split()

    def said(part: str) -> bool:
        return part in text if " " in part else any(word.startswith(part) for word in starts)

    return next((kind for kind, parts in words if any(map(said, parts))), None)


@lru_cache(maxsize=256)
def deposit_kind(given: str | None) -> DepositKind:
    """Return which kind of deposit the survey's words mean.

    Parameters
    ----------
    given : str or None
        ``deposit_kind`` of ``main.csv``, in the surveyor's own words. [-]

    Returns
    -------
    DepositKind
        ``unknown`` where nothing is said, or nothing that is understood.

    Examples
    --------
    >>> deposit_kind("Hard tubercles"), deposit_kind("soft iron and manganese"), deposit_kind(None)
    ('hard', 'soft', 'unknown')
    """
    if not given:
        return "unknown"
    return _first(given, _DEPOSITS) or "unknown"


@lru_cache(maxsize=256)
def lining_kind(given: str | None) -> LiningKind:
    """Return which lining or coating the survey's words mean.

    Parameters
    ----------
    given : str or None
        ``existing_lining`` of ``main.csv``, in the surveyor's own words. [-]

    Returns
    -------
    LiningKind
        ``unknown`` where nothing is said; ``other`` where the words are not understood.

    Examples
    --------
    >>> lining_kind("cement_mortar"), lining_kind("coal tar"), lining_kind(""), lining_kind("zinc")
    ('cement', 'coal_tar', 'unknown', 'other')
    """
    if not given:
        return "unknown"
    return _first(given, _LININGS) or "other"
