"""Room cli: the command line, a thin door to the same functions as the page."""

from snugbay.cli.app import main

__all__ = ["main"]
