"""Drawing knows nothing of exams, screens or files: anything may use it."""

import subprocess
import sys


def test_it_loads_no_other_part_of_the_program():
    code = (
        "import sys, examwalk.drawing.sheet, examwalk.drawing.checking\n"
        "others = [m for m in sys.modules if m.startswith(('examwalk.', 'textual', 'rich'))]\n"
        "print([m for m in others if not m.startswith('examwalk.drawing')])"
    )
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert done.stdout.strip() == "[]"
