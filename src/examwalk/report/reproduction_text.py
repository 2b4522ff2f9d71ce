"""In what share of repeated examinations things come out the same, in words and as data."""

from collections.abc import Iterator, Sequence
from typing import Any

from examwalk.language import later, say, say_count
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import number_words
from examwalk.reasoning.agreement import Agreement, Origin
from examwalk.reasoning.reproducing import (
    CautionRepeated,
    FeatureRepeated,
    Reproduced,
    Share,
)
from examwalk.reasoning.results import FeatureStatus
from examwalk.reasoning.settling import Value, value_words
from examwalk.report.sides import with_side
from examwalk.report.text_lines import WIDTH, heading, paragraph
from examwalk.report.words import place_words
from examwalk.session.model import Session

_STATUS_WORDS = {
    FeatureStatus.RECOMMENDED: later("no value yet"),
    FeatureStatus.WAITING: later("no value yet"),
    FeatureStatus.NOT_APPLICABLE: later("not applicable"),
}
_ORIGIN_WORDS = {
    Origin.PUBLISHED: later("Published agreement"),
    Origin.BORROWED: later("Published for another kind of repeat, and borrowed"),
    Origin.ASSUMED: later("Assumed, for want of a published figure"),
    Origin.HELD: later("Taken to come out the same, for want of any figure"),
}
_MODEL = (
    later(
        "Nothing of the patient changes; every answer is given again, each by itself, so that one "
        "side or test does not pull the next one along."
    ),
    later(
        "A grade goes to a neighbouring grade first, and is a guess only as far as neighbours "
        "cannot explain a poor agreement; every grade is taken as equally common unless a "
        "prevalence was published."
    ),
    later(
        "A number is read again around the first one with √2 times the error of measurement, in "
        "the steps and limits of its test."
    ),
    later("What was ordered stays ordered, and what was not answered stays open."),
    later(
        "A low share says that the examination is coarse here, not that the recommendation is "
        "wrong: repeat what it hangs on."
    ),
)


def reproduction_text(protocol: Protocol, session: Session, result: Reproduced) -> str:
    """Write what so many repeats came to, ending in a newline."""
    lines = [
        say("Visit {id}, patient {patient}", id=session.id, patient=session.patient),
        *reproduction_lines(protocol, result),
        "",
        *paragraph(protocol.identity.disclaimer),
    ]
    return "\n".join(lines) + "\n"


def reproduction_lines(protocol: Protocol, result: Reproduced, width: int = WIDTH) -> list[str]:
    """Return the lines that say it: cautions first, then features, then what it assumes."""
    return [
        *paragraph(_head(result), width=width),
        *paragraph(_unanswered(result), width=width),
        *_cautions(protocol, result, width),
        *_features(protocol, result, width),
        *_assumptions(protocol, result, width),
    ]


def _head(result: Reproduced) -> str:
    who = say("by the same examiner") if result.same_examiner else say("by another examiner")
    said = say_count(
        result.repeats,
        "The examination repeated once {who} (seed {seed}).",
        "The examination repeated {count} times {who} (seed {seed}).",
        who=who,
        seed=result.seed,
    )
    if result.repeats < result.wanted:
        stopped = say("Stopped before all {wanted} were done.", wanted=result.wanted)
        return f"{said} {stopped}"
    return said


def _unanswered(result: Reproduced) -> str:
    if not result.unanswered:
        return ""
    return say_count(
        result.unanswered,
        "1 question has no answer, in this visit or in any repeat: what it could change is not in"
        " these shares.",
        "{count} questions have no answer, in this visit or in any repeat: what they could change"
        " is not in these shares.",
    )


def _cautions(protocol: Protocol, result: Reproduced, width: int) -> Iterator[str]:
    yield from heading(say("Cautions"))
    raised = [one for one in result.cautions if one.raised]
    appearing = [one for one in result.cautions if not one.raised and _share_of_change(one)]
    if not raised and not appearing:
        yield from paragraph(say("None is raised, in this visit or in any repeat."), "  ", width)
    for one in raised:
        text = say(
            "{caution}: raised again in {share}",
            caution=_caution_name(protocol, one),
            share=share_words(one.same),
        )
        yield from paragraph(text, "  ! ", width)
    for one in sorted(appearing, key=lambda one: one.same.count):
        text = say(
            "{caution}: not raised in this visit, but in {share} of the repeats",
            caution=_caution_name(protocol, one),
            share=share_words(Share(one.same.repeats - one.same.count, one.same.repeats)),
        )
        yield from paragraph(text, "  · ", width)


def _share_of_change(one: CautionRepeated) -> int:
    return one.same.repeats - one.same.count


def _caution_name(protocol: Protocol, one: CautionRepeated) -> str:
    return with_side(protocol.cautions_by_id[one.id].title, one.side)


def _features(protocol: Protocol, result: Reproduced, width: int) -> Iterator[str]:
    yield from heading(say("The recommendation comes out the same in"))
    varying = [one for one in result.features if one.same.count < one.same.repeats]
    for one in sorted(varying, key=lambda one: one.same.count):
        yield from paragraph(_feature_words(protocol, one), "  ", width, hang=4)
    steady = [one for one in result.features if one.same.count == one.same.repeats]
    if steady:
        names = ", ".join(_feature_name(protocol, one) for one in steady)
        every = say("In every repeat: {names}.", names=names)
        yield from paragraph(every, "  ", width)


def _feature_words(protocol: Protocol, one: FeatureRepeated) -> str:
    text = say(
        "{share}  {feature}: {value}",
        share=share_words(one.same),
        feature=_feature_name(protocol, one),
        value=_value(protocol, one.id, one.recorded, one.status),
    )
    if one.other_share is None or one.other_status is None:
        return text
    other = say(
        "; else mostly {value} ({share})",
        value=_value(protocol, one.id, one.other, one.other_status),
        share=f"{_percent(one.other_share)} %",
    )
    return text + other


def share_words(share: Share) -> str:
    """Say a share with its Monte Carlo standard error: ``87.5 % ± 0.7``."""
    percent = _percent(share)
    if 0 < share.count < share.repeats:
        return f"{percent} % ± {number_words(share.standard_error * 100, 0.1)}"
    return f"{percent} %"


def _percent(share: Share) -> str:
    return number_words(share.share * 100, 0.1)


def _value(protocol: Protocol, name: str, value: Value | None, status: FeatureStatus) -> str:
    if value is None or status is not FeatureStatus.RECOMMENDED:
        return say(_STATUS_WORDS[status])
    return value_words(protocol.features_by_id[name], value)


def _feature_name(protocol: Protocol, one: FeatureRepeated) -> str:
    return with_side(protocol.features_by_id[one.id].title, one.side)


def _assumptions(protocol: Protocol, result: Reproduced, width: int) -> Iterator[str]:
    yield from heading(say("What this assumes"))
    for sentence in _MODEL:
        yield from paragraph(say(sentence), "  - ", width)
    yield from paragraph(
        say("The figure after ± is the Monte Carlo standard error of the share."), "  - ", width
    )
    for origin, words in _ORIGIN_WORDS.items():
        found = [one for one in result.agreements if one.origin is origin]
        if found:
            yield from paragraph(f"{say(words)}: {_tests(protocol, found)}.", "  ", width)
    for fault in result.faults:
        yield from paragraph(fault, "  ? ", width)


def _tests(protocol: Protocol, agreements: Sequence[Agreement]) -> str:
    """Name each test once, those with the same figure together."""
    by_figure: dict[str, list[str]] = {}
    for one in agreements:
        titles = by_figure.setdefault(one.words, [])
        title = protocol.tests_by_id[one.place.test].name
        if title not in titles:
            titles.append(title)
    parts = (
        f"{', '.join(titles)} ({words})" if words else ", ".join(titles)
        for words, titles in by_figure.items()
    )
    return "; ".join(parts)


def reproduction_data(protocol: Protocol, session: Session, result: Reproduced) -> dict[str, Any]:
    """Return the same as plain data."""
    return {
        "session": session.id,
        "protocol": protocol.identity.id,
        "disclaimer": protocol.identity.disclaimer,
        "repeats": result.repeats,
        "wanted": result.wanted,
        "seed": result.seed,
        "same_examiner": result.same_examiner,
        "unanswered": result.unanswered,
        "cautions": [
            {"id": one.id, "side": one.side.value, "raised": one.raised, **_share(one.same)}
            for one in result.cautions
        ],
        "features": [_feature_data(one) for one in result.features],
        "agreement": [
            {
                "test": one.place.test,
                "side": one.place.side.value,
                "place": place_words(protocol, one.place),
                "origin": one.origin.value,
                "figure": one.words or None,
            }
            for one in result.agreements
        ],
        "faults": list(result.faults),
    }


def _feature_data(one: FeatureRepeated) -> dict[str, Any]:
    return {
        "id": one.id,
        "side": one.side.value,
        "status": one.status.value,
        "value": one.recorded,
        **_share(one.same),
        "else_status": one.other_status.value if one.other_status else None,
        "else_value": one.other,
        "else_share": one.other_share.share if one.other_share else None,
    }


def _share(share: Share) -> dict[str, Any]:
    return {
        "same": share.count,
        "share": share.share,
        "standard_error": share.standard_error,
    }
