"""The texts of another language: a gettext catalogue, read as it is; the English text is the key."""

import re
from collections.abc import Iterator
from functools import cache
from types import MappingProxyType
from typing import Final

from mainwright.errors import InputError

__all__ = ["LANGUAGES", "read_po", "translated"]

LANGUAGES: Final = ("en", "de")
"""Languages with texts of their own. English needs no catalogue."""

_LINE: Final = re.compile(r'\s*(msgctxt|msgid_plural|msgid|msgstr(?:\[\d+\])?)?\s*"((?:[^"\\]|\\.)*)"\s*')
_ESCAPE: Final = re.compile(r"\\(.)")
_ESCAPED: Final = MappingProxyType({"n": "\n", "t": "\t", "r": "\r", '"': '"', "\\": "\\"})


def _entries(text: str) -> Iterator[tuple[int, bool, dict[str, str]]]:
    """Yield the last line, whether it is fuzzy, and the fields of each entry."""
    entry: dict[str, str] = {}
    field = ""
    fuzzy = False
    lines = text.splitlines()
    for number, line in enumerate(lines, start=1):
        match = _LINE.fullmatch(line)
        opens = line.startswith("#,") or (match is not None and match[1] in ("msgctxt", "msgid"))
        if opens and "msgstr" in entry:
            yield number, fuzzy, entry
            entry, field, fuzzy = {}, "", False
        if line.startswith("#") or not line.strip():
            fuzzy = fuzzy or (line.startswith("#,") and "fuzzy" in line)
            continue
        if match is None or not (match[1] or field):
            raise InputError(f"catalogue, line {number}", repr(line), "", 'msgid "..." and msgstr "..."')
        field = match[1] or field
        entry[field] = entry.get(field, "") + _ESCAPE.sub(lambda found: _ESCAPED.get(found[1], found[1]), match[2])
    yield len(lines), fuzzy, entry


def read_po(text: str) -> dict[str, str]:
    r"""Return what a gettext catalogue translates.

    Parameters
    ----------
    text : str
        Content of a ``.po`` file. [-]

    Returns
    -------
    dict of str to str
        Translation by English text. Entries marked as fuzzy, obsolete or without a translation are left out.

    Raises
    ------
    InputError
        If a line is not understood, or one text stands twice; the line is named.

    Examples
    --------
    >>> read_po('msgid "lining"\nmsgstr "Auskleidung"\n')
    {'lining': 'Auskleidung'}
    """
    found: dict[str, str] = {}
    for line, fuzzy, entry in _entries(text):
        key, value = entry.get("msgid", ""), entry.get("msgstr", "")
        if key in found:
            raise InputError(f"catalogue, line {line}: msgid", repr(key), "", "each text once")
        if key and value and not fuzzy:
            found[key] = value
    return found


@cache
def _catalogue(language: str) -> MappingProxyType[str, str]:
    from importlib.resources import files

    if language == "en" or language not in LANGUAGES:
        return MappingProxyType({})
    return MappingProxyType(read_po((files("mainwright.words") / f"{language}.po").read_text(encoding="utf-8")))


def translated(text: str, language: str) -> str:
    """Return a text in another language, or as it is where the catalogue does not hold it.

    Parameters
    ----------
    text : str
        English text. [-]
    language : str
        Code of the language, ``en`` or ``de``; any other is shown in English. [-]

    Returns
    -------
    str
        The translation.
    """
    return _catalogue(language).get(text, text)
