"""The foot risk category in diabetes.

Published: Schaper et al. 2020, table 1, doi 10.1002/dmrr.3266 (IWGDF risk system). 0: no loss
of protective sensation (LOPS) and no peripheral artery disease (PAD). 1: LOPS or PAD. 2: LOPS
with PAD, or either of them with a foot deformity. 3: LOPS or PAD, and a history of ulcer,
amputation or end-stage renal disease.
"""

import pytest

from adult_cases import normal_but, summary_of
from examwalk.reasoning.calculations import iwgdf_risk
from examwalk.session.model import Side

# One row for each combination: LOPS, PAD, deformity, history, category.
TABLE = [
    (False, False, False, False, 0),
    (False, False, False, True, 0),
    (False, False, True, False, 0),
    (False, False, True, True, 0),
    (False, True, False, False, 1),
    (False, True, False, True, 3),
    (False, True, True, False, 2),
    (False, True, True, True, 3),
    (True, False, False, False, 1),
    (True, False, False, True, 3),
    (True, False, True, False, 2),
    (True, False, True, True, 3),
    (True, True, False, False, 2),
    (True, True, False, True, 3),
    (True, True, True, False, 2),
    (True, True, True, True, 3),
]

# When to look again, from the same table (intervals are expert opinion).
RECALL = {0: "once a year", 1: "every 6–12 months", 2: "every 3–6 months", 3: "every 1–3 months"}


def test_every_combination_is_in_the_table_once():
    assert len({row[:4] for row in TABLE}) == 2**4


@pytest.mark.parametrize(("lops", "pad", "deformity", "history", "category"), TABLE)
def test_the_calculation_follows_the_table(lops, pad, deformity, history, category):
    risk = iwgdf_risk(
        loss_of_sensation=lops, artery_disease=pad, deformity=deformity, history=history
    )
    assert risk == category


def findings_of(lops: bool, pad: bool, deformity: bool, history: bool) -> dict:
    findings = normal_but({"diabetes": "type-2", "diabetes-years": 10})
    if lops:
        findings["monofilament"] = 8
    if pad:
        findings["vascular-history"] = ("known-disease",)
    if deformity:
        findings["foot-deformity"] = ("claw-toes",)
    if history:
        findings["foot-ulcer-history"] = ("ulcer",)
    return findings


@pytest.mark.parametrize(("lops", "pad", "deformity", "history", "category"), TABLE)
def test_the_adult_protocol_follows_the_table_from_findings_to_recall(
    lops, pad, deformity, history, category
):
    summary = summary_of(findings_of(lops, pad, deformity, history))
    assert summary.derived_value("foot-risk", Side.WHOLE).value == category
    recalls = [advice.says for advice in summary.advice if advice.kind == "recall"]
    assert len(recalls) == 1
    assert RECALL[category] in recalls[0]


@pytest.mark.parametrize(
    ("change", "category"),
    [
        ({"monofilament": 10, "neurological-history": ("neuropathy",)}, 1),
        ({"monofilament right": 9}, 1),
        ({"pulse-dorsalis-pedis": "absent", "pulse-posterior-tibial": "absent"}, 1),
        ({"pulse-dorsalis-pedis": "absent"}, 0),
        ({"monofilament": 8, "foot-deformity left": ("limited-motion",)}, 2),
        ({"monofilament": 8, "foot-ulcer-history": ("amputation",)}, 3),
        ({"monofilament": 8, "foot-ulcer-history": ("kidney-failure",)}, 3),
    ],
)
def test_which_findings_count_as_what(change, category):
    """Deformity includes limited joint motion, history end-stage renal disease (same source)."""
    findings = normal_but({"diabetes": "type-1", "diabetes-years": 20}, change)
    assert summary_of(findings).derived_value("foot-risk", Side.WHOLE).value == category


def test_without_diabetes_there_is_no_category():
    summary = summary_of(normal_but({"monofilament": 5}))
    assert all(result.id != "foot-risk" for result in summary.derived)


def test_before_the_question_about_diabetes_is_answered_there_is_no_category_and_no_recall():
    findings = normal_but()
    del findings["diabetes"]
    summary = summary_of(findings)
    assert summary.derived_value("foot-risk", Side.WHOLE).value is None
    assert not [advice for advice in summary.advice if advice.kind == "recall"]


def test_sensation_that_was_not_tested_leaves_the_category_open():
    findings = findings_of(lops=False, pad=False, deformity=False, history=True)
    del findings["monofilament"]
    result = summary_of(findings).derived_value("foot-risk", Side.WHOLE)
    assert (result.value, result.low, result.high) == (None, 0, 3)
