"""Run the command line with ``python -m examwalk``, or as the command ``examwalk``."""

import gc
import sys

from examwalk.cli import main


def run() -> int:
    """Run one command, and end without a last search of the memory, which takes 0.1 s."""
    status = main()
    gc.freeze()  # all that is left goes with the process
    return status


if __name__ == "__main__":
    sys.exit(run())
