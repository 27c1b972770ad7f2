"""Bytes of a TOML file to its values, with the line of every table and key, which tomllib does not give."""

import re
import tomllib
from dataclasses import dataclass, field
from typing import Any, Final

from mainwright.folder.csv_text import decoded
from mainwright.folder.limits import DEEPEST, MOST_BYTES_TOML
from mainwright.folder.located import LocatedFault, located

__all__ = ["Lines", "Path", "TomlText", "read_toml_text"]

Path = tuple[str | int, ...]
"""Keys and places in lists that lead to a value."""

Lines = dict[Path, int]

_TOKEN: Final = re.compile(
    r'(?P<multi>"""(?:[^\\"]|\\.|"(?!""))*"{3,5}|\'\'\'(?:[^\']|\'(?!\'\'))*\'{3,5})'
    r'|(?P<basic>"(?:[^"\\\n]|\\.)*")|(?P<literal>\'[^\'\n]*\')'
    r"|(?P<comment>#[^\n]*)|(?P<newline>\n)|(?P<space>[ \t\r]+)|(?P<mark>[\[\]{}=,.])|(?P<bare>[^\s\[\]{}=,.#\"']+)",
    re.DOTALL,
)
_AT_LINE: Final = re.compile(r"^(?P<why>.*) \(at (?:line (?P<line>\d+), column \d+|end of document)\)$", re.DOTALL)


@dataclass(slots=True)
class TomlText:
    """Values of a TOML file, the lines of its tables and keys, and what is wrong with it as text."""

    values: dict[str, Any] = field(default_factory=dict)
    lines: Lines = field(default_factory=dict)
    faults: list[LocatedFault] = field(default_factory=list)
    readable: bool = False


class _Index:
    """Walks through a file that tomllib has accepted and notes where each table and key stands."""

    def __init__(self, text: str) -> None:
        self.lines: Lines = {}
        self.tokens: list[tuple[str, str, int]] = []
        line = 1
        for match in _TOKEN.finditer(text):
            kind, word = match.lastgroup or "", match.group()
            if kind not in {"space", "comment"}:
                self.tokens.append((kind, word, line))
            line += word.count("\n")
        self.at = 0
        self.counts: dict[Path, int] = {}

    def peek(self) -> tuple[str, str, int]:
        return self.tokens[self.at] if self.at < len(self.tokens) else ("end", "", 0)

    def take(self) -> tuple[str, str, int]:
        token = self.peek()
        self.at += 1
        return token

    def skip_newlines(self) -> None:
        while self.peek()[0] == "newline":
            self.at += 1

    def key(self) -> tuple[Path, int]:
        """Take a dotted key."""
        parts: list[str | int] = []
        line = self.peek()[2]
        while True:
            kind, word, _ = self.peek()
            if kind in {"basic", "literal"}:
                parts.append(tomllib.loads(f"key = {word}")["key"])
            elif kind == "bare":
                parts.append(word)
            elif (kind, word) != ("mark", "."):
                return tuple(parts), line
            self.at += 1

    def resolved(self, path: Path) -> Path:
        """Return a path with the place of the last element of each list of tables in it."""
        found: Path = ()
        for part in path:
            found = (*found, part)
            if found in self.counts:
                found = (*found, self.counts[found])
        return found

    def header(self, line: int) -> Path:
        many = self.peek()[:2] == ("mark", "[")
        if many:
            self.at += 1
        path, _ = self.key()
        if many:
            parent = (*self.resolved(path[:-1]), path[-1])
            self.counts[parent] = self.counts.get(parent, -1) + 1
            found = (*parent, self.counts[parent])
            self.lines.setdefault(parent, line)
        else:
            found = self.resolved(path)
        self.lines.setdefault(found, line)
        while self.peek()[0] not in {"newline", "end"}:
            self.at += 1
        return found

    def value(self, path: Path) -> None:
        kind, word, line = self.peek()
        self.lines.setdefault(path, line)
        if (kind, word) == ("mark", "["):
            self.at += 1
            self.list_(path)
        elif (kind, word) == ("mark", "{"):
            self.at += 1
            self.inline(path)
        else:
            while self.peek()[0] not in {"newline", "end"} and self.peek()[1] not in {",", "]", "}"}:
                self.at += 1

    def list_(self, path: Path) -> None:
        place = 0
        while True:
            self.skip_newlines()
            kind, word, _ = self.peek()
            if kind == "end" or word == "]":
                self.at += 1
                return
            if word == ",":
                self.at += 1
                continue
            before = self.at
            self.value((*path, place))
            place += 1
            if self.at == before:
                self.at += 1

    def inline(self, path: Path) -> None:
        while True:
            self.skip_newlines()
            kind, word, _ = self.peek()
            if kind == "end" or word == "}":
                self.at += 1
                return
            if word == ",":
                self.at += 1
                continue
            self.pair(path)

    def pair(self, path: Path) -> None:
        key, line = self.key()
        if self.peek()[1] == "=":
            self.at += 1
        whole = (*path, *key)
        for end in range(len(path) + 1, len(whole) + 1):
            self.lines.setdefault(whole[:end], line)
        before = self.at
        self.value(whole)
        if self.at == before:
            self.at += 1

    def walk(self) -> Lines:
        current: Path = ()
        while self.peek()[0] != "end":
            kind, word, line = self.peek()
            if kind == "newline":
                self.at += 1
            elif (kind, word) == ("mark", "["):
                self.at += 1
                current = self.header(line)
            else:
                self.pair(current)
        return self.lines


def _too_deep(text: str) -> int | None:
    """Return the line where brackets outside strings and comments stand too deep, or None."""
    depth, line = 0, 1
    for match in _TOKEN.finditer(text):
        word = match.group()
        if match.lastgroup == "mark":
            depth += (word in "[{") - (word in "]}")
            if depth > DEEPEST:
                return line
        line += word.count("\n")
    return None


def read_toml_text(file: str, data: bytes) -> TomlText:
    """Return the values of a TOML file with their lines, and what is wrong with it as text.

    Parameters
    ----------
    file : str
        Path within the job folder. [-]
    data : bytes
        Its content. [-]

    Returns
    -------
    TomlText
        Values, lines and faults.
    """
    found = TomlText()
    text = decoded(file, data, MOST_BYTES_TOML)
    if isinstance(text, LocatedFault):
        found.faults.append(text)
        return found
    text = text.replace("\r\n", "\n")
    deep = _too_deep(text)
    if deep is not None:
        found.faults.append(located(file, deep, "", "brackets stand more than {most} deep: fewer are right", most=DEEPEST))
        return found
    dotted = max((line.count(".") for line in text.split("\n") if len(line) > 4 * DEEPEST), default=0)
    if dotted > 1000:
        found.faults.append(located(file, 1, "", "a key has {n} {n:part/parts}: at most {most} are right", n=dotted, most=DEEPEST))
        return found
    try:
        found.values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        match = _AT_LINE.match(str(error))
        line = int(match["line"]) if match and match["line"] else text.count("\n") + 1
        why = match["why"] if match else str(error)
        found.faults.append(located(file, line, "", "it is no TOML: {why}", why=why[:200]))
        return found
    except (ValueError, RecursionError, OverflowError) as error:
        found.faults.append(located(file, 1, "", "it is no TOML: {why}", why=str(error)[:200]))
        return found
    found.lines = _Index(text).walk()
    found.readable = True
    return found
