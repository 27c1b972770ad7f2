"""The roof over all commands: whatever fails below ends here in one clear message and one exit status."""

import sys
from collections.abc import Sequence
from types import FrameType
from typing import Final

import click

from mainwright.cli.root import cli
from mainwright.cli.statuses import DONE, FAULTY_INPUT, INTERRUPTED, OUTSIDE_FAILED
from mainwright.errors import FaultyInput, InputError, MainwrightError, NotFound

__all__ = ["run"]

_ONLY_TOLD: Final = frozenset({"-h", "--help", "--version"})
"""With these nothing is begun that could be left half-done; they do not pay for signals."""


def run(arguments: Sequence[str]) -> int:
    """Run a command.

    Parameters
    ----------
    arguments : sequence of str
        What stands after the program's name. [-]

    Returns
    -------
    int
        The exit status.
    """
    if not _ONLY_TOLD & set(arguments):
        _end_as_interrupted()
    _write_whatever_comes()
    try:
        status = cli.main(args=list(arguments), prog_name="mainwright", standalone_mode=False)
        sys.stdout.flush()
    except (click.Abort, KeyboardInterrupt):
        _say("Interrupted. Nothing was left half-written.")
        return INTERRUPTED
    except (BrokenPipeError, SystemExit):
        # click leaves by SystemExit when the reader of the standard output is gone.
        return _closed_pipe()
    except Exception as error:
        foreseen = _foreseen(error)
        if foreseen is None:
            if "--debug" in arguments:
                raise
            foreseen = (OUTSIDE_FAILED, _kept(error, arguments))
        _say(foreseen[1])
        return foreseen[0]
    return status if isinstance(status, int) else DONE


def _foreseen(error: Exception) -> tuple[int, str] | None:
    """Return exit status and message of an error that is nobody's surprise."""
    status = OUTSIDE_FAILED
    match error:
        case click.exceptions.NoArgsIsHelpError():
            status, text = FAULTY_INPUT, error.format_message()
        case click.UsageError():
            status, text = FAULTY_INPUT, f"Error: {error.format_message()}"
            if error.ctx is not None:
                text += f"\nTry `{error.ctx.command_path} --help`."
        case click.ClickException():
            status, text = FAULTY_INPUT, f"Error: {error.format_message()}"
        case FaultyInput():
            status, text = FAULTY_INPUT, "\n".join(str(fault) for fault in error.faults)
        case InputError() | NotFound():
            status, text = FAULTY_INPUT, f"Error: {error}"
        case OSError():
            what = error.strerror or str(error) or type(error).__name__
            text = f"Error: {error.filename}: {what}" if error.filename else f"Error: {what}"
        case MainwrightError():
            text = f"Error: {error}"
        case MemoryError():
            text = "Error: the memory of this machine is not enough for this input."
        case _:
            return None
    return status, text


def _say(text: str) -> None:
    if sys.stderr.isatty():
        # A line of progress may stand there, half a line long.
        click.echo("\r" + " " * 30 + "\r", err=True, nl=False)
    click.echo(text, err=True)


def _closed_pipe() -> int:
    # The reader has seen enough; writing to it again at exit would print a traceback.
    import os

    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return OUTSIDE_FAILED


def _write_whatever_comes() -> None:
    """Let a terminal that cannot show a character show a question mark in its place."""
    import io

    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _end_as_interrupted() -> None:
    """Let a request to terminate end like Ctrl-C, so that what was begun is cleared away."""
    import signal

    def interrupt(number: int, frame: FrameType | None) -> None:
        del number, frame
        raise KeyboardInterrupt

    try:
        signal.signal(signal.SIGTERM, interrupt)
    except ValueError:
        # Not in the main thread: whoever runs us there handles signals.
        return


def _kept(error: Exception, arguments: Sequence[str]) -> str:
    """Log a failure that nobody foresaw, and say where its trace lies."""
    import logging

    from mainwright import bootstrap

    first = f"Error: Mainwright failed where it should not have ({type(error).__name__}: {error})."
    try:
        path = bootstrap.log_file()
        handler = logging.FileHandler(path, encoding="utf-8")
    except OSError:
        return f"{first}\nRun it again as `mainwright --debug ...` to see where."
    logger = logging.getLogger("mainwright")
    logger.propagate = False
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    logger.addHandler(handler)
    try:
        logger.error("A command failed: %s", " ".join(arguments), exc_info=error)
    finally:
        logger.removeHandler(handler)
        handler.close()
    return f"{first}\nIts trace was added to {path}; send it with a report of what you did."
