"""Entry of the command line."""

import os
import sys

__all__ = ["main"]


def main() -> None:
    """Run the command line."""
    # One thread for small linear algebra; it must be set before numpy is first imported.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        from mainwright.cli.roof import run

        status = run(sys.argv[1:])
    except KeyboardInterrupt:
        # Pressed while the first modules are read: nothing has begun yet.
        status = 130
    sys.exit(status)


if __name__ == "__main__":
    main()
