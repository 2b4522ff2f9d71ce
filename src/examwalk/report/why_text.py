"""Why a feature has its value: a chain that can be read, the same on screens and in print."""

from collections.abc import Sequence

from attrs import frozen

from examwalk.dates import time_words
from examwalk.language import say
from examwalk.protocol.condition_model import Condition
from examwalk.protocol.feature_model import Feature, FeatureKind, LookedUp
from examwalk.protocol.model import Protocol
from examwalk.reasoning.deciding import (
    changed_by_rules,
    has_changed_since,
    ordered_words,
    range_words,
)
from examwalk.reasoning.explaining import derived_behind
from examwalk.reasoning.mentions import parts_of
from examwalk.reasoning.results import (
    Collision,
    DerivedAt,
    FeatureResult,
    FeatureStatus,
    Summary,
    TraceStep,
)
from examwalk.reasoning.settling import value_words
from examwalk.report.grounds import (
    CLASS_WORDS,
    basis_words,
    places_words,
    sentence,
    standing_words,
)
from examwalk.report.said import (
    Part,
    Said,
    Stress,
    labelled,
    put_in,
    quiet,
    said,
    strong,
    warning,
)
from examwalk.report.shell_text import sentences_for
from examwalk.report.sides import with_side
from examwalk.report.words import derived_at_words, finding_words
from examwalk.session.model import Decision, Place, Session, Side

DONE_SIGN = "●"
STEP = 3
"""How far the text of a numbered step stands in."""


@frozen
class Visit:
    """A visit with its protocol and everything that follows from it."""

    protocol: Protocol
    session: Session
    summary: Summary


def feature_told(visit: Visit, result: FeatureResult, standing: Sequence[Said] = ()) -> list[Said]:
    """Say a feature's value, what was ordered, each rule at work, and what could change it.

    Args:
        visit: the visit.
        result: the feature on a side.
        standing: says on which findings the value hangs, where that was worked out.
    """
    return [
        *_head(visit, result),
        *standing,
        *(
            paragraph
            for number, step in enumerate(result.trace, 1)
            for paragraph in _step(visit, number, step, _findings_of(visit, step))
        ),
        *_tail(visit, result),
    ]


def why_told(visit: Visit, result: FeatureResult) -> list[Said]:
    """Say the whole chain: findings, what is worked out from them, start, each rule, value."""
    lines = _head(visit, result)
    if result.status is not FeatureStatus.RECOMMENDED:
        return lines + _tail(visit, result)
    lines += _worked_out(visit, result)
    lines.append(said(_where_it_starts(visit.protocol.features_by_id[result.id])))
    for number, step in enumerate(result.trace, 1):
        grounds = direct_grounds(visit, step.rule, step.findings, step.through)
        lines += _step(visit, number, step, grounds)
    if not result.trace:
        lines.append(said(say("No rule applies to it with what has been found.")))
    lines.append(said(*put_in(say("So: {value}."), value=strong(result.words))))
    return lines + _tail(visit, result)


def _head(visit: Visit, result: FeatureResult) -> list[Said]:
    feature = visit.protocol.features_by_id[result.id]
    decision = visit.session.decision(result.id, result.side)
    lines = [title(result.title, result.side), *_status(visit, result)]
    if decision is not None:
        lines += _ordered(feature, result, decision)
    for collision in visit.summary.collisions:
        if (collision.feature, collision.side) == (result.id, result.side):
            lines += collision_told(collision)
    return lines


def _tail(visit: Visit, result: FeatureResult) -> list[Said]:
    about = visit.protocol.features_by_id[result.id].about
    lines = []
    if result.missing and result.status is FeatureStatus.RECOMMENDED:
        places = places_words(visit.protocol, result.missing)
        lines.append(labelled(say("Could still change with"), places))
    shell = sentences_for(visit.protocol, visit.session, visit.summary, result)
    lines += [said(text) for text in shell]
    if about:
        lines.append(said(quiet(about)))
    return lines


def _status(visit: Visit, result: FeatureResult) -> list[Said]:
    if result.status is FeatureStatus.WAITING:
        waiting = places_words(visit.protocol, result.missing)
        return [
            said(say("No value is given yet: what it hangs on is not answered.")),
            labelled(say("Waiting for"), waiting or say("the answers named in the rules below")),
        ]
    if result.status is FeatureStatus.NOT_APPLICABLE:
        return _not_applicable(visit, result)
    standing = sentence(standing_words(result.standing))
    recommended = (
        say("Recommended: {value}, {standing}")
        if changed_by_rules(result)
        else say("Recommended: {value}, where it starts; {standing}")
    )
    return [said(*put_in(recommended, value=strong(result.words), standing=standing))]


def _not_applicable(visit: Visit, result: FeatureResult) -> list[Said]:
    lines = [said(say("Does not apply with what has been found and recommended so far."))]
    condition = visit.protocol.features_by_id[result.id].applies_when
    for feature_id in features_named(condition) if condition else ():
        other = visit.summary.feature(feature_id, result.side)
        lines.append(
            labelled(say("It hangs on"), f"{with_side(other.title, other.side)}: {other.words}")
        )
    return lines + grounds_told(visit, result.findings, ())


def features_named(condition: Condition) -> tuple[str, ...]:
    """Return the features that a condition asks about, each once."""
    named = [condition.feature] if condition.feature else []
    inner = [*(condition.all or ()), *(condition.any or ()), *(condition.count or ())]
    if condition.not_ is not None:
        inner.append(condition.not_)
    for part in inner:
        named += features_named(part)
    return tuple(dict.fromkeys(named))


def _ordered(feature: Feature, result: FeatureResult, decision: Decision) -> list[Said]:
    words = ordered_words(feature, decision.value)
    because = say(", because: {reason}", reason=sentence(decision.because))
    lines = [
        said(
            Part(f"{DONE_SIGN} {say('Ordered')}: ", Stress.DONE),
            strong(words),
            because if decision.because else ".",
            quiet(f" {time_words(decision.at)}"),
            hang=2,
        )
    ]
    if has_changed_since(result, decision):
        lines.append(warning(_changed_since(feature, decision)))
    return lines


def _changed_since(feature: Feature, decision: Decision) -> str:
    if decision.recommended is None:
        return say("The recommendation has changed since: there was none when this was ordered.")
    return say(
        "The recommendation has changed since: it was {value} when this was ordered.",
        value=ordered_words(feature, decision.recommended),
    )


def _worked_out(visit: Visit, result: FeatureResult) -> list[Said]:
    """Say each derived value that leads to the feature, with the findings it takes up first."""
    lines: list[Said] = []
    told: set[Place] = set()
    for one in derived_behind(visit.protocol, visit.summary, result):
        if one.internal and not one.because:
            continue
        new = [place for place in one.inputs if place not in told]
        told |= set(new)
        lines.append(said(strong(sentence(derived_at_words(one))), indent=STEP))
        if new:
            found = "; ".join(_found(visit, place) for place in new)
            lines.append(labelled(say("Found"), found, STEP + STEP))
    return [said(say("Worked out from the findings:")), *lines] if lines else []


def _where_it_starts(feature: Feature) -> str:
    """Say where a feature starts before any rule acts, and which values it can have."""
    start = feature.start if isinstance(feature.start, str) else float(feature.start)
    return say(
        "It starts at {value}. Possible: {range}.",
        value=value_words(feature, start),
        range=possible_words(feature),
    )


def possible_words(feature: Feature) -> str:
    """Say which values a feature can have: its options, or its range and step."""
    if feature.kind is FeatureKind.AMOUNT:
        return range_words(feature)
    return "; ".join(option.label for option in feature.options.values())


def direct_grounds(
    visit: Visit, rule_id: str, findings: Sequence[Place], through: Sequence[DerivedAt]
) -> tuple[str, ...]:
    """Say what a rule itself looks at: derived values, and findings that none of them took up."""
    rule = next((one for one in visit.protocol.rules if one.id == rule_id), None)
    if rule is None:
        return tuple(_found(visit, place) for place in findings)
    names = {part.derived for part in parts_of(rule.when)} if rule.when else set()
    names |= {
        value.derived
        for effect in rule.effects
        for value in (effect.start, effect.add, effect.at_least, effect.at_most)
        if isinstance(value, LookedUp)
    }
    behind = [one for one in visit.summary.derived if (one.id, one.side) in set(through)]
    taken_up = {place for one in behind for place in one.inputs}
    own = {part.test for part in parts_of(rule.when)} if rule.when else set()
    return (
        *(derived_at_words(one) for one in behind if one.id in names),
        *(_found(visit, place) for place in findings if place.test in own or place not in taken_up),
    )


def _findings_of(visit: Visit, step: TraceStep) -> tuple[str, ...]:
    return tuple(_found(visit, place) for place in step.findings)


def _step(visit: Visit, number: int, step: TraceStep, grounds: Sequence[str]) -> list[Said]:
    changes = f": {step.before} → {step.after}" if step.changed else ""
    before_after = changes or f", {say('changes nothing here')}"
    protects = f" · {say(CLASS_WORDS[step.class_])}" if step.class_ else ""
    lines = [
        said(
            f"{number}".ljust(STEP),
            Part(step.did, Stress.STRONG if step.changed else Stress.PLAIN),
            before_after,
            quiet(protects),
            hang=STEP,
        )
    ]
    if step.because:
        lines.append(said(sentence(step.because), indent=STEP))
    if grounds:
        lines.append(labelled(say("Found"), "; ".join(grounds), STEP))
    if step.basis:
        lines.append(said(quiet(basis_words(visit.protocol, step.basis)), indent=STEP))
    return lines


def collision_told(collision: Collision) -> list[Said]:
    """Say which rules cannot both be followed and what stands for now."""
    says = said(collision.says.replace(".; ", "; "), indent=2)
    if collision.needs_decision:
        heading = say(
            "Rules collide, yours to decide. For now {value} stands.", value=collision.stands
        )
        return [warning(heading), says]
    stronger = say("Rules collide; the stronger class wins: {value}.", value=collision.stands)
    return [said(stronger), says]


def grounds_told(visit: Visit, findings: Sequence[Place], basis: Sequence[str]) -> list[Said]:
    """Say the findings that something rests on, one a line, and its sources."""
    lines = [said(quiet(f"{say('Found')} "), _found(visit, place), hang=2) for place in findings]
    if basis:
        lines.append(said(quiet(basis_words(visit.protocol, basis))))
    return lines


def _found(visit: Visit, place: Place) -> str:
    return finding_words(visit.protocol, visit.session, place)


def title(text: str, side: Side) -> Said:
    """Name what is told of, with its side."""
    return said(strong(with_side(text, side)))
