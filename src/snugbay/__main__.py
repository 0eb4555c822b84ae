"""Run the command line with ``python -m snugbay``."""

from snugbay.cli import main

if __name__ == "__main__":
    main()
