"""The command `fabgen`, and `python -m fabgen`."""

import sys

INTERRUPTED = 130
"""Exit code after Ctrl-C, as shells have it."""


def main() -> None:
    """Entry point: Ctrl-C ends quietly, also while the program is still being loaded."""
    try:
        from fabgen.cli import main as run

        run()
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)


if __name__ == "__main__":
    main()
