"""A whole examination of an adult, from an empty folder to the printed recommendation."""

import subprocess
import sys

from examination import Examination

from examwalk.reasoning.case import Case
from examwalk.session.model import State


def test_an_adult_is_examined_with_the_keyboard_alone_from_the_empty_folder_to_the_summary(
    examination: Examination,
):
    shown = set()
    while (place := examination.here) not in examination.typed:
        if place.test not in shown:
            examination.terminal.wait_for(*examination.signs_of(place))
            shown.add(place.test)
        examination.answer_next()
    examination.terminal.wait_for("Review ", "0 not done · 0 not reached")

    stored = examination.stored
    asked = Case(examination.protocol, stored.answers).places
    assert len(shown) > 75, "most of the 91 tests apply to everybody with a complaint"
    assert list(examination.typed) == list(asked), "in the order of the exam, left before right"
    assert dict(stored.answers) == examination.typed
    assert [type(stored.answers[place]) for place in asked] == [
        type(answer) for answer in examination.typed.values()
    ]
    assert not any(finding.not_done or finding.note for finding in stored.findings)

    examination.terminal.press("s")
    examination.terminal.wait_for("order", "Kind of device")
    assert examination.leave() == 0
    assert examination.stored.state is State.OPEN
    assert dict(examination.stored.answers) == examination.typed

    printed = subprocess.run(
        [sys.executable, "-m", "examwalk", "summary", str(examination.path)],
        capture_output=True,
        encoding="utf-8",
        timeout=30,
        check=False,
    )
    assert printed.returncode == 0
    assert printed.stderr == ""
    assert "For the pair" in printed.stdout
    assert "Kind of device: " in printed.stdout
    assert examination.protocol.identity.disclaimer[:40] in printed.stdout
