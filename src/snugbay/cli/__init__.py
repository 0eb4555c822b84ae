"""Room cli: the command line, a thin door to the same functions as the page."""

import sys

__all__ = ["main"]

STOPPED = 130


def main() -> None:
    """Run the command line; Ctrl-C while the program still loads ends it quietly too."""
    try:
        from snugbay.cli.app import main as run

        run()
    except KeyboardInterrupt:
        print("Stopped.", file=sys.stderr)
        sys.exit(STOPPED)
