"""Every command and every option is documented, and nothing is documented that is not there."""

import re
from pathlib import Path

import click
import pytest

from mainwright import __version__
from mainwright.cli import statuses
from mainwright.cli.overview import COMMANDS, OPTIONS, overview, version
from mainwright.cli.root import cli

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "commands.md").read_text(encoding="utf-8")
SECTIONS = dict(re.findall(r"^## ([\w-]+)\n(.*?)(?=^## |\Z)", PAGE, flags=re.MULTILINE | re.DOTALL))


def _command(name: str) -> click.Command:
    with click.Context(cli) as context:
        command = cli.get_command(context, name)
    assert command is not None
    return command


def _options(command: click.Command) -> set[str]:
    return {option for one in command.params if isinstance(one, click.Option) for option in one.opts if option.startswith("--")}


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_has_its_section(name: str) -> None:
    section = SECTIONS[name]
    command = _command(name)
    assert f"mainwright {name}" in section
    for argument in command.params:
        if isinstance(argument, click.Argument):
            assert str(argument.name).upper() in section
    rows = set(re.findall(r"^\| `(--[\w-]+)` \|", section, flags=re.MULTILINE))
    assert rows == _options(command)
    usage = re.findall(r"^    mainwright .*$", section, flags=re.MULTILINE)[0]
    assert set(re.findall(r"--[\w-]+", usage)) == _options(command)


def test_the_options_of_all_commands() -> None:
    head = PAGE.split("\n## ")[0]
    assert set(re.findall(r"^\| `(--[\w-]+)` \|", head, flags=re.MULTILINE)) == _options(cli) | {"--help"}


def test_no_section_of_a_command_that_is_not_there() -> None:
    shown = {name for name in SECTIONS if name.islower()}
    assert shown == set(COMMANDS)


def test_exit_statuses() -> None:
    numbers = {value for name, value in vars(statuses).items() if name.isupper()}
    assert {int(one) for one in re.findall(r"^\| (\d+) \|", PAGE, flags=re.MULTILINE)} == numbers


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_explains_itself(name: str) -> None:
    command = _command(name)
    assert command.help
    for one in command.params:
        if isinstance(one, click.Option):
            assert one.help, one.name


@pytest.mark.parametrize("name", COMMANDS)
def test_the_list_of_commands_says_what_the_command_is(name: str) -> None:
    assert COMMANDS[name][1].endswith(".")
    assert len(COMMANDS[name][1]) < 90


def test_the_overview_has_every_option_and_command(monkeypatch: pytest.MonkeyPatch) -> None:
    assert {name.split(" ")[-1] for name in OPTIONS} == _options(cli) | {"--help"}
    for columns in ("50", "80", "200", "nonsense", ""):
        monkeypatch.setenv("COLUMNS", columns)
        text = overview()
        assert all(len(line) <= 100 for line in text.splitlines())
        assert set(re.findall(r"^  (\S+)  ", text.split("Commands:")[1], flags=re.MULTILINE)) == set(COMMANDS)
    monkeypatch.setenv("COLUMNS", "50")
    assert max(map(len, overview().splitlines())) <= 50
    with click.Context(cli, info_name="mainwright") as context:
        assert cli.get_help(context) == overview()
    assert version().endswith(__version__)
