"""What the program says of itself. It is told without click, which takes four times as long to import as Python to start."""

import os
from typing import Final

from mainwright import __version__

__all__ = ["COMMANDS", "OPTIONS", "overview", "version"]

COMMANDS: Final = {
    "check": ("mainwright.cli.check", "Say what is wrong with a job folder, what is assumed, and what to find out first."),
    "plan": ("mainwright.cli.plan", "Make the plan of a job folder and its papers."),
    "programme": ("mainwright.cli.programme", "Make the programme of a job: dates, crews, permits, calendars."),
    "line": ("mainwright.cli.line", "Follow a run while it is lined: thickness, speed to change to, alarms."),
    "lag": ("mainwright.cli.lag", "Fit the time constant of the hose from a followed run."),
    "supply": ("mainwright.cli.supply", "Size the temporary supply of a job from its stock."),
    "giveback": ("mainwright.cli.giveback", "Say how and when the main is given back, with letters to its customers."),
    "prove": ("mainwright.cli.prove", "Say what the records of a job prove, run by run, and what is missing."),
    "value": ("mainwright.cli.value", "Say what is owed for what the records prove: valuation or final account."),
    "take-in": ("mainwright.cli.take_in", "Make a job folder from an inventory or a GIS layer."),
    "rings": ("mainwright.cli.rings", "Make bore, thickness and thin areas from ring scans."),
    "rings-file": ("mainwright.cli.rings", "Write a ring scan anew, in the layout that is quickest to read."),
    "water": ("mainwright.cli.water", "Judge waters: calcite, ions, and how long fresh mortar shows in them."),
    "serve": ("mainwright.cli.serve", "Serve the pages of job folders to a browser on this machine."),
    "import": ("mainwright.cli.keep", "Take a job folder or the file of a run into the store."),
    "export": ("mainwright.cli.keep", "Give a job or a run out of the store, to carry it elsewhere."),
    "verify": ("mainwright.cli.keep", "Say whether anything that is kept was changed, lost, added or moved."),
    "demo": ("mainwright.cli.demo", "Make the invented demo job, its papers and its proof."),
}
"""Each command, the module that holds it under its own name, and what it does in one line."""

OPTIONS: Final = {
    "--version": "Show the version and exit.",
    "--debug": "Show the trace of an unexpected failure instead of keeping it in a file.",
    "-h, --help": "Show this message, or that of a command, and exit.",
}
"""The options of all commands."""

_USAGE: Final = "Usage: mainwright [OPTIONS] COMMAND [ARGS]..."
_PURPOSE: Final = "Plan, run and prove the cement mortar lining of old drinking-water mains."
_STATUSES: Final = (
    "Exit status: 0 done; 1 the answer is no, only with --strict; 2 the input has faults; 3 something outside failed; 130 interrupted."
)
_WIDEST: Final = 100
_NARROWEST: Final = 50


def version() -> str:
    """Return the line that tells the version."""
    return f"mainwright, version {__version__}"


def overview() -> str:
    """Return what ``--help`` prints, as wide as the terminal and no wider than is easily read."""
    wide = _width()
    lines = [_USAGE, "", *_wrapped(_PURPOSE, wide, "  ", "  "), "", "Options:", *_listed(OPTIONS, wide), "", "Commands:"]
    lines += _listed({name: text for name, (_, text) in COMMANDS.items()}, wide)
    return "\n".join([*lines, "", *_wrapped(_STATUSES, wide, "  ", "  ")])


def _width() -> int:
    given = os.environ.get("COLUMNS", "")
    try:
        columns = int(given) if given.isascii() and given.isdigit() and len(given) < 6 else os.get_terminal_size().columns
    except OSError:
        columns = 80
    return max(_NARROWEST, min(_WIDEST, columns))


def _listed(entries: dict[str, str], wide: int) -> list[str]:
    names = max(map(len, entries)) + 2
    return [line for name, text in entries.items() for line in _wrapped(text, wide, "  " + name.ljust(names), " " * (names + 2))]


def _wrapped(text: str, wide: int, first: str, rest: str) -> list[str]:
    lines = [first]
    for word in text.split(" "):
        lead = first if len(lines) == 1 else rest
        if lines[-1] == lead:
            lines[-1] += word
        elif len(lines[-1]) + 1 + len(word) <= wide:
            lines[-1] += " " + word
        else:
            lines.append(rest + word)
    return lines
