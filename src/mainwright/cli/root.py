"""The command group. A command's module is imported when it is called, so that ``--help`` costs no more than click."""

from importlib import import_module

import click

from mainwright import __version__
from mainwright.cli.overview import COMMANDS, OPTIONS, overview

__all__ = ["cli"]


class _Commands(click.Group):
    """A group that imports a command only when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order in which the work is done."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return a command, importing its module."""
        if cmd_name not in COMMANDS:
            return None
        # A name that Python keeps for itself, or that would hide another, has a line after it.
        module, name = import_module(COMMANDS[cmd_name][0]), cmd_name.replace("-", "_")
        command = getattr(module, name, None) or getattr(module, f"{name}_")
        assert isinstance(command, click.Command)  # noqa: S101
        return command

    def resolve_command(self, ctx: click.Context, args: list[str]) -> tuple[str | None, click.Command | None, list[str]]:
        """Return the command that is called; one that is not there is told with the nearest that is."""
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            from difflib import get_close_matches

            near = get_close_matches(args[0][:64], COMMANDS, n=1)
            if not near:
                raise
            told = f"{error.message} Did you mean {near[0]}?"
            raise click.UsageError(told, ctx) from None

    def get_help(self, ctx: click.Context) -> str:
        """Return the overview, which imports no command."""
        return overview()


@click.group(
    cls=_Commands,
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.version_option(__version__, prog_name="mainwright")
@click.option("--debug", is_flag=True, help=OPTIONS["--debug"])
def cli(*, debug: bool) -> None:
    """Plan, run and prove the cement mortar lining of old drinking-water mains."""
    # `debug` is read by the roof, which is outside click when something fails.
    del debug
