"""Entry of the command line."""

import os

__all__ = ["main"]


def main() -> None:
    """Run the command line."""
    # One thread for small linear algebra; it must be set before numpy is first imported.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from mainwright.cli.root import cli

    cli(prog_name="mainwright")


if __name__ == "__main__":
    main()
