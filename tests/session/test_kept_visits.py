"""Visits that an earlier version wrote: every later one opens them and understands the same.

The files under ``visits`` are never written anew. A new form of the file gets files of its own.
"""

import hashlib
import json
import tomllib
from datetime import datetime
from pathlib import Path

import pytest

from examwalk.reasoning.fitting import misfits
from examwalk.session.model import Finding, Place, Session, Side, State
from examwalk.session.protocol_used import protocol_for
from examwalk.session.signing import seal, verify
from examwalk.session.storing import read_session

FOLDER = Path(__file__).parent / "visits"
NAMES = ("open", "finished", "signed", "amended")


def at(time: str) -> datetime:
    return datetime.fromisoformat(f"2026-11-{time}:00+01:00")


def visit(name: str) -> Session:
    return read_session(FOLDER / f"{name}.toml")


def left(test: str) -> Place:
    return Place(test, Side.LEFT)


def right(test: str) -> Place:
    return Place(test, Side.RIGHT)


def whole(test: str) -> Place:
    return Place(test, Side.WHOLE)


AS_EXAMINED = {
    left("hot-foot"): "no",
    right("hot-foot"): "no",
    left("skin"): ("callus", "crack"),
    right("skin"): ("intact",),
    whole("age"): 47,
    whole("story"): 'First steps hurt:\n"like a stone" — Übungen halfen; [b]=3\\4, =1+1 🙂',
    left("resistance"): "hard",
    left("jack"): "easy",
    left("posture"): "pronated",
    right("posture"): "neutral",
    left("lunge"): 9.5,
    right("lunge"): 11,
}


@pytest.mark.parametrize("name", NAMES)
def test_every_kept_visit_is_listed_here_and_opens_whole(name):
    session = visit(name)
    assert (session.id, session.patient, session.examiner) == (name, "P-0007", "AB")
    assert session.invented
    assert session.started == at("25T09:00")
    assert verify(session) == ()
    assert {path.stem for path in FOLDER.glob("*.toml")} == set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_a_kept_visit_is_read_with_the_protocol_that_was_kept_beside_it(name):
    session = visit(name)
    loaded, note = protocol_for(session, FOLDER)
    assert (loaded.protocol.identity.id, note) == ("small", None)
    assert loaded.protocol.tests_by_id["resistance"].title == "Supination resistance"
    assert misfits(loaded.protocol, session) == ()


@pytest.mark.parametrize("name", ["open", "finished", "signed"])
def test_every_kind_of_answer_means_what_it_meant(name):
    session = visit(name)
    assert session.answers == AS_EXAMINED
    assert session.finding(left("resistance")) == Finding(
        left("resistance"), at("25T09:05"), "hard", note="Two hands,\nslowly."
    )
    assert session.finding(right("resistance")) == Finding(
        right("resistance"), at("25T09:06"), not_done="pain"
    )
    jack = session.finding(right("jack"))
    assert jack is not None
    assert jack.not_done == "She would rather not; next time"
    depth = session.finding(left("crack-depth"))
    assert depth is not None
    assert (depth.answer, depth.note) == (None, "look again in good light")


def test_an_open_visit_goes_on_where_it_was_left():
    session = visit("open")
    assert (session.state, session.finished) == (State.OPEN, None)
    assert session.here == left("crack-depth")
    assert (session.decisions, session.replies, session.signature) == ((), (), None)


def test_a_finished_visit_has_its_orders_and_replies():
    session = visit("finished")
    assert (session.state, session.finished) == (State.FINISHED, at("25T09:30"))
    first, second = session.decisions
    assert (first.feature, first.side, first.value, first.recommended, first.because) == (
        *("lift", Side.LEFT, 4, 4, ""),
    )
    assert (second.side, second.value, second.recommended, second.because) == (
        *(Side.RIGHT, 2.5, 0, "the shoe is low"),
    )
    (reply,) = session.replies
    assert (reply.crosscheck, reply.side) == ("hard-but-easy", Side.LEFT)
    assert reply.says == "Repeated with the same result."


def test_a_signed_visit_tells_who_signed_and_when():
    signature = visit("signed").signature
    assert signature is not None
    assert (signature.by, signature.at, signature.amendments) == ("AB", at("25T09:31"), 0)


def test_an_amended_visit_tells_what_stands_and_what_stood():
    session = visit("amended")
    assert session.answers == {
        **{place: answer for place, answer in AS_EXAMINED.items() if place != whole("age")},
        left("resistance"): "middling",
        right("resistance"): "easy",
        left("strength"): "weak",
    }
    assert [(order.side, order.value) for order in session.decisions] == [
        (Side.RIGHT, 2.5),
        (Side.LEFT, 3),
    ]
    assert [
        (str(one.path), one.kind.value, one.old, one.new, one.by, one.at, one.because)
        for one in session.amendments
    ] == [
        *(
            (*path_and_values, "CD", at(f"{day}T09:31"), because)
            for day, (because, *path_and_values) in enumerate(AMENDMENTS, start=26)
        ),
    ]
    assert session.amendments[1].old_not_done == "pain"
    assert session.as_signed is not None
    assert session.as_signed.answers == AS_EXAMINED


AMENDMENTS = (
    ("Entered one row too low.", "resistance (left)", "correction", "hard", "middling"),
    ("Left out at the visit.", "resistance (right)", "late-entry", None, "easy"),
    ("The report came by post.", "strength (left)", "addendum", None, "weak"),
    ("Of another patient.", "age", "retraction", 47, None),
    ("The shoe takes no more.", "lift (left)", "correction", 4, 3),
)


def sha256_of(tables: dict[str, object]) -> str:
    text = json.dumps(
        tables,
        ensure_ascii=False,
        sort_keys=True,
        separators=(",", ":"),
        default=lambda time: time.isoformat(),
    )
    return hashlib.sha256(text.encode()).hexdigest()


@pytest.mark.parametrize("name", ["signed", "amended"])
def test_each_hash_can_be_worked_out_from_the_file_alone(name):
    tables = tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))
    signature, amendments = tables.pop("signature"), tables.pop("amendment", [])
    del tables["format"], tables["checksum"], tables["session"]["here"]
    signer = {key: signature[key] for key in ("by", "at")}
    last = sha256_of({**tables, "signature": signer})
    assert signature["hash"] == last
    for amendment in amendments:
        hash_there = amendment.pop("hash")
        assert amendment["previous"] == last
        last = sha256_of(amendment)
        assert hash_there == last
    assert seal(visit(name)) == f"{len(amendments)}-{last[:12]}"
