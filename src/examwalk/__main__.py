"""Run the command line with ``python -m examwalk``."""

import sys

from examwalk.cli import main

sys.exit(main())
