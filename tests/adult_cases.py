"""Cases under the adult protocol: a normal adult, and whatever differs from one."""

import random
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from hypothesis import strategies as st

from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.library import find_protocol
from examwalk.protocol.model import Protocol
from examwalk.protocol.shipped import read_shipped
from examwalk.protocol.wording import choices_of
from examwalk.reasoning.case import Case
from examwalk.reasoning.places import places_of
from examwalk.reasoning.results import FeatureResult, Summary, Truth
from examwalk.reasoning.summary import summarise_case
from examwalk.session.model import Answer, Finding, Place, ProtocolUsed, Session, Side

ADULT: Protocol = read_shipped(find_protocol("adult")).protocol
PLACES = tuple(place for test in ADULT.tests_in_order for place in places_of(test))

Findings = Mapping[str, Answer]
"""Answers by ``"test"`` (both feet, or the whole person) or ``"test left"``."""

NORMAL: Findings = {
    "consent": "given",
    "hot-swollen-foot": "no",
    "calf-swelling": "no",
    "push-off-loss": "no",
    "alarm-signs": ("none",),
    "age": 40,
    "sex": "female",
    "body-mass": 70.0,
    "height": 170.0,
    "complaint-side": "none",
    "complaint-region": ("none",),
    "activity": "mixed",
    "injury-history": ("none",),
    "ankle-giving-way": "never",
    "knee-history": ("none",),
    "back-or-hip-pain": "no",
    "diabetes": "none",
    "vascular-history": ("none",),
    "inflammatory-history": ("none",),
    "neurological-history": ("none",),
    "foot-ulcer-history": ("none",),
    "falls": 0,
    "standing-ability": "one-leg",
    "device-history": "none",
    "shoe-volume": "high",
    "second-shoe-volume": "none",
    "shoe-fastening": "lace",
    "shoe-counter": "firm",
    "cover-allergy": "no",
    "skin-check": ("intact",),
    "callus-site": ("none",),
    "monofilament": 10,
    "pulse-dorsalis-pedis": "normal",
    "pulse-posterior-tibial": "normal",
    "foot-deformity": ("none",),
    "arch-height-unloaded": "medium",
    "heel-tenderness": "none",
    "heel-pad": "full",
    "heel-to-arch-contour": "ordinary",
    "fascia-prominence": "felt",
    "fascia-tender": "no",
    "first-mtp-dorsiflexion": 70,
    "first-mtp-pain": "no",
    "first-mtp-enlargement": "none",
    "first-ray-position": "level",
    "first-ray-mobility": "ordinary",
    "first-metatarsal-length": "equal",
    "ankle-dorsiflexion-straight": 8,
    "ankle-dorsiflexion-bent": 15,
    "hamstring-length": "ordinary",
    "tibialis-posterior-strength": "normal",
    "subtalar-range": "ordinary",
    "forefoot-alignment": "neutral",
    "hip-internal-rotation": 40,
    "hip-external-rotation": 45,
    "thigh-foot-angle": 10,
    "arch-height-loaded": "medium",
    "fpi-talar-head": "neutral",
    "fpi-malleolar-curves": "pronated",
    "fpi-calcaneus": "pronated",
    "fpi-talonavicular": "neutral",
    "fpi-arch": "neutral",
    "fpi-forefoot": "neutral",
    "hallux-valgus": "none",
    "supination-resistance": "moderate",
    "jack-effort": "moderate",
    "jack-arch-rise": "prompt",
    "knee-hyperextension": 2,
    "patella-facing": "forward",
    "short-limb": "none",
    "joint-hypermobility": 1,
    "foot-progression-angle": 8,
    "heel-rise-timing": "ordinary",
    "abductory-twist": "none",
    "lunge-screen": "pass",
    "lunge-distance": 11.0,
    "knee-over-toes": "over-the-foot",
    "double-heel-raise": "slightly-inverts",
    "single-heel-raise": 25,
    "heel-raise-stop": "tired",
}
"""An adult of whom everything was examined and nothing is amiss."""

FPI_ITEMS = (
    "fpi-talar-head",
    "fpi-malleolar-curves",
    "fpi-calcaneus",
    "fpi-talonavicular",
    "fpi-arch",
    "fpi-forefoot",
)
FPI_GRADES = {
    -2: "clearly-supinated",
    -1: "supinated",
    0: "neutral",
    1: "pronated",
    2: "clearly-pronated",
}


def fpi(total: int, side: str = "") -> dict[str, Answer]:
    """Spread a Foot Posture Index total over its six items, the first ones furthest out."""
    findings: dict[str, Answer] = {}
    left = total
    for item in FPI_ITEMS:
        share = max(-2, min(2, left))
        findings[f"{item} {side}".strip()] = FPI_GRADES[share]
        left -= share
    assert left == 0, f"{total} is no total of the index"
    return findings


def placed(findings: Findings) -> dict[Place, Answer]:
    """Put findings at their places; a side that is named overrides one that is not."""
    answers: dict[Place, Answer] = {}
    for name, answer in sorted(findings.items(), key=lambda item: " " in item[0]):
        test_id, _, side = name.partition(" ")
        places = places_of(ADULT.tests_by_id[test_id])
        answers |= {place: answer for place in places if side in ("", place.side.value)}
    return answers


def case_of(findings: Findings) -> Case:
    """Return the case that these findings make."""
    return Case(ADULT, placed(findings))


def visit_with(findings: Findings, at: datetime, **more: Any) -> Session:
    """Make a visit of an adult in which all was found at one moment."""
    return Session(
        id="visit",
        started=at,
        examiner="AB",
        patient="P-1",
        protocol=ProtocolUsed("adult", "1.0.0"),
        findings=tuple(Finding(place, at, answer) for place, answer in placed(findings).items()),
        **more,
    )


def normal_but(*changes: Findings) -> dict[str, Answer]:
    """Return the normal adult's findings with some changed."""
    findings = dict(NORMAL)
    for change in changes:
        for name in change:
            test_id, _, side = name.partition(" ")
            if side and test_id in findings:
                other = "right" if side == "left" else "left"
                findings[f"{test_id} {other}"] = findings.pop(test_id)
        findings |= change
    return findings


def summary_of(findings: Findings) -> Summary:
    """Return everything that follows from these findings."""
    return summarise_case(case_of(findings), {})


def feature(findings: Findings, feature_id: str, side: str = "right") -> FeatureResult:
    """Return one feature as settled for these findings."""
    return summary_of(findings).feature(feature_id, Side(side))


def possible_answer(test: Test) -> st.SearchStrategy[Answer]:
    """Return any answer that a test can have."""
    if test.kind is Kind.MEASURE:
        assert test.hard is not None
        low, high = test.hard
        steps = st.integers(0, round((high - low) / test.step))
        return steps.map(lambda count: round(low + count * test.step, 6))
    ids = [choice.id for choice in choices_of(ADULT, test)]
    if not test.several:
        return st.sampled_from(ids)
    together = [one for one in ids if one not in test.alone]
    chosen = st.sets(st.sampled_from(together), min_size=1, max_size=3).map(
        lambda options: tuple(sorted(options))
    )
    return st.one_of(st.sampled_from([(one,) for one in test.alone]), chosen)


@st.composite
def any_findings(draw: st.DrawFn, most: int = 30) -> dict[Place, Answer]:
    """Draw findings: none or a normal adult's, some taken away and some made anything."""
    answers = placed(draw(st.sampled_from([{}, NORMAL])))
    for place in draw(st.lists(st.sampled_from(PLACES), unique=True, max_size=most)):
        if place in answers and draw(st.booleans()):
            del answers[place]
        else:
            answers[place] = draw(possible_answer(ADULT.tests_by_id[place.test]))
    return answers


def answer_by_chance(chance: random.Random, test: Test) -> Answer:
    """Pick an answer that a test can have, none of the options alone more often than not."""
    if test.kind is Kind.MEASURE:
        low, high = chance.choice([test.hard, test.usual or test.hard])
        return round(low + chance.randint(0, round((high - low) / test.step)) * test.step, 6)
    ids = [choice.id for choice in choices_of(ADULT, test)]
    if not test.several:
        return chance.choice(ids)
    if test.alone and chance.random() < 0.6:
        return (chance.choice(test.alone),)
    together = [one for one in ids if one not in test.alone]
    return tuple(sorted(chance.sample(together, chance.randint(1, min(3, len(together))))))


def walked(
    chance: random.Random, before: Mapping[Place, Answer], share: float
) -> dict[Place, Answer]:
    """Go through the exam in order and answer this share of what is surely asked.

    Safety questions are answered in any case, and mostly well, so that a device is advised.
    """
    answers = dict(before)
    well = placed(NORMAL)
    for test in ADULT.tests_in_order:
        needed = test.safety or test.id == "consent"
        for place in places_of(test):
            if place in answers or chance.random() >= (1 if needed else share):
                continue
            if Case(ADULT, answers).indicated(test, place.side).truth is Truth.TRUE:
                is_well = needed and place in well and chance.random() < 0.97
                answers[place] = well[place] if is_well else answer_by_chance(chance, test)
    return answers
