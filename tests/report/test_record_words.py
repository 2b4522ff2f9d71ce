"""A signed and amended visit in print and for scripts: what stands beside what stood."""

from pathlib import Path

import pytest

from examwalk.reasoning.summary import summarise
from examwalk.report.data import summary_data
from examwalk.report.text import summary_text
from examwalk.session.protocol_used import protocol_for
from examwalk.session.storing import read_session

VISITS = Path(__file__).parents[1] / "session" / "visits"


def printed(name: str) -> str:
    session = read_session(VISITS / f"{name}.toml")
    protocol = protocol_for(session, VISITS)[0].protocol
    return " ".join(summary_text(protocol, session, summarise(protocol, session)).split())


def for_scripts(name: str) -> dict:
    session = read_session(VISITS / f"{name}.toml")
    protocol = protocol_for(session, VISITS)[0].protocol
    return summary_data(protocol, session, summarise(protocol, session))["session"]["record"]


def test_print_tells_who_signed_and_when():
    assert "Signed 25 Nov 2026, 09:31 by AB, seal 0-" in printed("signed")
    assert "Signed 25 Nov 2026, 09:31 by AB, 5 amendments, seal 5-" in printed("amended")
    assert "Signed" not in printed("finished")


@pytest.mark.parametrize(
    "words",
    [
        (
            "Supination resistance, left: middling; before: hard. "
            "Correction by CD, 26 Nov 2026, 09:31: Entered one row too low."
        ),
        "Supination resistance, right: easy; before: not done (Too painful). Late entry by CD",
        "Strength, left: weak; before: nothing. Addendum by CD",
        "Age: nothing; before: 47 years. Retraction by CD",
        "Heel lift, left: 3 mm; before: 4 mm. Correction by CD",
    ],
)
def test_print_tells_each_amendment_with_old_new_who_when_and_why(words):
    assert words in printed("amended")


def test_a_recommendation_follows_what_stands_and_not_what_stood():
    assert "Heel lift: 4 mm" in printed("signed")
    assert "Heel lift: none" in printed("amended")


def test_scripts_get_the_chain():
    record = for_scripts("amended")
    assert record["signed_by"] == "AB"
    assert [one["kind"] for one in record["amendments"]] == [
        *("correction", "late-entry", "addendum", "retraction", "correction"),
    ]
    previous = [one["previous"] for one in record["amendments"]]
    hashes = [record["hash"], *(one["hash"] for one in record["amendments"])]
    assert previous == hashes[:-1]
    assert for_scripts("finished") is None
