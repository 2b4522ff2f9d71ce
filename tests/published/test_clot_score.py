"""The two-level clot score.

Published: Wells et al. 2003, N Engl J Med 349:1227-1235, as tabled in NICE guideline NG158: one
point for each of nine items; two points less where another diagnosis is at least as likely
(that item from memory). Two points or more: likely, ultrasound within four hours; fewer:
unlikely, D-dimer within four hours.
"""

from itertools import combinations

import pytest

from adult_cases import normal_but, summary_of
from examwalk.reasoning.results import Summary
from examwalk.session.model import Side

ITEMS = {
    "active cancer": ("clot-history", "cancer", 1),
    "paralysis or plaster": ("clot-history", "leg-immobile", 1),
    "bed rest or surgery": ("clot-history", "bed-or-surgery", 1),
    "previous clot": ("clot-history", "previous-clot", 1),
    "deep-vein tenderness": ("clot-signs", "deep-vein-tenderness", 1),
    "whole leg swollen": ("clot-signs", "whole-leg", 1),
    "calf 3 cm larger": ("clot-signs", "calf-3-cm", 1),
    "pitting oedema": ("clot-signs", "pitting", 1),
    "collateral veins": ("clot-signs", "collateral-veins", 1),
    "other diagnosis as likely": ("clot-history", "other-diagnosis", -2),
}


def examined(*names: str) -> Summary:
    chosen = {"clot-history": [], "clot-signs": []}
    for name in names:
        test, option, _ = ITEMS[name]
        chosen[test].append(option)
    return summary_of(
        normal_but(
            {
                "calf-swelling left": "yes",
                "breathless": "no",
                "clot-history": tuple(chosen["clot-history"]) or ("none",),
                "clot-signs left": tuple(chosen["clot-signs"]) or ("none",),
            }
        )
    )


def raised(summary: Summary) -> list[tuple[str, Side, str]]:
    return [(one.id, one.side, one.urgency) for one in summary.cautions]


def score(summary: Summary) -> float | None:
    return summary.derived_value("clot-score", Side.LEFT).value


def test_a_swollen_calf_alone_scores_nothing_and_is_not_excluded():
    summary = examined()
    assert score(summary) == 0
    assert raised(summary) == [("clot-not-excluded", Side.LEFT, "emergency")]


@pytest.mark.parametrize("name", ITEMS)
def test_each_item_counts_by_itself(name):
    assert score(examined(name)) == ITEMS[name][2]


def test_all_items_add_up():
    assert score(examined(*ITEMS)) == 9 - 2


@pytest.mark.parametrize(
    "names",
    [
        *combinations([name for name, (_, _, points) in ITEMS.items() if points > 0][:4], 2),
        ("calf 3 cm larger", "pitting oedema"),
        tuple(name for name in ITEMS if name not in ("previous clot", "bed rest or surgery")),
    ],
)
def test_two_points_or_more_are_likely_and_stop_any_device(names):
    summary = examined(*names)
    assert score(summary) >= 2
    assert raised(summary) == [("clot-likely", Side.LEFT, "emergency")]
    assert summary.derived_value("clot-score", Side.LEFT).band == "likely"
    assert summary.feature("device", Side.LEFT).value == "refer-only"


@pytest.mark.parametrize(
    "names",
    [
        ("pitting oedema",),
        ("active cancer", "calf 3 cm larger", "other diagnosis as likely"),
        ("active cancer", "calf 3 cm larger", "pitting oedema", "other diagnosis as likely"),
    ],
)
def test_fewer_are_unlikely_and_still_to_be_excluded_the_same_day(names):
    summary = examined(*names)
    assert score(summary) < 2
    assert raised(summary) == [("clot-not-excluded", Side.LEFT, "emergency")]
    assert summary.derived_value("clot-score", Side.LEFT).band == "unlikely"
    assert summary.feature("device", Side.LEFT).value == "refer-only"


@pytest.mark.parametrize("half", ["clot-history", "clot-signs left"])
def test_while_half_of_the_score_is_open_the_clot_is_not_excluded(half):
    findings = normal_but(
        {
            "calf-swelling left": "yes",
            "breathless": "no",
            "clot-history": ("cancer", "previous-clot"),
            "clot-signs left": ("pitting", "whole-leg"),
        }
    )
    del findings[half]
    assert ("clot-not-excluded", Side.LEFT, "emergency") in raised(summary_of(findings))


def test_the_leg_that_is_not_swollen_has_no_score():
    summary = examined("active cancer", "previous clot")
    assert all(one.side is not Side.RIGHT for one in summary.cautions)
    assert not [one for one in summary.derived if (one.id, one.side) == ("clot-score", Side.RIGHT)]


def test_a_leg_whose_calf_was_not_looked_at_is_not_called_likely_but_is_not_excluded_either():
    findings = normal_but(
        {
            "calf-swelling left": "yes",
            "breathless": "no",
            "clot-history": ("cancer", "previous-clot"),
            "clot-signs left": ("pitting",),
        }
    )
    del findings["calf-swelling right"]
    summary = summary_of(findings)
    assert {side for _, side, _ in raised(summary)} == {Side.LEFT}
    assert ("clot-likely", Side.RIGHT) in {(one.id, one.side) for one in summary.open_cautions}
