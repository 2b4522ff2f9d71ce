"""Programs of others that our output is held against, where this machine has them."""

import os
import shutil
from pathlib import Path

import pytest

NODE_MODULES = Path(os.environ.get("EXAMWALK_NODE_MODULES", "/nonexistent"))
"""The folder into which npm has put ``axe-core`` and ``vnu-jar``."""
AXE = NODE_MODULES / "axe-core" / "axe.min.js"
VALIDATOR = NODE_MODULES / "vnu-jar" / "build" / "dist" / "vnu.jar"
CHROMIUM = shutil.which("chromium")
OFFICE = shutil.which("soffice")
JAVA = shutil.which("java")

needs_axe = pytest.mark.skipif(
    CHROMIUM is None or not AXE.exists(),
    reason="needs chromium, and axe-core in the folder that EXAMWALK_NODE_MODULES names",
)
needs_validator = pytest.mark.skipif(
    JAVA is None or not VALIDATOR.exists(),
    reason="needs java, and vnu-jar in the folder that EXAMWALK_NODE_MODULES names",
)
needs_office = pytest.mark.skipif(OFFICE is None, reason="needs LibreOffice Calc")
