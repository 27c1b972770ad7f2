"""Entry of the command line."""

import os
import sys

__all__ = ["main"]


def main() -> None:
    """Run the command line."""
    if sys.argv[1:] in (["--help"], ["-h"], ["--version"]):
        sys.exit(_told(sys.argv[1]))
    # One thread for small linear algebra; it must be set before numpy is first imported.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        from mainwright.cli.roof import run

        status = run(sys.argv[1:])
    except KeyboardInterrupt:
        # Pressed while the first modules are read: nothing has begun yet.
        status = 130
    sys.exit(status)


def _told(option: str) -> int:
    """Say what the program is, without importing what runs it."""
    from mainwright.cli.overview import overview, version

    try:
        sys.stdout.write((version() if option == "--version" else overview()) + "\n")
        sys.stdout.flush()
    except OSError:
        # Nobody reads it, or nothing holds it: at exit Python would try again, and complain.
        os._exit(3)
    return 0


if __name__ == "__main__":
    main()
