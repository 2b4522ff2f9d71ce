"""What Python sees in a source file, looked at once for all tests of a run that ask for it."""

import ast
from functools import cache
from pathlib import Path


@cache
def tree_of(path: Path) -> ast.Module:
    """Return the syntax tree of a file that no test changes."""
    return ast.parse(path.read_text(encoding="utf-8"))
