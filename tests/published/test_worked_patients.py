"""Three invented patients, worked by hand line by line under the dosing convention.

The dosing table, its caps and its order are a convention of the adult protocol, made so that the
reasoning can be checked; what in it is published is said beside each check. The findings are
those of the worked example visits, so the visits are tested with the rules.
"""

from pathlib import Path
from typing import Any

import pytest

from adult_cases import ADULT
from examwalk.reasoning.results import FeatureResult, FeatureStatus, Summary
from examwalk.reasoning.summary import summarise
from examwalk.report.words import review_date
from examwalk.session.model import Place, Session, Side
from examwalk.session.storing import read_session

SESSIONS = Path(__file__).parents[2] / "sessions"
VISITS = {
    "A": read_session(SESSIONS / "heel-pain-right.toml"),
    "B": read_session(SESSIONS / "collapsing-foot-left.toml"),
    "C": read_session(SESSIONS / "insensate-feet.toml"),
}
SUMMARIES = {name: summarise(ADULT, visit) for name, visit in VISITS.items()}
LEFT, RIGHT, WHOLE = Side.LEFT, Side.RIGHT, Side.WHOLE

FEET = [("A", RIGHT), ("A", LEFT), ("B", LEFT), ("B", RIGHT), ("C", RIGHT), ("C", LEFT)]
NONE = "not applicable"

# What was found, as the patients are described. Hands' grades: resistance and windlass on five
# grades, fascia 3 of 3 is prominent, contour 3 or 4 of 4 is bulky.
FOUND = {
    "supination-resistance": ["high", "moderate", "high", "high", "low", "low"],
    "jack-effort": ["hard", "moderate", "hard", "moderate", "hard", "moderate"],
    "first-mtp-dorsiflexion": [60, 65, 45, 60, 20, 45],
    "lunge-distance": [7, 9, 9, 10, 6, 7],
    "single-heel-raise": [18, 20, 0, 14, None, None],
    "monofilament": [10, 10, 10, 10, 5, 6],
    "heel-tenderness": ["medial-tubercle", "none", "none", "none", "none", "none"],
}
DERIVED = {
    "fpi-total": [7, 6, 11, 6, -2, -1],
    "arch-drop": [1, 1, 2, 1, 0, 0],
    "demand-score": [5, 3, 7, 4, 0, 0],
    # 4-5 is row 2; 2-3 stepped down since painless; 6-7; 4-5 stepped down; low resistance twice
    "dose-row": [2, 0, 3, 1, 0, 0],
}
BODY = {"A": (46, 78, 164, 29.0), "B": (58, 96, 178, 30.3), "C": (67, 62, 158, 24.8)}

# One column a foot, in the order of FEET.
EXPECTED = {
    "medial-heel-skive": [2, 0, 2, 2, 0, 0],
    "lateral-heel-skive": [0, 0, 0, 0, 0, 0],
    "rearfoot-post": [4, 0, 2, 2, 0, 0],
    "inversion": [0, 0, 0, 0, 0, 0],
    "arch-fill": ["standard", "standard", "standard", "standard", NONE, NONE],
    "heel-cup": [16, 16, 20, 20, 14, 14],
    "shell-material": ["polypropylene"] * 4 + ["eva"] * 2,
    "shell-thickness": [4.5, 4.5, 5.0, 4.5, NONE, NONE],
    "fascial-groove": [3, 0, 0, 0, NONE, NONE],
    "first-ray": ["reverse-mortons", "none", "mortons", "none", "none", "none"],
    "first-ray-thickness": [3, NONE, 3, NONE, NONE, NONE],
    "first-ray-material": ["eva", NONE, "firm-eva", NONE, NONE, NONE],  # common practice
    "heel-lift": [4, 4, 0, 0, 0, 0],
    "outsole-lift": [0, 0, 0, 0, 0, 5],
    "device": ["custom-functional"] * 4 + ["custom-accommodative"] * 2,
    "medial-flange": [0, 0, 20, 0, 0, 0],
    "heel-stack": [13.5, 13.5, 10, 9.5, NONE, NONE],
}
CUT = {
    "medial-heel-skive": [2, 0, 4, 0, 0, 0],  # 4 to 2; 6 to 2
    "rearfoot-post": [0, 0, 2, 0, 0, 0],  # 4 to 2
}


def visit(name: str) -> Session:
    return VISITS[name]


def result(name: str, feature: str, side: Side = WHOLE) -> FeatureResult:
    return SUMMARIES[name].feature(feature, side)


def advised(summary: Summary) -> set[tuple[str, Side]]:
    return {(advice.id, advice.side) for advice in summary.advice}


def by_foot(table: dict[str, list[Any]]) -> list[tuple[str, str, Side, Any]]:
    return [
        (row, name, side, expected)
        for row, columns in table.items()
        for (name, side), expected in zip(FEET, columns, strict=True)
    ]


class TestFindings:
    @pytest.mark.parametrize(("test", "name", "side", "found"), by_foot(FOUND))
    def test_the_visit_holds_what_was_found(self, test, name, side, found):
        if found is not None:
            assert visit(name).answers[Place(test, side)] == found

    @pytest.mark.parametrize(("derived", "name", "side", "value"), by_foot(DERIVED))
    def test_the_numbers_made_from_it(self, derived, name, side, value):
        assert SUMMARIES[name].derived_value(derived, side).value == value

    @pytest.mark.parametrize("name", BODY)
    def test_age_mass_height_and_index(self, name):
        age, mass, height, index = BODY[name]
        answers = visit(name).answers
        tests = ("age", "body-mass", "height")
        assert [answers[Place(test, WHOLE)] for test in tests] == [age, mass, height]
        value = SUMMARIES[name].derived_value("body-mass-index", WHOLE).value
        assert value is not None
        assert round(value, 1) == index

    @pytest.mark.parametrize("name", VISITS)
    def test_nothing_that_is_asked_is_left_unanswered(self, name):
        assert SUMMARIES[name].missing == ()
        assert SUMMARIES[name].open_cautions == ()


class TestFeatures:
    @pytest.mark.parametrize(("feature", "name", "side", "expected"), by_foot(EXPECTED))
    def test_each_foot_gets_what_was_worked_by_hand(self, feature, name, side, expected):
        found = result(name, feature, side)
        if expected == NONE:
            assert found.status is FeatureStatus.NOT_APPLICABLE
        else:
            assert (found.status, found.value) == (FeatureStatus.RECOMMENDED, expected)

    @pytest.mark.parametrize(("feature", "name", "side", "expected"), by_foot(CUT))
    def test_caps_took_off_what_they_should(self, feature, name, side, expected):
        assert result(name, feature, side).cut == expected


class TestPatientA:
    """Heel pain, right: 46 years, 78 kg, lace-up trainer and court shoe."""

    def test_the_skive_is_capped_where_the_heel_is_tender_and_the_post_keeps_the_correction(self):
        # Published: 4 mm raised medial heel pressure by 15 %, 6 mm by 29 % (Bonanno 2012).
        skive = result("A", "medial-heel-skive", RIGHT)
        changes = [(step.before, step.after) for step in skive.trace if step.changed]
        assert changes == [("none", "4 mm"), ("4 mm", "2 mm")]
        assert Place("heel-tenderness", RIGHT) in skive.findings
        assert ("correction-moved", RIGHT) in advised(SUMMARIES["A"])

    def test_the_left_cup_is_deepened_to_match_the_right(self):
        assert result("A", "heel-cup", LEFT).trace[-1].after == "16 mm"
        assert "matched to the right foot" in result("A", "heel-cup", LEFT).trace[-1].did

    def test_both_heels_are_lifted_for_the_short_lunge_on_the_right(self):
        assert result("A", "ankle-lift").value == 4
        assert Place("lunge-distance", RIGHT) in result("A", "ankle-lift").findings

    def test_the_reasons_rest_on_the_findings_that_gave_them(self):
        post = result("A", "rearfoot-post", RIGHT)
        assert Place("supination-resistance", RIGHT) in post.findings
        assert ("fpi-total", RIGHT) in post.through
        assert Place("jack-effort", RIGHT) in result("A", "first-ray", RIGHT).findings
        groove = result("A", "fascial-groove", RIGHT)
        assert Place("fascia-prominence", RIGHT) in groove.findings

    def test_shell_post_lift_and_cover_fit_the_trainer_but_not_the_court_shoe(self):
        # 4.5 + 2 + 4 + 3 = 13.5 mm; room 20 in a high-volume shoe, 7 in a low one.
        fired = {(check.id, check.side) for check in SUMMARIES["A"].crosschecks}
        assert fired == {
            ("lunge-sides-differ", WHOLE),
            ("too-high-for-the-second-shoe", WHOLE),
        }

    def test_the_lunge_differs_by_two_centimetres_where_error_is_one_and_a_half(self):
        # Published: Chisholm 2012. No ankle history explains it: worth a second look.
        difference = SUMMARIES["A"].derived_value("lunge-side-difference", WHOLE)
        assert (difference.value, difference.band) == (2.0, "beyond measurement error")

    def test_the_cover_goes_to_the_toes_on_both_feet_and_the_toes_stand_higher_on_the_right(self):
        assert result("A", "cover-length").value == "toes"
        assert (result("A", "cover-material").value, result("A", "cover-thickness").value) == (
            "eva",
            3,
        )
        assert result("A", "forefoot-stack", LEFT).value == 3
        assert result("A", "forefoot-stack", RIGHT).value == 3 + 3

    def test_it_is_worn_in_as_usual_and_reviewed_after_four_weeks(self):
        assert result("A", "wear-in").value == "standard"
        assert result("A", "review-weeks").value == 4
        assert str(review_date(visit("A"), SUMMARIES["A"])) == "2026-10-12"  # 14 September + 28 d

    def test_a_ready_made_device_first_is_offered_as_equal(self):
        # Published: no difference at any time point (Whittaker 2018, Rasenberg 2018).
        assert ("ready-made-alternative", WHOLE) in advised(SUMMARIES["A"])

    def test_help_with_load_is_offered_and_the_outcome_is_named(self):
        # Published: BMI above 27, odds ratio 3.7 (van Leeuwen 2016); change that matters, first
        # step 19 mm of 100, FHSQ pain 13 points (Landorf 2010).
        says = {advice.id: advice.says for advice in SUMMARIES["A"].advice}
        assert "3.7" in says["weight"]
        assert "19 mm" in says["heel-pain-outcome"]
        assert "13 points" in says["heel-pain-outcome"]
        assert {"heel-pain-programme", "calf-stretch"} <= set(says)

    def test_nothing_is_to_be_referred(self):
        assert SUMMARIES["A"].cautions == ()


class TestPatientB:
    """A collapsing left foot: 58 years, 96 kg, diabetes, medial knee arthritis on the left."""

    def test_it_is_referred_urgently_and_supported_meanwhile(self):
        (caution,) = SUMMARIES["B"].cautions
        assert (caution.id, caution.side) == ("collapsing-foot", LEFT)
        assert (caution.urgency, caution.device.value) == ("urgent", "allow")
        assert ("brace-to-consider", LEFT) in advised(SUMMARIES["B"])

    def test_two_checks_ask_why_one_foot_is_so_much_flatter(self):
        # 11 against 6 is 5, with no injury; and at least three signs are on the left alone.
        fired = {
            (check.id, check.side, check.severity.value) for check in SUMMARIES["B"].crosschecks
        }
        assert fired == {
            ("posture-sides-differ", WHOLE, "unlikely"),
            ("one-sided-signs-unexplained", LEFT, "unlikely"),
        }

    def test_bulky_tissue_and_the_knee_take_off_most_of_what_the_score_asks(self):
        skive = result("B", "medial-heel-skive", LEFT)
        assert (skive.trace[0].after, skive.words) == ("6 mm", "2 mm")
        assert Place("heel-to-arch-contour", LEFT) in skive.findings
        post = result("B", "rearfoot-post", LEFT)
        assert (post.trace[0].after, post.words) == ("4° varus (medial)", "2° varus (medial)")
        # Published: medial posting raises the knee adduction moment (Telfer 2013).
        assert Place("knee-history", LEFT) in post.findings
        assert ("correction-moved", LEFT) in advised(SUMMARIES["B"])

    def test_minimal_fill_is_wanted_and_ruled_out_by_the_bulk(self):
        did = [step.did for step in result("B", "arch-fill", LEFT).trace]
        assert any("rules out minimal" in one for one in did)
        assert any("prefers minimal" in one for one in did)

    def test_the_left_is_captured_under_load_and_has_a_flange(self):
        assert result("B", "capture-position", LEFT).value == "semi-weight-bearing"
        assert result("B", "capture-position", RIGHT).value == "non-weight-bearing"
        assert Place("single-heel-raise", LEFT) in result("B", "medial-flange", LEFT).findings

    def test_the_cups_match_and_the_shells_differ_by_half_a_millimetre(self):
        assert "matched to the left foot" in result("B", "heel-cup", RIGHT).trace[-1].did
        assert result("B", "shell-thickness", LEFT).value == 4.5 + 0.5  # demand 6 or more

    def test_no_lift_since_nine_and_ten_centimetres_pass(self):
        assert result("B", "ankle-lift").value == 0

    def test_it_is_worn_in_with_care_and_seen_after_two_weeks(self):
        assert result("B", "wear-in").value == "cautious"
        assert result("B", "review-weeks").value == 2

    def test_diabetes_without_loss_is_category_0_with_a_yearly_check(self):
        # Published: Schaper 2020.
        assert SUMMARIES["B"].derived_value("foot-risk", WHOLE).value == 0
        assert {("recall-0", WHOLE), ("skin-daily", WHOLE)} <= advised(SUMMARIES["B"])

    def test_the_outcome_is_named(self):
        # Published: FAAM daily living, 8 points (Martin 2005).
        says = {advice.id: advice.says for advice in SUMMARIES["B"].advice}
        assert "8 points" in says["ankle-outcome"]


class TestPatientC:
    """Insensate feet: 67 years, 62 kg, callus about to break right, left limb 10 mm short."""

    def test_the_risk_is_moderate_and_checked_every_three_to_six_months(self):
        # Published: loss of sensation with limited joint motion is category 2 (Schaper 2020).
        assert SUMMARIES["C"].derived_value("foot-risk", WHOLE).value == 2
        assert ("recall-2", WHOLE) in advised(SUMMARIES["C"])

    def test_lost_sensation_and_the_callus_are_told_first(self):
        raised = {(caution.id, caution.side) for caution in SUMMARIES["C"].cautions}
        assert raised == {
            ("pre-ulcer", RIGHT),
            ("sensation-reduced", LEFT),
            ("sensation-reduced", RIGHT),
        }
        assert SUMMARIES["C"].cautions[0].id == "pre-ulcer"
        assert ("treat-pre-ulcer", WHOLE) in advised(SUMMARIES["C"])

    def test_low_resistance_in_a_supinated_foot_fits_together(self):
        assert SUMMARIES["C"].crosschecks == ()

    def test_the_body_is_soft_and_covered_full_length_in_two_densities(self):
        for side in (LEFT, RIGHT):
            assert result("C", "capture-position", side).value == "semi-weight-bearing"
        assert result("C", "cover-material").value == "two-density"
        assert result("C", "cover-length").value == "toes"
        assert result("C", "cover-thickness").value == 6

    def test_no_dome_but_advice_on_one_with_pressure_measured_on_the_right_alone(self):
        # Published: 30 % less, or under 200 kPa (van Netten 2018).
        assert result("C", "metatarsal-dome", RIGHT).value == 0
        domes = [one for one in SUMMARIES["C"].advice if one.id == "dome-with-pressure-check"]
        assert [one.side for one in domes] == [RIGHT]
        assert "200 kPa" in domes[0].says

    def test_half_of_ten_millimetres_goes_on_the_left_outsole_and_none_in_the_shoe(self):
        # 0.5 × 10 = 5 mm with back pain; two readings agree.
        assert SUMMARIES["C"].derived_value("limb-length-difference", WHOLE).value == 10
        assert SUMMARIES["C"].derived_value("limb-lift", LEFT).value == 5
        assert result("C", "heel-lift", LEFT).cut == 5

    def test_the_short_lunges_get_stretching_instead_of_a_lift(self):
        # 6 and 7 cm would ask for 4 mm; the forefoot at risk forbids it.
        assert (result("C", "ankle-lift").value, result("C", "ankle-lift").cut) == (0, 4)
        assert ("calf-stretch", WHOLE) in advised(SUMMARIES["C"])

    def test_shoes_with_a_rocker_and_extra_depth(self):
        wanted = {("rocker-shoe", LEFT), ("rocker-shoe", RIGHT), ("extra-depth", WHOLE)}
        assert wanted <= advised(SUMMARIES["C"])

    def test_the_skin_is_watched_and_the_first_review_is_within_two_weeks(self):
        assert result("C", "wear-in").value == "neuropathic"
        assert result("C", "review-weeks").value == 2
        assert ("skin-daily", WHOLE) in advised(SUMMARIES["C"])


class TestWrongAnswersToCatch:
    def test_the_thin_shell_of_the_trial_is_not_given_to_an_insensate_foot(self):
        """The trial's rule says 3.0 mm for 62 kg and an index below 0 (McCormick 2013)."""
        for side in (LEFT, RIGHT):
            assert SUMMARIES["C"].derived_value("shell-by-mass", side).value == 3.0
            assert result("C", "shell-thickness", side).value is None

    def test_a_hard_windlass_does_not_bring_an_extension_under_an_insensate_forefoot(self):
        assert visit("C").answers[Place("jack-effort", RIGHT)] == "hard"
        assert result("C", "first-ray", RIGHT).value == "none"

    def test_one_foot_is_never_skived_both_ways_nor_inverted_as_well(self):
        for name, side in FEET:
            assert result(name, "lateral-heel-skive", side).value == 0
            assert result(name, "inversion", side).value == 0

    @pytest.mark.parametrize("name", VISITS)
    def test_no_rules_are_left_to_collide(self, name):
        assert SUMMARIES[name].collisions == ()
