"""Numbers against reference values: worked by hand, and against tables of the normal curve."""

import pytest
from attrs import evolve

from adult_cases import ADULT, NORMAL
from adult_cases import case_of as adult_case
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.norm_model import Norm
from examwalk.reasoning.auditing import audit
from examwalk.reasoning.norms import NoReference, place, references_of
from examwalk.reasoning.remarks import Weight
from examwalk.report.norm_words import percentile_words, reference_told, z_words
from examwalk.session.model import Side
from made_protocols import FRAME, asked, case_of, made, measured

LUNGE = Norm("50 adults", "trial", mean=10.3, sd=3.0)


def with_norms(*norms: Norm, **options):
    """Return a protocol with norms on ``reach``; age and sex are asked."""
    others = tuple(test for test in FRAME.tests if test.id != "reach")
    sexes = dict.fromkeys(("female", "male", "unsaid"), FRAME.tests_by_id["a"].options["no"])
    tests = (
        *others,
        measured("age", (0, 120), sides=FRAME.tests_by_id["person"].sides),
        asked("sex", sides=FRAME.tests_by_id["person"].sides, options=sexes),
        measured("reach", (0, 100), norms=norms),
    )
    return made(tests=tests, identity=evolve(FRAME.identity, age="age", sex="sex"), **options)


def left(protocol, findings):
    return next(one for one in references_of(case_of(protocol, findings)) if one.side is Side.LEFT)


class TestScores:
    @pytest.mark.parametrize(
        ("value", "z", "percentile"),
        [
            (6.5, -1.266667, 10.26),  # (6.5 - 10.3) / 3
            (10.0, -0.10, 46.02),
            (10.3, 0, 50),
        ],
    )
    def test_a_lunge_worked_by_hand(self, value, z, percentile):
        placed = place(value, LUNGE)
        assert placed.z == pytest.approx(z, abs=1e-6)
        assert placed.percentile == pytest.approx(percentile, abs=0.005)

    def test_a_posture_index_of_a_child_worked_by_hand(self):
        placed = place(7, Norm("1762 children", "trial", mean=3.74, sd=2.93))
        assert placed.z == pytest.approx(1.112628, abs=1e-6)
        assert placed.percentile == pytest.approx(86.71, abs=0.005)

    @pytest.mark.parametrize(
        ("z", "share"),
        # From the usual printed tables of the standard normal distribution.
        [(0, 0.5), (1, 0.8413), (-1, 0.1587), (1.645, 0.9500), (1.96, 0.9750), (2.576, 0.9950)],
    )
    def test_the_percentile_is_that_of_the_printed_tables(self, z, share):
        placed = place(z, Norm("x", "trial", mean=0, sd=1))
        assert placed.percentile == pytest.approx(100 * share, abs=0.006)

    def test_scores_are_those_of_scipy(self):
        stats = pytest.importorskip("scipy.stats", reason="the oracles extra is not installed")
        for value in range(-20, 41):
            placed = place(value, LUNGE)
            assert placed.percentile == pytest.approx(100 * stats.norm.cdf(value, 10.3, 3.0))

    @pytest.mark.parametrize("sd", [None, 0, -1])
    def test_without_a_spread_above_0_there_is_no_score(self, sd):
        placed = place(5, Norm("x", "trial", mean=4, sd=sd, low=0, high=4))
        assert (placed.z, placed.percentile) == (None, None)
        assert placed.lacks_spread
        assert placed.is_within is False

    @pytest.mark.parametrize(
        ("low", "high", "value", "is_within"),
        [
            (0, 5, 0, True),
            (0, 5, 5, True),
            (0, 5, 5.1, False),
            (None, 5, -9, True),
            (3, None, 2, False),
        ],
    )
    def test_limits_belong_to_what_is_normal(self, low, high, value, is_within):
        assert place(value, Norm("x", "trial", low=low, high=high)).is_within is is_within

    @pytest.mark.parametrize(
        ("percentile", "words"), [(0.2, "<1"), (1, "1"), (46.02, "46"), (99, "99"), (99.2, ">99")]
    )
    def test_a_percentile_is_not_told_beyond_where_the_curve_is_trusted(self, percentile, words):
        assert percentile_words(percentile) == words

    @pytest.mark.parametrize(("z", "words"), [(-1.267, "−1.27"), (0.1, "+0.10"), (0.001, "0.00")])
    def test_a_score_is_written_with_its_sign(self, z, words):
        assert z_words(z) == words


class TestForWhom:
    BY_AGE = (
        Norm("men of 20 to 29", "trial", age_from=20, age_to=29, sex="male", middle=37),
        Norm("women of 20 to 29", "trial", age_from=20, age_to=29, sex="female", middle=30),
    )

    def populations(self, findings):
        return [one.norm.population for one in left(with_norms(*self.BY_AGE), findings).placed]

    @pytest.mark.parametrize(("age", "found"), [(20, 1), (29, 1), (29.5, 1), (30, 0), (19, 0)])
    def test_a_reference_holds_for_its_ages_and_is_never_carried_on(self, age, found):
        findings = {"reach": 25, "age": age, "sex": "male"}
        assert len(self.populations(findings)) == found
        if not found:
            none = left(with_norms(*self.BY_AGE), findings).none_because
            assert none is NoReference.AGE

    def test_a_reference_holds_for_its_sex(self):
        assert self.populations({"reach": 25, "age": 25, "sex": "male"}) == ["men of 20 to 29"]

    def test_who_would_rather_not_say_is_set_against_both_tables(self):
        assert len(self.populations({"reach": 25, "age": 25, "sex": "unsaid"})) == 2

    @pytest.mark.parametrize(
        ("findings", "none"),
        [
            ({"reach": 25, "sex": "male"}, NoReference.AGE_UNKNOWN),
            ({"reach": 25, "age": 25}, NoReference.SEX_UNKNOWN),
        ],
    )
    def test_what_is_not_answered_is_never_guessed(self, findings, none):
        one = left(with_norms(*self.BY_AGE), findings)
        assert (one.placed, one.none_because) == ((), none)

    def test_a_reference_for_the_other_sex_alone_is_not_taken(self):
        one = left(with_norms(self.BY_AGE[1]), {"reach": 25, "age": 25, "sex": "male"})
        assert one.none_because is NoReference.SEX

    def test_what_is_not_measured_is_set_against_nothing(self):
        assert references_of(case_of(with_norms(LUNGE), {})) == ()

    def test_a_derived_value_is_set_against_its_references_once_it_is_settled(self):
        whole = Derived(
            "both", "Both", "sum", ("trial",), inputs=("reach", "reach"), norms=(LUNGE,)
        )
        protocol = with_norms(derived=(whole,))
        assert references_of(case_of(protocol, {})) == ()
        (one,) = references_of(case_of(protocol, {"reach left": 5}))
        assert (one.id, one.value) == ("both", 10)


class TestDisagreement:
    @pytest.mark.parametrize(("value", "disagree"), [(9, False), (17, True), (25, False)])
    def test_limits_that_judge_a_number_differently_disagree(self, value, disagree):
        norms = (Norm("x", "trial", low=-3, high=20), Norm("y", "memory", low=5, high=13))
        one = left(with_norms(*norms), {"reach": value})
        assert one.disagree is disagree
        assert len(one.placed) == 2

    @pytest.mark.parametrize(("middle", "disagree"), [(4, True), (13.1, False)])
    def test_populations_whose_centres_lie_far_apart_disagree(self, middle, disagree):
        # (4 - 22.7) / 5.9 = -3.2; (13.1 - 22.7) / 5.9 = -1.6
        norms = (Norm("x", "trial", mean=22.7, sd=5.9), Norm("y", "trial", middle=middle))
        assert left(with_norms(*norms), {"reach": 10}).disagree is disagree


class TestInWords:
    def told(self, protocol, findings):
        return " ".join(one.text for one in reference_told(protocol, [left(protocol, findings)]))

    def test_the_population_and_the_source_are_named(self):
        text = self.told(with_norms(LUNGE), {"reach": 10})
        assert text == "50 adults: mean 10.3, SD 3: left z −0.10, percentile 46. published: A trial"

    def test_a_spread_that_is_missing_is_said_and_the_limits_still_count(self):
        norm = Norm("few", "trial", mean=4, low=0, high=5)
        text = self.told(with_norms(norm), {"reach": 3})
        assert "no score, since the protocol gives no spread above 0" in text
        assert "left within" in text

    def test_no_reference_for_an_age_is_said(self):
        norm = Norm("x", "trial", age_from=20, age_to=60, middle=3)
        text = self.told(with_norms(norm), {"reach": 3, "age": 75})
        assert text == "There is no reference for this age."


class TestAudit:
    @pytest.mark.parametrize("sd", [None, 0])
    def test_a_mean_that_gives_no_score_is_told_to_its_author(self, sd):
        remarks = audit(with_norms(Norm("x", "trial", mean=4, sd=sd)))
        (remark,) = [one for one in remarks if "norms" in one.path]
        assert remark.weight is Weight.USELESS
        assert "sd" in remark.says

    def test_a_whole_reference_is_no_matter(self):
        assert not [one for one in audit(with_norms(LUNGE)) if "norms" in one.path]


class TestAdult:
    def test_an_adult_of_40_is_set_against_the_lunge_of_two_samples(self):
        references = references_of(adult_case({**NORMAL, "lunge-distance": 6.5}))
        lunge = next(one for one in references if one.id == "lunge-distance")
        first, second = lunge.placed
        assert first.z == pytest.approx((6.5 - 10.3) / 3.0)
        assert second.z == pytest.approx((6.5 - 12) / 2.8)

    @pytest.mark.parametrize(
        ("age", "sex", "middle"),
        # The published table: men 37 at 20-29 to 10 at 80-89, women 30 to 13.
        [(20, "male", 37), (49, "female", 24), (65, "male", 19), (89, "female", 13)],
    )
    def test_heel_raises_are_read_by_decade_and_sex(self, age, sex, middle):
        references = references_of(adult_case({**NORMAL, "age": age, "sex": sex}))
        raises = next(one for one in references if one.id == "single-heel-raise")
        assert [one.norm.middle for one in raises.placed] == [middle]

    def test_at_90_there_is_no_reference_for_heel_raises(self):
        references = references_of(adult_case({**NORMAL, "age": 90}))
        raises = next(one for one in references if one.id == "single-heel-raise")
        assert raises.none_because is NoReference.AGE

    def test_every_reference_names_a_published_source(self):
        for item in (*ADULT.tests, *ADULT.derived):
            for norm in item.norms:
                assert ADULT.sources[norm.source].mark.value == "published"
