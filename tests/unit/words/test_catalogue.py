"""The catalogue reader."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.words.catalogue import LANGUAGES, read_po, translated


def test_a_long_text_stands_on_several_lines() -> None:
    text = 'msgid ""\nmsgstr "Language: de\\n"\n\n# a comment\nmsgid ""\n"one "\n"two"\nmsgstr "eins "\n"\\"zwei\\""\n'
    assert read_po(text) == {"one two": 'eins "zwei"'}


def test_what_is_fuzzy_obsolete_or_empty_is_left_out() -> None:
    text = '#, fuzzy\nmsgid "a"\nmsgstr "A"\n\nmsgid "b"\nmsgstr ""\n\n#~ msgid "c"\n#~ msgstr "C"\n\nmsgid "d"\nmsgstr "D"\n'
    assert read_po(text) == {"d": "D"}


def test_a_fuzzy_mark_ends_with_its_entry() -> None:
    assert read_po('msgid "a"\nmsgstr "A"\n#, fuzzy\nmsgid "b"\nmsgstr "B"\nmsgid "c"\nmsgstr "C"\n') == {"a": "A", "c": "C"}


@pytest.mark.parametrize("line", ["msgid a", 'msgid "a', '"a"', "whatever"])
def test_a_line_that_is_not_understood_is_named(line: str) -> None:
    with pytest.raises(InputError, match="line 1"):
        read_po(line + "\n")


def test_a_text_that_stands_twice_is_named() -> None:
    with pytest.raises(InputError, match="line 4"):
        read_po('msgid "a"\nmsgstr "A"\nmsgid "a"\nmsgstr "B"\n')


@given(st.dictionaries(st.text(st.characters(exclude_categories=["C", "Zl", "Zp"]), min_size=1), st.text(min_size=1)))
def test_what_is_written_is_read(pairs: dict[str, str]) -> None:
    def quoted(text: str) -> str:
        for plain, escaped in (("\\", "\\\\"), ('"', '\\"'), ("\n", "\\n"), ("\r", "\\r"), ("\t", "\\t")):
            text = text.replace(plain, escaped)
        return f'"{text}"'

    pairs = {key: value for key, value in pairs.items() if not set(value) & set("\x0b\x0c\x1c\x1d\x1e\x85\u2028\u2029")}
    text = "".join(f"msgid {quoted(key)}\nmsgstr {quoted(value)}\n\n" for key, value in pairs.items())
    assert read_po(text) == pairs


def test_every_language_has_a_catalogue_that_can_be_read() -> None:
    for language in LANGUAGES:
        assert translated("a text that no catalogue holds", language) == "a text that no catalogue holds"
    assert translated("grey iron", "de") == "Grauguss"
    assert translated("grey iron", "fr") == "grey iron"
