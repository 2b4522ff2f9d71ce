"""When a Beighton total counts as generalised joint hypermobility.

Published: Malfait et al. 2017, Am J Med Genet C, as in table 2 of PMC7785693: 6 or more of 9
before puberty, 5 or more from puberty to the age of 50, 4 or more above 50.
"""

import pytest

from adult_cases import normal_but, summary_of
from examwalk.protocol.library import find_protocol
from examwalk.protocol.shipped import read_shipped
from examwalk.reasoning.case import Case
from examwalk.session.model import Place, Side

CHILD = read_shipped(find_protocol("child")).protocol


def least_total(age_years: int) -> int:
    """Return the least total that counts in an adult of this age, by the published criterion."""
    return 4 if age_years > 50 else 5


@pytest.mark.parametrize("age_years", [18, 49, 50, 51, 80])
@pytest.mark.parametrize("total", range(10))
def test_an_adult_s_total_counts_from_the_published_cut_off_on(age_years: int, total: int) -> None:
    findings = normal_but({"age": age_years, "joint-hypermobility": total})
    lax = summary_of(findings).derived_value("lax-joints", Side.WHOLE)
    assert lax.value == (1 if total >= least_total(age_years) else 0)


@pytest.mark.parametrize("total", range(10))
def test_a_child_s_total_counts_from_six_on(total: int) -> None:
    case = Case(CHILD, {Place("joint-hypermobility", Side.WHOLE): total})
    lax = case.number("lax-joints", Side.WHOLE).interval
    assert lax is not None
    assert lax.is_settled
    assert lax.low == (1 if total >= 6 else 0)
