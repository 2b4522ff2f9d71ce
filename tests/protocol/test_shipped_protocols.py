"""The protocols shipped beside the adult one, on invented patients.

Expected values are published where that is said (foot posture of 3217 children, Gijon-Nogueron
2019; foot progression of 400 children, J Pediatr Orthop 1996; the risk table of Schaper 2020; the
Cochrane review of children's flat feet, Evans 2022); the rest is common practice or a convention of
the protocols, as they cite it themselves.
"""

import random

import pytest
from hypothesis import given, settings

from adult_cases import ADULT, NORMAL, Findings, any_findings, fpi, normal_but, walked
from examwalk.protocol.changes import changes_between
from examwalk.protocol.exam_model import Kind
from examwalk.protocol.feature_model import RuleClass
from examwalk.protocol.library import find_protocol, shipped_protocols
from examwalk.protocol.model import Protocol
from examwalk.protocol.reading import LoadedProtocol
from examwalk.protocol.shipped import read_shipped
from examwalk.protocol.wording import choices_of
from examwalk.reasoning.case import Case
from examwalk.reasoning.places import places_of
from examwalk.reasoning.results import FeatureStatus, Summary
from examwalk.reasoning.summary import summarise_case
from examwalk.session.model import Side

LEFT, RIGHT, WHOLE = Side.LEFT, Side.RIGHT, Side.WHOLE
NAMES = ("short", "child", "diabetic", "runner", "review")
ADULT_LOADED = read_shipped(find_protocol("adult"))
LOADED: dict[str, LoadedProtocol] = {name: read_shipped(find_protocol(name)) for name in NAMES}
PROTOCOLS: dict[str, Protocol] = {name: loaded.protocol for name, loaded in LOADED.items()}

# What is answered beside the adult questions when nothing is amiss.
CHILD: Findings = {
    **normal_but({"consent": "by-other", "age": 6, "body-mass": 21.0, "height": 117.0}),
    "child-alarm-signs": ("none",),
    "development": ("none",),
    "flat-foot-course": "as-ever",
    "lunge-distance": 6.0,
}
DIABETIC: Findings = {
    **normal_but({"diabetes": "type-2", "diabetes-years": 9, "age": 60}),
    "foot-self-care": ("none",),
    "indoor-footwear": "fitted",
    "shoe-fit": ("fits",),
    "tuning-fork": "felt",
}
RUNNER: Findings = {
    **normal_but({"activity": "running"}),
    "running-distance": 30,
    "running-distance-before": 30,
    "training-change": ("none",),
    "bone-stress-history": ("none",),
    "groin-pain": "no",
    "bone-tenderness": ("none",),
    "hop": "free",
    "squat-score": 0,
    "running-shoe-distance": 300,
    "running-shoe-kind": "ordinary",
}
REVIEW: Findings = {
    **normal_but({"complaint-side": "right", "complaint-region right": ("plantar-heel",)}),
    "side-effects": ("none",),
    "wear-weeks": 13,
    "wear-days": 6,
    "wear-hours-out": 6.0,
    "wear-hours-in": 2.0,
    "wear-hindrances": ("none",),
    "redesigned-before": "no",
    "changed-since": ("none",),
    "pain-worst": 3,
    "pain-at-start": 7,
    "pain-first-step": 3,
}
WELL: dict[str, Findings] = {
    "short": NORMAL,
    "child": CHILD,
    "diabetic": DIABETIC,
    "runner": RUNNER,
    "review": REVIEW,
}


def case_of(name: str, findings: Findings) -> Case:
    """Put findings under a protocol; what it does not ask is left out."""
    protocol = PROTOCOLS[name]
    answers = {}
    for key, answer in sorted(findings.items(), key=lambda item: " " in item[0]):
        test_id, _, side = key.partition(" ")
        if test_id in protocol.tests_by_id:
            places = places_of(protocol.tests_by_id[test_id])
            answers |= {place: answer for place in places if side in ("", place.side.value)}
    return Case(protocol, answers)


def summary_of(name: str, *changes: Findings) -> Summary:
    """Return what follows for the well patient of a protocol with some findings changed."""
    findings = dict(WELL[name])
    for change in changes:
        for key in change:
            if " " not in key:
                findings = {old: one for old, one in findings.items() if old.split()[0] != key}
        findings |= change
    return summarise_case(case_of(name, findings), {})


def raised(summary: Summary) -> dict[str, tuple[str, str]]:
    return {one.id: (one.urgency, one.device.value) for one in summary.cautions}


def device(summary: Summary) -> object:
    return summary.feature("device", WHOLE).value


def advised(summary: Summary) -> set[str]:
    return {one.id for one in summary.advice}


FLAT: Findings = {**fpi(7), "arch-height-unloaded": "medium", "arch-height-loaded": "low"}
SORE: Findings = {"complaint-side": "both", "complaint-region": ("arch",), "pain-worst": 5}
RIGID: Findings = {
    **fpi(8),
    "arch-height-unloaded": "low",
    "arch-height-loaded": "low",
    "subtalar-range": "stiff",
    "jack-arch-rise": "none",
    "double-heel-raise": "stays-clearly-everted",
}
MUCH_ASKED: Findings = {
    **fpi(10),
    **SORE,
    "arch-height-unloaded": "high",
    "arch-height-loaded": "low",
    "supination-resistance": "high",
}


class TestAll:
    def test_each_shipped_protocol_reads_and_bears_the_name_of_its_file(self):
        found = {path.stem: read_shipped(path).protocol for path in shipped_protocols()}
        assert set(found) >= {"adult", *NAMES}
        for name, protocol in found.items():
            assert protocol.identity.id == name
            assert protocol.identity.minutes
            assert len(protocol.identity.about.split()) > 15
            assert "never replaces" in protocol.identity.disclaimer

    @pytest.mark.parametrize("name", NAMES)
    def test_each_new_test_says_why_how_what_goes_wrong_and_how_it_is_read(self, name):
        new = [test for test in PROTOCOLS[name].tests if test.id not in ADULT.tests_by_id]
        for test in new:
            assert len(test.why.split()) >= 5, test.id
            assert len(test.how) >= 2, test.id
            assert test.mistakes, test.id
            assert len(test.reading.split()) >= 5, test.id
            if test.kind in (Kind.GRADE, Kind.CHOICE) and test.option_set is None:
                choices = choices_of(PROTOCOLS[name], test)
                assert all(choice.looks for choice in choices), test.id
                assert len({choice.looks for choice in choices}) == len(choices), test.id

    @pytest.mark.parametrize("name", NAMES)
    def test_each_new_source_is_cited(self, name):
        protocol = PROTOCOLS[name]
        kinds = ("tests", "derived", "crosschecks", "cautions", "features", "rules", "advice")
        cited = {one for kind in kinds for item in getattr(protocol, kind) for one in item.basis}
        cited |= {one.source for test in protocol.tests for one in test.reliability}
        cited |= {t.important_change.source for t in protocol.tests if t.important_change}
        assert set(protocol.sources) - set(ADULT.sources) <= cited

    @pytest.mark.parametrize("name", NAMES)
    def test_a_well_patient_gets_no_caution_and_nothing_is_left_to_ask(self, name):
        summary = summary_of(name)
        assert raised(summary) == {}
        assert summary.open_cautions == ()
        assert summary.missing == ()
        assert summary.crosschecks == ()
        assert summary.collisions == ()


# What of the adult protocol's cautions, safety questions and protecting rules is otherwise, and
# why it may be. A rule that acts only on what a protocol does not advise needs no other reason.
EXCUSED: dict[str, dict[tuple[str, str], str]] = {
    "short": {
        ("rule", "no-push-without-protection"): "keeps its effect on all that is advised here",
        ("rule", "wear-in-cautious"): "as before, but for joint laxity, which is not examined",
    },
    "child": {
        ("position", "standing"): "nor after a limp with fever, or a leg that is not stood on",
        ("position", "walking"): "nor after a limp with fever, or a leg that is not stood on",
        ("position", "effort"): "nor after a limp with fever, or a leg that is not stood on",
        ("caution", "not-an-adult"): "gives way to not-a-child, which stops outside 3 to 16",
        ("caution", "collapsing-foot"): "stops the device instead of allowing it",
        ("caution", "rigid-flat-foot"): "raised by more findings, and stops the device",
        ("derived", "fpi-total"): "only the words of the bands differ, as children's norms do",
        ("feature", "device"): "waits for the child's alarm signs as well",
        ("rule", "skive-cap-thin-skin"): "holds from 65 years on",
        ("rule", "cup-cap-narrow-counter"): "a child's cup is shallower than that cap anyway",
        ("rule", "post-cap-medial-knee"): "arthritis of the knee is not asked of a child",
        ("rule", "no-valgus-into-the-outer-knee"): "arthritis of the knee is not asked of a child",
        ("rule", "no-close-arch-with-short-calves"): "the lunge has no norm in children",
    },
    "diabetic": {
        ("position", "standing"): "nor on a numb foot that is warmer than the other",
        ("position", "effort"): "nor on a numb foot that is warmer than the other",
        ("caution", "sensation-reduced"): "raised by the tuning fork as well",
        ("caution", "pulses-absent"): "raised by a low pressure as well",
        ("derived", "protection-lost"): "counts the tuning fork and low pressures as well",
        ("rule", "no-push-without-protection"): "keeps its effect on all that is advised here",
        ("rule", "wear-in-cautious"): "as before, but for joint laxity, which is not examined",
    },
    "runner": {
        ("caution", "stress-fracture"): "raised by bone points and the hop as well",
        ("feature", "device"): "waits for groin pain and bone points as well",
    },
    "review": {
        ("feature", "device"): "no device is ordered here: the plan waits for the same answers",
        ("rule", "refer-before-any-device"): "acts on the plan, since no device is ordered",
        ("rule", "wear-in-neuropathic"): "a redesigned device is seen after two weeks in any case",
        ("rule", "review-early"): "a redesigned device is seen after two weeks in any case",
    },
}


class TestSafety:
    @pytest.mark.parametrize("name", NAMES)
    def test_nothing_that_protects_is_taken_away_without_a_reason(self, name):
        protocol = PROTOCOLS[name]
        changes = changes_between(ADULT_LOADED.document.data, LOADED[name].document.data)
        touched = {(one.kind, one.id) for one in changes if one.touches_safety}
        guarded = {
            rule.id: {effect.feature for effect in rule.effects}
            for rule in ADULT.rules
            if rule.class_ in (RuleClass.SAFETY, RuleClass.TOLERANCE)
        }
        moot = {
            ("rule", rule)
            for rule, features in guarded.items()
            if not features & set(protocol.features_by_id)
        }
        assert touched - moot == set(EXCUSED[name])

    @pytest.mark.parametrize("name", NAMES)
    def test_each_adult_caution_and_safety_question_is_there(self, name):
        protocol = PROTOCOLS[name]
        excused = {one for kind, one in EXCUSED[name] if kind == "caution"}
        assert set(ADULT.cautions_by_id) - set(protocol.cautions_by_id) <= excused
        asked = {test.id: test.ask_when for test in protocol.tests if test.safety}
        for test in ADULT.tests:
            if test.safety:
                assert asked[test.id] == test.ask_when
        waits = protocol.features_by_id["plan" if name == "review" else "device"].needs
        assert set(ADULT.features_by_id["device"].needs) <= set(waits)
        assert {test.id for test in protocol.tests if test.safety} - {"calf-squeeze"} <= set(waits)

    @pytest.mark.parametrize("name", NAMES)
    @settings(max_examples=25, deadline=None)
    @given(findings=any_findings())
    def test_what_raises_a_caution_in_an_adult_raises_it_here(self, name, findings):
        protocol = PROTOCOLS[name]
        here = Case(
            protocol, {p: one for p, one in findings.items() if p.test in protocol.tests_by_id}
        )
        before = {(one.id, one.side) for one in Case(ADULT, findings).cautions}
        before = {one for one in before if one[0] != "not-an-adult" or name != "child"}
        assert before <= {(one.id, one.side) for one in here.cautions}

    @pytest.mark.parametrize("name", NAMES)
    def test_a_stop_ends_in_no_device(self, name):
        summary = summary_of(name, {"alarm-signs": ("saddle-bladder",)})
        assert raised(summary)["cauda-equina"] == ("emergency", "stop")
        if name == "review":
            assert summary.feature("plan", WHOLE).value == "stop"
        else:
            assert device(summary) == "refer-only"


WARMER_LEFT = {"skin-temperature left": 33.0, "skin-temperature right": 31.0}
NUMB = {"monofilament left": 7}


class TestNobodyIsLoaded:
    """Where a finding forbids weight on the feet nothing is asked standing or walking."""

    def positions_asked(self, name: str, *changes: Findings) -> set[str]:
        findings = dict(WELL[name])
        for change in changes:
            findings |= change
        case = case_of(name, findings)
        asked = {case.protocol.tests_by_id[place.test].position for place in case.places}
        return asked & {"standing", "walking", "effort"}

    @pytest.mark.parametrize("name", NAMES)
    def test_with_a_hot_foot_or_joint(self, name):
        assert "standing" in self.positions_asked(name)
        assert not self.positions_asked(name, {"hot-swollen-foot left": "yes"})
        assert not self.positions_asked(name, {"alarm-signs": ("fever-hot-joint",)})

    @pytest.mark.parametrize("signs", [("refuses-to-walk",), ("limp", "fever")])
    def test_with_a_child_that_will_not_stand_or_limps_with_a_fever(self, signs):
        assert not self.positions_asked("child", {"child-alarm-signs": signs})
        for one in ("limp", "fever"):
            assert self.positions_asked("child", {"child-alarm-signs": (one,)})

    def test_with_a_numb_foot_that_is_two_degrees_warmer(self):
        assert not self.positions_asked("diabetic", NUMB, WARMER_LEFT)
        assert self.positions_asked("diabetic", NUMB, WARMER_LEFT, {"skin-temperature left": 32.9})

    def test_but_without_a_thermometer_what_was_found_standing_counts(self):
        found = summary_of("diabetic", NUMB, fpi(12, "left"))
        assert found.derived_value("fpi-total", LEFT).value == 12


LEFT_OUT = {
    "heel-pad": "heel pad",
    "heel-to-arch-contour": "tissue in front of the heel",
    "fascia-prominence": "plantar fascia",
    "fascia-tender": "plantar fascia",
    "first-mtp-dorsiflexion": "big toe joint",
    "first-mtp-pain": "big toe joint",
    "first-mtp-enlargement": "big toe joint",
    "jack-effort": "big toe joint",
    "first-ray-position": "first ray",
    "first-ray-mobility": "first ray",
    "first-metatarsal-length": "first ray",
    "block-test": "first ray",
    "ankle-dorsiflexion-straight": "ankle and hip range",
    "ankle-dorsiflexion-bent": "ankle and hip range",
    "hamstring-length": "ankle and hip range",
    "hip-internal-rotation": "ankle and hip range",
    "hip-external-rotation": "ankle and hip range",
    "thigh-foot-angle": "ankle and hip range",
    "patella-facing": "how the knees face and bend",
    "forefoot-alignment": "forefoot alignment",
    "short-limb": "limb length",
    "block-height-first": "limb length",
    "block-height-second": "limb length",
    "joint-hypermobility": "joint laxity",
    "knee-hyperextension": "joint laxity",
    "lunge-screen": "lunge",
    "lunge-distance": "lunge",
    "knee-over-toes": "how the knees face and bend",
    "foot-progression-angle": "gait",
    "heel-rise-timing": "gait",
    "abductory-twist": "gait",
    "sex": "sex",
    "height": "height",
    "complaint-weeks": "how long it has lasted",
    "pain-first-step": "pain at the first steps",
    "activity": "load of the day",
    "back-or-hip-pain": "back or hip pain",
    "second-shoe-volume": "second shoe",
}


class TestShort:
    @pytest.mark.parametrize("seed", range(40))
    def test_it_comes_to_the_same_kind_of_device_as_the_full_examination(self, seed):
        """What asks for a functional device is what it leaves to the full examination."""
        protocol = PROTOCOLS["short"]
        findings = walked(random.Random(seed), {}, share=1)
        short = {
            place: one for place, one in findings.items() if place.test in protocol.tests_by_id
        }
        full = summarise_case(Case(ADULT, findings), {}).feature("device", WHOLE)
        here = summarise_case(Case(protocol, short), {}).feature("device", WHOLE)
        wished = {step.rule for step in full.trace if step.did.startswith("prefers custom, func")}
        if full.value == "custom-functional" or (full.value == "none" and wished):
            assert here.value == "full-exam"
        else:
            assert (here.status, here.value) == (full.status, full.value)

    def test_three_pronated_items_are_enough_for_the_tests_that_a_caution_needs(self):
        """The least posture from which a rigid or a collapsing foot can be suspected is +6."""
        found = {**RIGID, **fpi(6)}
        assert raised(summary_of("short", found))["rigid-flat-foot"] == ("urgent", "modify")
        found = {**fpi(6), "double-heel-raise": "stays-clearly-everted"}
        found |= {"complaint-side": "both", "complaint-region": ("inner-ankle",), "pain-worst": 4}
        assert "collapsing-foot" in raised(summary_of("short", found))
        asked = {place.test for place in case_of("short", {**NORMAL, **fpi(5)}).places}
        assert {"jack-arch-rise", "double-heel-raise"} <= asked
        asked = {place.test for place in case_of("short", {**NORMAL, **fpi(4)}).places}
        assert not {"jack-arch-rise", "double-heel-raise", "subtalar-range"} & asked

    def test_it_names_all_that_it_leaves_out_before_anything_is_found(self):
        note = next(
            one.says
            for one in summarise_case(Case(PROTOCOLS["short"], {}), {}).advice
            if one.id == "left-out"
        )
        assert set(ADULT.tests_by_id) - set(PROTOCOLS["short"].tests_by_id) == set(LEFT_OUT)
        for words in LEFT_OUT.values():
            assert words in note
        assert "full examination before a functional device" in note
        assert PROTOCOLS["short"].identity.minutes == 10

    def test_a_foot_that_asks_for_much_is_sent_to_the_full_examination(self):
        summary = summary_of("short", MUCH_ASKED)
        assert device(summary) == "full-exam"
        assert summary.feature("review-weeks", WHOLE).value == 2
        assert not {one.id for one in summary.features} & {"medial-heel-skive", "shell-thickness"}

    def test_a_sore_foot_that_asks_for_little_gets_a_ready_made_device(self):
        assert device(summary_of("short", SORE)) == "ready-made"


class TestChild:
    def test_a_flexible_flat_foot_that_does_not_hurt_gets_no_device_at_six(self):
        summary = summary_of("child", FLAT)
        result = summary.feature("device", WHOLE)
        assert result.value == "none"
        assert "no-device-where-nothing-hurts" in {step.rule for step in result.trace}
        assert raised(summary) == {}
        assert "flexible-and-painless" in advised(summary)

    @pytest.mark.parametrize("found", [{**FLAT, **SORE}, MUCH_ASKED])
    def test_a_sore_flexible_flat_foot_gets_a_ready_made_device_first(self, found):
        summary = summary_of("child", found)
        assert device(summary) == "ready-made"
        assert "growth-check" in advised(summary)

    @pytest.mark.parametrize(
        ("mass_kg", "thickness_mm"), [(20, 3.0), (30, 3.5), (44.9, 3.5), (60, 4.0)]
    )
    def test_a_custom_device_comes_after_it_with_a_thin_shell_and_small_steps(
        self, mass_kg, thickness_mm
    ):
        found = {**FLAT, **SORE, "device-history": "ready-made-failed", "body-mass": float(mass_kg)}
        summary = summary_of("child", found, {"supination-resistance": "high"})
        assert device(summary) == "custom-functional"
        assert summary.feature("shell-thickness", LEFT).value == thickness_mm
        assert summary.feature("medial-heel-skive", LEFT).value == 2
        assert 12 <= summary.feature("heel-cup", LEFT).value <= 16

    @pytest.mark.parametrize("complaint", [{}, SORE])
    def test_a_rigid_flat_foot_is_referred_whether_it_hurts_or_not(self, complaint):
        summary = summary_of("child", RIGID, complaint)
        assert raised(summary)["rigid-flat-foot"] == ("urgent", "stop")
        assert device(summary) == "refer-only"

    @pytest.mark.parametrize(
        ("found", "caution", "urgency"),
        [
            ({"flat-foot-course left": "newly-changed"}, "changing-foot", "urgent"),
            ({"flat-foot-course left": "getting-worse"}, "changing-foot", "urgent"),
            ({**fpi(8, "left"), **fpi(4, "right")}, "one-sided-flat-foot", "routine"),
            ({"child-alarm-signs": ("limp",)}, "child-limp", "urgent"),
            ({"child-alarm-signs": ("fever", "limp")}, "child-cannot-walk", "emergency"),
            ({"child-alarm-signs": ("refuses-to-walk",)}, "child-cannot-walk", "emergency"),
            ({"child-alarm-signs": ("fever",)}, "child-fever", "one-working-day"),
            ({"child-alarm-signs": ("night-pain",)}, "child-night-pain", "urgent"),
            ({"child-alarm-signs": ("lost-skills",)}, "child-lost-skills", "urgent"),
            ({"hip-internal-rotation right": 14}, "stiff-hip-in-a-child", "urgent"),
            ({"age": 2}, "not-a-child", "routine"),
            ({"age": 17}, "not-a-child", "routine"),
            ({"consent": "given", "age": 15}, "no-adult-consent", "routine"),
        ],
    )
    def test_a_warning_sign_of_childhood_holds_the_device(self, found, caution, urgency):
        summary = summary_of("child", found)
        assert raised(summary)[caution] == (urgency, "stop")
        assert device(summary) == "refer-only"

    @pytest.mark.parametrize("age", [3, 16])
    def test_the_first_and_the_last_age_are_within(self, age):
        assert raised(summary_of("child", {"age": age})) == {}

    @pytest.mark.parametrize(
        ("total", "band"),
        [(-1, "supinated"), (0, "ordinary"), (6, "ordinary"), (7, "more pronated"), (10, "highly")],
    )
    def test_posture_is_read_against_children(self, total, band):
        """Mean +4, 0 to +6 in 55 %, +10 or more in 4 % (Gijon-Nogueron 2019)."""
        assert (
            summary_of("child", fpi(total)).derived_value("fpi-total", LEFT).band.startswith(band)
        )

    @pytest.mark.parametrize(
        ("age", "low", "high"),
        [
            (4, 2.8 - 2 * 6.9, 2.8 + 2 * 6.9),
            (5, 2.8 - 2 * 6.9, 2.8 + 2 * 6.9),
            (6, -8, 16.4),
            (15, -8, 16.4),
            (16, 7.3 - 2 * 4.4, 7.3 + 2 * 4.4),
        ],
    )
    def test_foot_progression_is_read_against_two_standard_deviations_of_the_age(
        self, age, low, high
    ):
        """4 to 5 years 2.8 (SD 6.9), 4 to 16 years -8 to 16.4, 16 years 7.3 (SD 4.4)."""
        for angle in range(-15, 22):
            summary = summary_of("child", {"age": age, "foot-progression-angle": angle})
            expected = -1 if angle < round(low, 1) else 1 if angle > round(high, 1) else 0
            assert summary.derived_value("progression-for-age", LEFT).value == expected, angle

    def test_there_is_no_reference_where_none_was_found(self):
        young = summary_of("child", {"age": 3})
        assert young.derived_value("progression-for-age", LEFT).band == "no reference for this age"
        tests = PROTOCOLS["child"].tests_by_id
        for name in ("lunge-distance", "ankle-dorsiflexion-straight", "ankle-dorsiflexion-bent"):
            assert tests[name].bands == ()
            assert "No reference" in tests[name].reading

    @pytest.mark.parametrize(("age", "low", "high"), [(3, -15, 25), (5, -5, 30), (12, -5, 30)])
    def test_the_thigh_foot_angle_is_read_against_the_age(self, age, low, high):
        """Two standard deviations at 3 and 5 years, and from mid-childhood on (after Staheli)."""
        for angle, expected in ((low - 1, -1), (low, 0), (high, 0), (high + 1, 1)):
            summary = summary_of("child", {"age": age, "thigh-foot-angle": angle})
            assert summary.derived_value("thigh-foot-for-age", LEFT).value == expected

    @pytest.mark.parametrize(("score", "lax"), [(5, 0), (6, 1)])
    def test_laxity_counts_from_six_of_nine(self, score, lax):
        """2017 criteria, as printed for children (Malfait 2017)."""
        summary = summary_of("child", {"joint-hypermobility": score})
        assert summary.derived_value("lax-joints", WHOLE).value == lax


LOST: Findings = {"monofilament": 6}


class TestDiabetic:
    @pytest.mark.parametrize(
        "found",
        [{"foot-deformity": ("claw-toes",)}, SORE, MUCH_ASKED, {**MUCH_ASKED, **fpi(-6)}],
    )
    @pytest.mark.parametrize(
        "lost",
        [LOST, {"tuning-fork left": "not-felt"}, {"neurological-history": ("neuropathy",)}],
    )
    def test_a_foot_without_protective_sensation_gets_an_accommodative_device(self, lost, found):
        summary = summary_of("diabetic", lost, found)
        assert device(summary) == "custom-accommodative"
        assert summary.feature("shell-material", LEFT).value == "eva"
        assert summary.feature("cover-thickness", WHOLE).value >= 6
        assert summary.feature("cover-length", WHOLE).value == "toes"
        assert summary.feature("metatarsal-dome", LEFT).value == 0
        assert summary.feature("wear-in", WHOLE).value == "neuropathic"
        assert summary.feature("review-weeks", WHOLE).value <= 2

    def test_it_describes_accommodative_features_only(self):
        functional = {
            feature.id
            for feature in ADULT.features
            if feature.applies_when
            and feature.applies_when.feature == "device"
            and feature.applies_when.is_ == "custom-functional"
        }
        pushing = {"medial-heel-skive", "lateral-heel-skive", "rearfoot-post", "inversion"}
        assert not (functional | pushing | {"medial-flange", "first-ray"}) & set(
            PROTOCOLS["diabetic"].features_by_id
        )

    @settings(max_examples=40, deadline=None)
    @given(findings=any_findings())
    def test_no_findings_lead_to_a_firm_device_where_sensation_is_lost(self, findings):
        protocol = PROTOCOLS["diabetic"]
        answers = {p: one for p, one in findings.items() if p.test in protocol.tests_by_id}
        answers |= case_of("diabetic", {"tuning-fork left": "not-felt"}).answers
        value = device(summarise_case(Case(protocol, answers), {}))
        assert value in (None, "none", "refer-only", "custom-accommodative")

    @pytest.mark.parametrize(
        ("found", "category", "recall"),
        [
            ({}, 0, "recall-0"),
            (LOST, 1, "recall-1"),
            ({"tuning-fork left": "not-felt"}, 1, "recall-1"),
            ({**LOST, "foot-deformity": ("limited-motion",)}, 2, "recall-2"),
            ({**LOST, "foot-deformity": ("leaning-big-toe",)}, 2, "recall-2"),
            ({**LOST, "vascular-history": ("known-disease",)}, 2, "recall-2"),
            ({**LOST, "foot-ulcer-history": ("ulcer",)}, 3, "recall-3"),
            ({**LOST, "foot-ulcer-history": ("kidney-failure",)}, 3, "recall-3"),
        ],
    )
    def test_risk_and_recall_follow_the_published_table(self, found, category, recall):
        """Category and interval as in Schaper 2020, table 1."""
        warm = {"skin-temperature": 30.0}
        pressures = {"ankle-brachial-index": 1.1, "toe-pressure": 90}
        summary = summary_of("diabetic", warm, pressures, found)
        assert summary.derived_value("foot-risk", WHOLE).value == category
        assert {one for one in advised(summary) if one.startswith("recall-")} == {recall}
        assert ("foot-at-moderate-or-high-risk" in raised(summary)) == (category >= 2)

    @pytest.mark.parametrize(
        ("test", "value", "caution"),
        [
            ("ankle-brachial-index left", 0.90, "pulses-absent"),
            ("ankle-brachial-index left", 0.49, "low-pressures"),
            ("toe-pressure left", 29, "low-pressures"),
        ],
    )
    def test_a_low_pressure_raises_a_caution_and_one_above_does_not(self, test, value, caution):
        """0.90 or less is artery disease, below 0.50 and below 30 mmHg severe (as published)."""
        asked = {"pulse-dorsalis-pedis": "absent", "ankle-brachial-index": 1.1, "toe-pressure": 80}
        above = value + (1 if "toe" in test else 0.01)
        assert caution in raised(summary_of("diabetic", asked, {test: value}))
        assert caution not in raised(summary_of("diabetic", asked, {test: above}))

    @pytest.mark.parametrize(("warmer", "stops"), [(32.0, True), (31.9, False)])
    def test_a_numb_foot_two_degrees_warmer_is_seen_within_a_working_day(self, warmer, stops):
        temperatures = {"skin-temperature left": warmer, "skin-temperature right": 30.0}
        cautions = raised(summary_of("diabetic", LOST, temperatures))
        assert (cautions.get("warm-insensate-foot") == ("one-working-day", "stop")) == stops


class TestRunner:
    def test_with_nothing_found_by_its_own_questions_it_advises_what_the_adult_one_does(self):
        for found in (SORE, MUCH_ASKED, {**SORE, "device-history": "ready-made-failed"}):
            summary = summary_of("runner", found)
            adult = summarise_case(
                Case(
                    ADULT,
                    {
                        p: a
                        for p, a in case_of("runner", {**RUNNER, **found}).answers.items()
                        if p.test in ADULT.tests_by_id
                    },
                ),
                {},
            )
            for result in adult.features:
                assert summary.feature(result.id, result.side).value == result.value

    @pytest.mark.parametrize(
        ("found", "caution", "urgency"),
        [
            *(
                ({"bone-tenderness left": (bone,)}, "stress-fracture-high-risk", "one-working-day")
                for bone in (
                    *("navicular", "talus", "inner-ankle"),
                    *("fifth-base", "second-base", "sesamoid"),
                )
            ),
            ({"groin-pain right": "yes"}, "stress-fracture-high-risk", "one-working-day"),
            ({"bone-tenderness left": ("shaft",)}, "stress-fracture", "urgent"),
            ({"bone-tenderness left": ("shin-point",)}, "stress-fracture", "urgent"),
            ({"hop right": "bone"}, "stress-fracture", "urgent"),
        ],
    )
    def test_a_bone_that_may_be_cracking_stops_the_device(self, found, caution, urgency):
        """High-risk bones as in the review of lower-limb stress fractures (PMC4212349)."""
        summary = summary_of("runner", found)
        assert raised(summary)[caution] == (urgency, "stop")
        assert device(summary) == "refer-only"

    @pytest.mark.parametrize(
        "found",
        [
            {"bone-tenderness left": ("navicular", "shin-stretch")},
            {"groin-pain left": "yes"},
            {"alarm-signs": ("bone-pain-on-load",)},
        ],
    )
    def test_nobody_hops_on_a_leg_that_may_be_cracking(self, found):
        case = case_of("runner", {**RUNNER, **found})
        assert ("hop", LEFT) not in {(place.test, place.side) for place in case.places}

    def test_a_long_sore_stretch_of_shin_is_no_stop(self):
        found = {"bone-tenderness": ("shin-stretch",), **SORE, "complaint-region": ("shin",)}
        summary = summary_of("runner", found)
        assert raised(summary) == {}
        assert "shin-load" in advised(summary)

    def test_a_sore_insertion_gets_a_lift_and_the_score_to_follow(self):
        found = {"complaint-side": "left", "complaint-region left": ("achilles",), "pain-worst": 4}
        summary = summary_of("runner", found, {"achilles-site left": "insertion"})
        assert summary.feature("ankle-lift", WHOLE).value == 4
        assert {"insertion-without-stretch", "achilles-score"} <= advised(summary)


class TestReview:
    @pytest.mark.parametrize(
        ("effect", "caution", "urgency"),
        [
            ("blister", "device-mark", "routine"),
            ("mark", "device-mark", "routine"),
            ("sore", "device-sore", "one-working-day"),
            ("numbness", "device-numbness", "urgent"),
            ("joint-pain", "device-joint-pain", "routine"),
            ("flare", "device-flare", "routine"),
            ("sprain-or-fall", "device-sprain-or-fall", "routine"),
        ],
    )
    def test_a_stop_sign_takes_the_device_out_of_the_shoe(self, effect, caution, urgency):
        summary = summary_of("review", {"side-effects left": (effect,)})
        assert raised(summary) == {caution: (urgency, "stop")}
        assert summary.feature("plan", WHOLE).value == "stop"
        assert summary.feature("review-weeks", WHOLE).value == 1

    def test_a_blister_on_a_foot_in_diabetes_is_seen_within_a_working_day(self):
        found = {"diabetes": "type-2", "diabetes-years": 3, "side-effects left": ("blister",)}
        assert raised(summary_of("review", found))["device-mark-at-risk"][0] == "one-working-day"

    @pytest.mark.parametrize("effect", ["minor", "rash"])
    def test_a_nuisance_is_eased_and_the_device_goes_on(self, effect):
        summary = summary_of("review", {"side-effects left": (effect,)})
        assert raised(summary) == {}
        assert summary.feature("plan", WHOLE).value == "carry-on"

    @pytest.mark.parametrize(
        ("weeks", "days", "hours_out", "hours_in", "before", "now", "redesigned", "plan", "review"),
        [
            (13, 6, 6, 2, 7, 5, "no", "carry-on", 52),  # two points are a change that matters
            (13, 6, 6, 2, 7, 6, "no", "redesign", 2),
            (13, 6, 6, 2, 7, 6, "yes", "withdraw", 12),
            (12, 5, 2, 2, 7, 8, "no", "redesign", 2),  # five days, four hours: just enough
            (12, 4, 6, 2, 7, 7, "no", "wear-more", 4),
            (13, 6, 3, 0.5, 7, 7, "yes", "wear-more", 4),
            (13, 2, 1, 0, 7, 4, "no", "carry-on", 52),  # better on little wear
            (11, 6, 6, 2, 7, 7, "no", "carry-on", 4),  # too early to judge
            (4, 6, 6, 2, 7, 7, "yes", "carry-on", 8),
            (13, 6, 6, 2, 1, 0, "no", "carry-on", 52),  # the pain has gone
        ],
    )
    def test_the_plan_follows_from_wear_weeks_and_pain(
        self, weeks, days, hours_out, hours_in, before, now, redesigned, plan, review
    ):
        """Redesign once, then withdraw, after twelve weeks of real wear (a convention)."""
        found = {
            "wear-weeks": weeks,
            "wear-days": days,
            "wear-hours-out": hours_out,
            "wear-hours-in": hours_in,
            "wear-hindrances": ("uncomfortable",),
            "pain-at-start": before,
            "pain-worst": now,
            "redesigned-before": redesigned,
        }
        summary = summary_of("review", found)
        assert summary.feature("plan", WHOLE).value == plan
        assert summary.feature("review-weeks", WHOLE).value == review

    def test_a_foot_at_high_risk_is_seen_again_within_three_months(self):
        """Every 1 to 3 months in category 3 (Schaper 2020)."""
        found = {"diabetes": "type-1", "diabetes-years": 20, "foot-ulcer-history": ("ulcer",)}
        summary = summary_of("review", found, LOST)
        assert summary.feature("plan", WHOLE).value == "carry-on"
        assert summary.feature("review-weeks", WHOLE).value == 12

    def test_refused_consent_leaves_no_plan(self):
        result = summary_of("review", {"consent": "refused"}).feature("plan", WHOLE)
        assert result.status is not FeatureStatus.RECOMMENDED

    def test_wear_that_no_day_holds_is_questioned(self):
        summary = summary_of("review", {"wear-hours-out": 16, "wear-hours-in": 9})
        assert {one.id for one in summary.crosschecks} == {"more-hours-than-a-day"}

    def test_the_tests_worth_repeating_are_those_of_the_adult_examination(self):
        for test in (
            *("lunge-distance", "supination-resistance", "jack-effort", "jack-arch-rise"),
            *("arch-height-unloaded", "arch-height-loaded", "fpi-talar-head", "fpi-arch"),
            *("double-heel-raise", "single-heel-raise"),
        ):
            assert PROTOCOLS["review"].tests_by_id[test] == ADULT.tests_by_id[test]
