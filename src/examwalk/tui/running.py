"""Running the app from the shell, and what is said and written when it breaks."""

import os
import sys
import traceback
from pathlib import Path

from platformdirs import user_log_path

from examwalk.language import say
from examwalk.tui.app import ExamwalkApp, Start
from examwalk.tui.clock import local_now
from examwalk.tui.ending import has_terminal


def run(folder: Path, start: Start) -> int:
    """Run the app in the terminal, where there is one, and return the exit code.

    Args:
        folder: where the visits are.
        start: what to open with.
    """
    if not has_terminal():
        needs = say(
            "the app needs a terminal to be typed in. Without one there are the commands:"
            " examwalk --help."
        )
        print(f"examwalk: {needs}", file=sys.stderr)
        return 1
    for name in ("COLUMNS", "LINES"):
        # Left behind by a shell or a library, they would outweigh every change of the window.
        os.environ.pop(name, None)
    return run_app(folder, start)


def run_app(folder: Path, start: Start) -> int:
    """Run the app, report a fault of its own in a sentence, and return the exit code."""
    app = ExamwalkApp(folder, start)
    failure: BaseException | None = None
    try:
        app.run()
    except Exception as error:  # the last stop before the shell: everything is reported
        failure = error
    app.let_go()
    failure = failure or app._exception
    if failure is None:
        return app.return_code or 0
    print(_failure_words(app, _write_log(failure)), file=sys.stderr)
    return 1


def _write_log(failure: BaseException) -> Path | None:
    """Write the traceback, without the values of variables, where only the user can read it."""
    try:
        folder = user_log_path("examwalk", ensure_exists=True)
        path = folder / "failures.log"
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        with os.fdopen(descriptor, "a", encoding="utf-8") as log:
            log.write(
                f"{local_now().isoformat()}\n{''.join(traceback.format_exception(failure))}\n"
            )
    except OSError:
        return None
    return path


def _failure_words(app: ExamwalkApp, log: Path | None) -> str:
    parts = [say("examwalk stopped because of a fault of its own.")]
    if app.visit is not None:
        saved = say("The visit is saved: {path}", path=app.visit.path)
        parts.append(app.visit.unsaved or saved)
    if log is not None:
        parts.append(say("What happened is written in {path}", path=log))
    return "\n".join(parts)
