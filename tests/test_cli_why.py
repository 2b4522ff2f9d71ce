"""Why, and why not, on the command line."""

from pathlib import Path

import pytest

from adult_cases import ADULT
from examwalk.cli import main
from examwalk.reasoning.results import FeatureStatus
from examwalk.reasoning.summary import summarise
from examwalk.report.why_text import Visit, why_told
from examwalk.session.storing import read_session

SESSIONS = Path(__file__).parents[1] / "sessions"
HEEL = SESSIONS / "heel-pain-right.toml"


def printed(capsys, *arguments: object, status: int = 0) -> str:
    """Run the command and return its result on one line; nothing else may be said."""
    assert main(["why", *map(str, arguments)]) == status
    out, err = capsys.readouterr()
    assert err == ""
    return " ".join(out.split())


def refusal(capsys, *arguments: object) -> str:
    """Check that a question is refused as a fault of the command line, and return why."""
    assert main(["why", *map(str, arguments)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("examwalk: ")
    assert err.rstrip().endswith((".", "?"))
    return err


def test_the_chain_runs_from_the_findings_through_score_start_and_cap_to_the_value(capsys):
    text = printed(capsys, HEEL, "medial-heel-skive", "--side", "right")
    order = [
        "Medial heel skive, right",
        "Supination resistance, right: high",
        "It starts at none. Possible: 0 to 6 mm, in steps of 2.",
        "1 starts at 4 mm: none → 4 mm",
        "2 at most 2 mm: 4 mm → 2 mm",
        "Heel tenderness, right: Inner front edge",
        "So: 2 mm.",
    ]
    places = [text.index(part) for part in order]
    assert places == sorted(places)
    assert "left" not in text


def test_without_a_side_both_feet_are_told(capsys):
    text = printed(capsys, HEEL, "medial-heel-skive")
    assert text.index("Medial heel skive, left") < text.index("Medial heel skive, right")


@pytest.mark.parametrize("path", sorted(SESSIONS.glob("*.toml")), ids=lambda path: path.stem)
def test_every_chain_ends_in_the_value_of_the_summary(path):
    session = read_session(path)
    summary = summarise(ADULT, session)
    for result in summary.features:
        told = [one.text for one in why_told(Visit(ADULT, session, summary), result)]
        ends = [text for text in told if text.startswith("So: ")]
        has_value = result.status is FeatureStatus.RECOMMENDED
        assert ends == ([f"So: {result.words}."] if has_value else [])


def test_what_stands_between_is_told_with_the_findings_that_would_do(capsys):
    text = printed(capsys, HEEL, "medial-heel-skive", "--side", "right", "--not", "4")
    assert "Medial heel skive, right: why not 4 mm? Recommended is 2 mm." in text
    assert "It would be 4 mm if this rule did not apply: · at most 2 mm." in text
    assert "Heel tenderness, right: Inner front edge of the heel bone" in text
    assert "(medial tubercle) → None." in text


def test_an_option_is_asked_about_by_its_id_or_its_label(capsys):
    by_id = printed(capsys, HEEL, "device", "--not", "ready-made")
    assert "Kind of device: why not ready-made, contoured?" in by_id
    assert printed(capsys, HEEL, "device", "--not", "Ready-made, contoured") == by_id


def test_a_value_beyond_every_rule_is_the_clinicians_to_order(capsys):
    text = printed(capsys, HEEL, "fascial-groove", "--side", "left", "--not", "2")
    assert "only the clinician can order it" in text
    assert "Possible: 0 to 4 mm, in steps of 1." in text


def test_the_other_foot_is_named_where_the_pair_must_match(capsys):
    text = printed(capsys, HEEL, "heel-cup", "--side", "left", "--not", "14")
    assert "By its own rules it would be 14 mm; then: matched to the right foot (16 mm)." in text


def test_a_raised_caution_is_told_first(capsys):
    text = printed(capsys, SESSIONS / "insensate-feet.toml", "device")
    first = summarise(ADULT, read_session(SESSIONS / "insensate-feet.toml")).cautions[0]
    assert text.startswith(f"! {first.title}")


def test_the_last_words_leave_it_to_the_clinician(capsys):
    for asked in (("heel-lift",), ("heel-lift", "--not", "2")):
        assert printed(capsys, HEEL, *asked).endswith(ADULT.identity.disclaimer)


def test_an_unknown_feature_is_refused_with_the_nearest_one(capsys):
    assert "Did you mean “heel-lift”?" in refusal(capsys, HEEL, "heel-lft")


@pytest.mark.parametrize("value", ["1.5", "11", "-1", "much", ""])
def test_an_amount_it_cannot_have_is_refused_with_what_it_can(capsys, value):
    says = refusal(capsys, HEEL, "heel-lift", f"--not={value}")
    assert "0 to 10 mm, in steps of 1" in says


def test_an_unknown_option_is_refused_with_the_known_ones(capsys):
    says = refusal(capsys, HEEL, "device", "--not", "redy-made")
    assert "custom-functional" in says
    assert "Did you mean “ready-made”?" in says


def test_a_side_of_what_the_pair_shares_is_refused(capsys):
    assert "leave --side out" in refusal(capsys, HEEL, "device", "--side", "left")


def test_a_visit_that_is_not_there_is_the_inputs_fault(capsys, tmp_path):
    assert main(["why", str(tmp_path / "no.toml"), "device"]) == 1
    assert capsys.readouterr().out == ""


def test_it_is_said_in_the_users_language(capsys):
    text = printed(capsys, HEEL, "medial-heel-skive", "--side", "right", "--language", "de")
    assert "Also: 2 mm." in text
    assert "Worked out" not in text
