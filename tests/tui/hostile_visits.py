"""Visits and a protocol with words in every free field that would drive a terminal or an app."""

import tomllib
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from attrs import evolve
from ordering_protocol import COLLIDING, LEFT, ORDERING, RIGHT, WHOLE, Answers, a_session
from small_protocol import small_protocol

from examwalk.protocol import structuring
from examwalk.protocol.reading import LoadedProtocol
from examwalk.protocol.word_places import WORD_KEYS
from examwalk.session import tables, writing
from examwalk.session.folder import keep_protocol, path_for
from examwalk.session.model import Decision, Place, ProtocolUsed, Reply, State
from examwalk.session.storing import write_session

CONTROLS = "\x1b[2J\x1b]2;owned\x07\x1b]52;c;b3duZWQ=\x07\x9b31m\u202e\u2066\x00\x08"
MARKUP = "[/] [@click=app.quit]x[/] [link=evil:]y[/link] $stop {0} %s"
TAIL = "=1+1 <script>alert(1)</script>"
BEHIND = ""
"""What stands behind each; ``LONG`` leaves no screen room for anything else."""
LONG = " 足שלום" + "long" * 200
CODE = "[red]code[/]"
ANSWERS: Answers = {
    **COLLIDING,
    ("hot-foot", RIGHT): "yes",
    ("jack", LEFT): "easy",
    ("posture", LEFT): "pronated",
    ("lunge", LEFT): 8.0,
    ("age", WHOLE): 50,
}
_FREE = frozenset[str]().union(*WORD_KEYS.values()) - {"kind"} | {
    "cite",
    "identifier",
    "value",
    "group",
}


def hostile(word: str) -> str:
    """Return a word that is markup itself, with everything behind it that could do harm."""
    return f"[red]{word}[/]{CONTROLS}{TAIL} {MARKUP}{BEHIND}"


def without_cleaning(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let every character through that reading a file would clean or refuse.

    What a file holds would else be harmless before any screen sees it.
    """
    monkeypatch.setattr(structuring, "is_harmful", lambda _: False)
    for module, name in ((tables, "clean"), (tables, "clean_line"), (writing, "clean_line")):
        monkeypatch.setattr(module, name, lambda text: text)
    monkeypatch.setattr(tables, "is_harmful", lambda _: False)


def hostile_protocol(folder: Path, text: str = ORDERING) -> LoadedProtocol:
    """Return the ordering protocol, hostile in every word of its own."""
    data = tomllib.loads(text)
    kinds = [one.pop("kind") for one in data["advice"]]  # words of their own only here
    data = _hostile_in(data)
    for one, kind in zip(data["advice"], kinds, strict=True):
        one["kind"] = hostile(f"kind-{kind}")
    return small_protocol(folder, tomli_w.dumps(data))


def _hostile_in(value: Any, *, key: str = "") -> Any:
    match value:
        case dict():
            return {
                name: _hostile_in(inner, key=key if key in _FREE else name)
                for name, inner in value.items()
            }
        case list():
            return [_hostile_in(inner, key=key) for inner in value]
        case str() if key in _FREE:
            return hostile(_word_of(key, value))
    return value


def _word_of(key: str, words: str) -> str:
    """Name a word by its key and its first word: short enough to be seen wherever it stands."""
    return f"{key}-{words.split(maxsplit=1)[0].strip('.,').lower()}"


def put_hostile_visit(
    folder: Path, weeks: int = 0, state: State = State.OPEN, answers: Answers = ANSWERS
) -> Path:
    """Write a visit, hostile in every free field, with its protocol, and return its path."""
    loaded = hostile_protocol(folder.parent)
    keep_protocol(folder, loaded.fingerprint, loaded.text)
    session = a_session(loaded.protocol, answers)
    began = session.started + timedelta(weeks=weeks)
    noted = [evolve(one, note=hostile("note") + LONG) for one in session.findings]
    undone = evolve(noted[0], place=Place("strength", LEFT), answer=None)
    story = evolve(noted[0], place=Place("story", WHOLE), answer=hostile("story"))
    session = evolve(
        session,
        id=f"visit-{weeks}",
        started=began,
        state=state,
        finished=began if state is State.FINISHED else None,
        patient=CODE,
        examiner=hostile("examiner"),
        about=hostile("about") + LONG,
        protocol=ProtocolUsed("small", "1.0.0", loaded.fingerprint),
        findings=(*noted, evolve(undone, not_done=hostile("reason")), story),
        decisions=(Decision("cover", LEFT, "firm", "soft", at=began, because=hostile("because")),),
        replies=(Reply("hard-but-easy", LEFT, says=hostile("reply"), at=began),),
    )
    path = path_for(folder, session.id)
    write_session(path, session)
    return path


def put_hostile_lock(path: Path) -> None:
    """Let another computer's window hold a visit, under a hostile name."""
    lock = {"who": "[red]holder[/]\x1b]2;x\x07\u202e", "host": "[red]host[/]\x9b31m", "pid": 7}
    path.with_name(f".{path.name}.lock").write_text(tomli_w.dumps(lock), "utf-8")
