"""What stands between a feature and a value that was expected, in words."""

from collections.abc import Iterator

from examwalk.language import say, say_count
from examwalk.protocol.wording import answer_words
from examwalk.reasoning.case import Case
from examwalk.reasoning.conditions_met import SettledFeatures
from examwalk.reasoning.explaining import MOST_TURNED, Turned, Way, WhyNot
from examwalk.reasoning.lacking import Lacking, Unmet
from examwalk.reasoning.results import FeatureStatus
from examwalk.reasoning.settling import value_words
from examwalk.report.condition_words import Settings, unmet_words
from examwalk.report.grounds import CLASS_WORDS, places_words, sentence
from examwalk.report.said import Said, put_in, quiet, said, strong
from examwalk.report.sides import with_side
from examwalk.report.why_text import Visit, direct_grounds, possible_words
from examwalk.report.words import finding_words
from examwalk.session.model import Answer, Place

DOT = "· "


def why_not_told(visit: Visit, case: Case, seen: SettledFeatures, why: WhyNot) -> list[Said]:
    """Say what stands between a feature and the value that was asked about.

    Args:
        visit: the visit with everything that follows from it.
        case: its findings under its protocol.
        seen: the features as they are settled and ordered.
        why: what was found out about the value.
    """
    feature, result = why.feature, why.result
    value = value_words(feature, why.value)
    name = with_side(result.title, result.side)
    lines = [said(*put_in(say("{feature}: why not {value}?"), feature=name, value=strong(value)))]
    where = Settings(case, seen)
    if result.status is FeatureStatus.WAITING:
        places = places_words(visit.protocol, result.missing)
        waits = say("It has no value yet. It waits for: {places}.", places=places)
        return [*lines, said(waits)]
    if result.status is FeatureStatus.NOT_APPLICABLE:
        lines.append(said(say("It does not apply here at all.")))
        return lines + (_lacks(where, why.lacks, 0) if why.lacks else [])
    if why.is_it:
        return [*lines, said(say("It is what is recommended."))]
    now = say("Recommended is {value}.")
    lines.append(said(*put_in(now, value=strong(result.words))))
    lines += list(_after_the_rules(why))
    for way in why.ways:
        lines += _way(visit, where, way, value)
    if why.more_ways:
        more = say_count(
            why.more_ways, "{count} further way is as short.", "{count} further ways are as short."
        )
        lines.append(said(quiet(more)))
    if not why.ways and not why.gave_way:
        lines += _no_way(why, value)
    return lines + list(_instead(visit, why, value))


def _after_the_rules(why: WhyNot) -> Iterator[Said]:
    """Say what took a value away that the rules of this foot had given."""
    for step in why.gave_way:
        text = say(
            "By its own rules it would be {value}; then: {did}.", value=step.before, did=step.did
        )
        yield said(f"{text} {sentence(step.because)}")


def _no_way(why: WhyNot, value: str) -> list[Said]:
    none = say(
        "No rules lead to {value}, even if up to {count} of them applied or did not; only the"
        " clinician can order it.",
        value=value,
        count=MOST_TURNED,
    )
    possible = say("Possible: {range}.", range=possible_words(why.feature))
    return [said(none), said(quiet(possible))]


def _way(visit: Visit, where: Settings, way: Way, value: str) -> list[Said]:
    if len(way.turned) > 1:
        head = say("It would be {value} if all of this were so:", value=value)
    elif way.turned[0].acting.verdict.holds:
        head = say("It would be {value} if this rule did not apply:", value=value)
    else:
        head = say("It would be {value} if this rule applied:", value=value)
    lines = [said(head)]
    for one in way.turned:
        lines += _turned(visit, where, one, alone=len(way.turned) == 1)
    return lines


def _turned(visit: Visit, where: Settings, one: Turned, *, alone: bool) -> list[Said]:
    acts = one.acting.verdict.holds
    lifted, holding = say("this rule did not apply: "), say("this rule applied: ")
    case = "" if alone else (lifted if acts else holding)
    rule = one.acting.rule
    lines = [
        said(
            DOT,
            case,
            strong(one.words),
            f". {sentence(rule.because)}",
            quiet(f" {say(CLASS_WORDS[rule.class_])}"),
            indent=2,
            hang=2,
        )
    ]
    if acts:
        verdict = one.acting.verdict
        found = "; ".join(direct_grounds(visit, rule.id, verdict.findings, verdict.through))
        if found:
            lines.append(
                said(quiet(f"{say('It applies because of')}: "), sentence(found), indent=4)
            )
    elif one.lacks is not None:
        lines += _lacks(where, one.lacks, 4)
    return lines


def _lacks(where: Settings, lacks: Lacking, indent: int, *, within: bool = False) -> list[Said]:
    """List what is lacking; alternatives, and what belongs together within one, are headed."""
    lines = []
    if len(lacks.parts) > 1 and (within or not lacks.all_needed):
        head = (
            say("All of these:")
            if lacks.all_needed
            else say_count(lacks.needed, "Any one of these:", "{count} of these:")
        )
        lines.append(said(head, indent=indent))
        indent += 2
    for part in lacks.parts:
        if isinstance(part, Unmet):
            text = sentence(unmet_words(where, part))
            lines.append(said("– ", text, indent=indent, hang=2))
        else:
            lines += _lacks(where, part, indent, within=True)
    return lines


def _instead(visit: Visit, why: WhyNot, value: str) -> Iterator[Said]:
    """Say with which other findings it really would be the value; each was reasoned anew."""
    if not why.instead:
        if why.ways:
            none = say(
                "The search found no other findings that would make it {value}.", value=value
            )
            yield said(quiet(none))
        return
    yield said(say("Reasoned anew, it would be {value} with one of these in place:", value=value))
    for one in why.instead:
        changes = say(" and ").join(
            f"{finding_words(visit.protocol, visit.session, place)}"
            f" → {_answer_words(visit, place, answer)}"
            for place, answer in one.answers.items()
        )
        yield said(DOT, sentence(changes), indent=2, hang=2)


def _answer_words(visit: Visit, place: Place, answer: Answer) -> str:
    return answer_words(visit.protocol, visit.protocol.tests_by_id[place.test], answer)
