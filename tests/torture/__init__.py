"""Visits under kills, failing disks and damaged bytes, with nothing lost; see ``__main__``."""

import sys
from pathlib import Path

# Tests are no package, but the ground of some is shared.
for _folder in ("end_to_end", "tui"):
    sys.path.append(str(Path(__file__).parents[1] / _folder))
