"""The command group and what all commands share."""

import click

from mainwright import __version__

__all__ = ["cli"]


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="mainwright")
def cli() -> None:
    """Plan, run and prove the cement mortar lining of old drinking-water mains."""
