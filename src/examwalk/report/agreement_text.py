"""How far two examiners agree, as plain text and as plain data."""

from collections.abc import Iterator
from typing import Any

from examwalk.language import later, say, say_count
from examwalk.protocol.exam_model import Kind
from examwalk.protocol.wording import answer_words, choices_of, number_words
from examwalk.reasoning.agreeing import (
    FEWEST_PAIRS,
    AgreementOfTwo,
    PairOfAnswers,
    TestAgreement,
)
from examwalk.report.sides import with_side
from examwalk.report.text_lines import heading, paragraph

FAR_APART = 2
"""Grades from which the descriptions of both are printed to be read again."""


def agreement_text(found: AgreementOfTwo, *, anonymous: bool = False) -> str:
    """Write how far two examiners agree as text for a person, ending in a newline.

    Args:
        found: what to write.
        anonymous: the visits are without names (``report.anonymous``): tell their years alone.
    """
    return "\n".join(_lines(found, "%Y" if anonymous else "%Y-%m-%d")) + "\n"


def _lines(found: AgreementOfTwo, date_form: str) -> Iterator[str]:
    yield from _head(found, date_form)
    apart = [one for one in found.tests if one.furthest]
    yield from heading(say("Where they differ, grades first, furthest apart first"))
    if not apart:
        yield say("Nowhere.")
    for one in apart:
        yield from _test(one)
    agreed = [one for one in found.tests if not one.furthest]
    if agreed:
        yield from heading(f"{say('Where they agree in full')} ({len(agreed)})")
        yield from paragraph("; ".join(one.test.name for one in agreed), indent="  ")
    yield ""
    yield from paragraph(
        say(
            "Agreement says how alike two examinations are, not which of them is right. Left and "
            "right of one patient are alike by themselves, so that figures over few patients look "
            "better than they are."
        )
    )
    yield from paragraph(found.pairs_of_visits[0][0].protocol.identity.disclaimer)


def _head(found: AgreementOfTwo, date_form: str) -> Iterator[str]:
    yield say_count(
        len(found.pairs_of_visits),
        "Agreement of two examinations, {count} patient",
        "Agreement of two examinations, {count} patients",
    )
    for one, other in found.pairs_of_visits:
        yield "  " + say(
            "{code}: {first} on {first_day}, {second} on {second_day}",
            code=one.session.patient,
            first=one.session.examiner or "—",
            first_day=one.session.started.strftime(date_form),
            second=other.session.examiner or "—",
            second_day=other.session.started.strftime(date_form),
        )
    if found.same_examiner:
        yield say("The same examiner twice: this is agreement within one examiner.")
    yield from paragraph(_overall(found))
    yield from paragraph(
        say(
            "Kappa, ICC and limits of agreement are given from {count} pairs on.",
            count=FEWEST_PAIRS,
        )
    )


def _overall(found: AgreementOfTwo) -> str:
    graded = [one for one in found.tests if one.within_one is not None]
    count = sum(len(one.pairs) for one in graded)
    if not count:
        return say("No test with grades was answered in both.")
    exact = sum(one.exact * len(one.pairs) for one in graded) / count
    within = sum((one.within_one or 0) * len(one.pairs) for one in graded) / count
    return say(
        "Of {count} grades {exact} are the same and {within} at most one apart.",
        count=count,
        exact=_percent(exact),
        within=_percent(within),
    )


def _test(one: TestAgreement) -> Iterator[str]:
    yield from paragraph(f"{one.test.name}: {'; '.join(_figures(one))}", indent="  - ")
    for pair in one.pairs:
        if pair.first != pair.second:
            yield from paragraph(_pair_words(one, pair), indent="    ")
    if one.test.kind is Kind.GRADE and one.furthest >= FAR_APART:
        yield from _descriptions(one)


def _figures(one: TestAgreement) -> Iterator[str]:
    count = len(one.pairs)
    yield say("{some} of {count} the same", some=round(one.exact * count), count=count)
    if one.within_one is not None:
        some = round(one.within_one * count)
        yield say("{some} of {count} at most one grade apart", some=some, count=count)
    if one.kappa is not None:
        pattern = later("kappa {value}")
        if one.test.kind is Kind.GRADE:
            pattern = later("weighted kappa {value}")
        yield say(pattern, value=number_words(one.kappa, 0.01))
    if one.icc is not None:
        yield say("ICC(2,1) {value}", value=number_words(one.icc, 0.01))
    if one.limits is not None:
        low, high = (number_words(limit, 0.1) for limit in (one.limits.low, one.limits.high))
        span = f"{say('{low} to {high}', low=low, high=high)} {one.test.unit}".rstrip()
        yield say("95 % limits of agreement {span}", span=span)


def _pair_words(one: TestAgreement, pair: PairOfAnswers) -> str:
    first, second = (
        answer_words(one.protocol, one.test, answer) for answer in (pair.first, pair.second)
    )
    return say(
        "{whose}: {first} against {second}",
        whose=with_side(pair.patient, pair.place.side),
        first=first,
        second=second,
    )


def _descriptions(one: TestAgreement) -> Iterator[str]:
    given = {answer for pair in one.pairs for answer in (pair.first, pair.second)}
    looks = [
        f"{choice.label}: {choice.looks}"
        for choice in choices_of(one.protocol, one.test)
        if choice.id in given and choice.looks
    ]
    if looks:
        yield f"    {say('Read again together')}:"
        for text in looks:
            yield from paragraph(text, indent="      ")


def agreement_data(found: AgreementOfTwo) -> dict[str, Any]:
    """Return how far two examiners agree as dicts, lists, texts and numbers."""
    return {
        "same_examiner": found.same_examiner,
        "visits": [[one.session.id, other.session.id] for one, other in found.pairs_of_visits],
        "tests": [
            {
                "test": one.test.id,
                "pairs": len(one.pairs),
                "exact": one.exact,
                "within_one": one.within_one,
                "kappa": one.kappa,
                "weights": "linear" if one.test.kind is Kind.GRADE else "none",
                "icc_2_1": one.icc,
                "bias": one.limits.bias if one.limits else None,
                "limits": [one.limits.low, one.limits.high] if one.limits else None,
                "differing": [
                    {
                        "patient": pair.patient,
                        "side": pair.place.side.value,
                        "first": _plain(pair.first),
                        "second": _plain(pair.second),
                    }
                    for pair in one.pairs
                    if pair.first != pair.second
                ],
            }
            for one in found.tests
        ],
    }


def _plain(answer: object) -> object:
    return list(answer) if isinstance(answer, tuple) else answer


def _percent(share: float) -> str:
    return f"{round(share * 100)} %"
