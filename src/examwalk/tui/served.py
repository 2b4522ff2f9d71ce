"""One app behind a page of the browser: ``python -m examwalk.tui.served FOLDER LANGUAGE PARENT``.

It is started by the server alone, speaks with it over its pipes, and ends with it.
"""

import os
import sys
import threading
import time
from pathlib import Path

from examwalk.catalogues import choose_language
from examwalk.problems import UnusableFileError
from examwalk.tui.app import Start
from examwalk.tui.ending import HUNG_UP
from examwalk.tui.running import run_app

LOOKED_EACH_SECONDS = 0.5


def main() -> int:
    """Run the app until its page is closed or its server has gone."""
    folder, language, parent = sys.argv[1:]
    choose_language(language)
    if os.name != "nt":  # there a process keeps the number of a parent that has gone
        watch = threading.Thread(target=end_with, args=(int(parent),), daemon=True)
        watch.start()
    try:
        return run_app(Path(folder), Start(kind="menu"))
    except UnusableFileError as error:  # the file of settings was changed since the server began
        print(f"examwalk: {error}", file=sys.stderr)
        return 1


def end_with(parent: int) -> None:
    """End this process soon after its parent; every answer is on disk already.

    Textual itself would wait for ever for a page that nobody shows.
    """
    while os.getppid() == parent:
        time.sleep(LOOKED_EACH_SECONDS)
    os._exit(HUNG_UP)


if __name__ == "__main__":
    sys.exit(main())
