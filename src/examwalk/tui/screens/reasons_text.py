"""What the panel of reasons says about the row under the pointer."""

from collections.abc import Sequence

from examwalk.language import say
from examwalk.protocol.model import CheckSeverity, Condition, DeviceEffect, Feature
from examwalk.protocol.wording import unit_words
from examwalk.reasoning.deciding import (
    changed_by_rules,
    decision_on,
    has_changed_since,
    ordered_words,
)
from examwalk.reasoning.results import (
    AdviceGiven,
    CautionRaised,
    Collision,
    CrosscheckFired,
    DerivedResult,
    FeatureResult,
    FeatureStatus,
    MissingFinding,
    TraceStep,
)
from examwalk.report.dates import time_words
from examwalk.report.grounds import (
    CLASS_WORDS,
    basis_words,
    capitalised,
    places_words,
    sentence,
    standing_words,
)
from examwalk.report.shell_text import sentences_for
from examwalk.report.words import place_words
from examwalk.session.model import Decision, Place, Reply, Side
from examwalk.tui.screens.words import (
    CAUTION_SIGN,
    COLLISION_SIGN,
    DEVICE_WORDS,
    DONE_SIGN,
    Outcome,
    finding_words,
)
from examwalk.tui.sides import with_side
from examwalk.tui.text import Part, filled, phrase
from examwalk.tui.widgets.alerts import SIGNS
from examwalk.tui.widgets.lines import Line

STEP = 3
"""How far the text of a numbered step stands in."""


def feature_lines(outcome: Outcome, result: FeatureResult) -> list[Line]:
    """Say why a feature has its value, what was ordered, and what could still change it."""
    feature = outcome.protocol.features_by_id[result.id]
    decision = decision_on(outcome.session, result.id, result.side)
    lines = [_title(result.title, result.side)]
    lines += _status(outcome, result)
    if decision is not None:
        lines += _ordered(feature, result, decision)
    for collision in outcome.summary.collisions:
        if (collision.feature, collision.side) == (result.id, result.side):
            lines += _collision(collision)
    for number, step in enumerate(result.trace, 1):
        lines += _step(outcome, number, step)
    if result.missing and result.status is FeatureStatus.RECOMMENDED:
        lines.append(
            _labelled(
                say("Could still change with"), places_words(outcome.protocol, result.missing)
            )
        )
    shell = sentences_for(outcome.protocol, outcome.session, outcome.summary, result)
    lines += [_plain(text) for text in shell]
    if feature.about:
        lines.append(Line(phrase((feature.about, "$dim"))))
    return lines


def _status(outcome: Outcome, result: FeatureResult) -> list[Line]:
    if result.status is FeatureStatus.WAITING:
        waiting = places_words(outcome.protocol, result.missing)
        return [
            _plain(say("No value is given yet: what it hangs on is not answered.")),
            _labelled(say("Waiting for"), waiting or say("the answers named in the rules below")),
        ]
    if result.status is FeatureStatus.NOT_APPLICABLE:
        return _not_applicable(outcome, result)
    standing = sentence(standing_words(result.standing))
    recommended = (
        say("Recommended: {value}, {standing}")
        if changed_by_rules(result)
        else say("Recommended: {value}, where it starts; {standing}")
    )
    return [Line(filled(recommended, value=(result.words, "bold"), standing=standing))]


def _not_applicable(outcome: Outcome, result: FeatureResult) -> list[Line]:
    lines = [_plain(say("Does not apply with what has been found and recommended so far."))]
    condition = outcome.protocol.features_by_id[result.id].applies_when
    for feature_id in features_named(condition) if condition else ():
        other = outcome.summary.feature(feature_id, result.side)
        lines.append(
            _labelled(say("It hangs on"), f"{with_side(other.title, other.side)}: {other.words}")
        )
    return lines + _grounds(outcome, result.findings, ())


def features_named(condition: Condition) -> tuple[str, ...]:
    """Return the features that a condition asks about, each once."""
    named = [condition.feature] if condition.feature else []
    inner = [*(condition.all or ()), *(condition.any or ()), *(condition.count or ())]
    if condition.not_ is not None:
        inner.append(condition.not_)
    for part in inner:
        named += features_named(part)
    return tuple(dict.fromkeys(named))


def _ordered(feature: Feature, result: FeatureResult, decision: Decision) -> list[Line]:
    words = ordered_words(feature, decision.value)
    because = say(", because: {reason}", reason=sentence(decision.because))
    lines = [
        Line(
            phrase(
                (f"{DONE_SIGN} {say('Ordered')}: ", "$here"),
                (words, "bold"),
                because if decision.because else ".",
                (f" {time_words(decision.at)}", "$dim"),
            ),
            hang=2,
        )
    ]
    if has_changed_since(result, decision):
        lines.append(_warning(_changed_since(feature, decision)))
    return lines


def _changed_since(feature: Feature, decision: Decision) -> str:
    if decision.recommended is None:
        return say("The recommendation has changed since: there was none when this was ordered.")
    return say(
        "The recommendation has changed since: it was {value} when this was ordered.",
        value=ordered_words(feature, decision.recommended),
    )


def _step(outcome: Outcome, number: int, step: TraceStep) -> list[Line]:
    changes = f": {step.before} → {step.after}" if step.changed else ""
    before_after = changes or f", {say('changes nothing here')}"
    protects = f" · {say(CLASS_WORDS[step.class_])}" if step.class_ else ""
    lines = [
        Line(
            phrase(
                f"{number}".ljust(STEP),
                (step.did, "bold" if step.changed else ""),
                before_after,
                (protects, "$dim"),
            ),
            hang=STEP,
        )
    ]
    if step.because:
        lines.append(_plain(sentence(step.because), STEP))
    if step.findings:
        found = "; ".join(finding_words(outcome, place) for place in step.findings)
        lines.append(_labelled(say("Found"), found, STEP))
    if step.basis:
        lines.append(_quiet(basis_words(outcome.protocol, step.basis), STEP))
    return lines


def caution_lines(outcome: Outcome, caution: CautionRaised) -> list[Line]:
    """Say what a caution means, whom to refer to and which findings raise it."""
    is_raised = not caution.missing
    lines = [_title(caution.title, caution.side)]
    if not is_raised:
        lines.append(
            _labelled(
                say("Not excluded before these are answered"),
                places_words(outcome.protocol, caution.missing),
            )
        )
    urgency = [caution.urgency_words, say(DEVICE_WORDS[caution.device])]
    style = "bold $stop" if caution.device is DeviceEffect.STOP else "bold $warn"
    words = " · ".join(part for part in urgency if part)
    lines.append(Line(phrase((f"{CAUTION_SIGN} {words}", style)), hang=2))
    if caution.refer_to:
        lines.append(_labelled(say("Refer to"), caution.refer_to))
    if_it_holds = say("If it holds: {says}", says=caution.says)
    lines.append(_plain(caution.says if is_raised else if_it_holds))
    return lines + _grounds(outcome, caution.findings, caution.basis)


def crosscheck_lines(
    outcome: Outcome, crosscheck: CrosscheckFired, reply: Reply | None
) -> list[Line]:
    """Say why findings do not fit, what to look at again and what was replied."""
    sign, style = SIGNS[crosscheck.severity]
    lines = [Line(phrase((with_side(say(sign), crosscheck.side), style))), _plain(crosscheck.says)]
    if crosscheck.why:
        lines.append(_plain(crosscheck.why))
    if crosscheck.recheck:
        places = (
            f"{number} {place_words(outcome.protocol, place)}"
            for number, place in enumerate(crosscheck.recheck, 1)
        )
        lines.append(_labelled(say("Look again at"), "; ".join(places)))
    if reply is not None:
        lines.append(
            Line(
                phrase(
                    (f"{DONE_SIGN} {say('Replied')}: ", "$here"),
                    sentence(reply.says),
                    (f" {time_words(reply.at)}", "$dim"),
                ),
                hang=2,
            )
        )
    elif crosscheck.severity is not CheckSeverity.LOOK_AGAIN:
        lines.append(_quiet(say("Look again, or reply (n) why both findings stand.")))
    return lines + _grounds(outcome, crosscheck.findings, crosscheck.basis)


def missing_lines(outcome: Outcome, group: Sequence[MissingFinding]) -> list[Line]:
    """Say what an unanswered test, on one side or both, could still raise or change."""
    missing = group[0]
    places = [one.place for one in group]
    lines = [_title(places_words(outcome.protocol, places), Side.WHOLE)]
    test = outcome.protocol.tests_by_id.get(missing.place.test)
    not_done = say("Not done: {reason}.", reason=missing.reason)
    lines.append(_plain(not_done if missing.reason else say("Not reached yet.")))
    if test is not None and test.safety:
        lines.append(
            _warning(say("A safety question: no device is advised before it is answered."))
        )
    if missing.could_raise:
        lines.append(_labelled(say("Without it not excluded"), "; ".join(missing.could_raise)))
    if missing.could_change:
        lines.append(_labelled(say("It could change"), "; ".join(missing.could_change)))
    if not (missing.could_raise or missing.could_change):
        lines.append(_plain(say("With the answers so far it would change no recommendation.")))
    if test is not None and test.why:
        lines.append(_quiet(test.why))
    return lines


def collision_lines(outcome: Outcome, collision: Collision) -> list[Line]:
    """Say which rules cannot both be followed and what stands for now."""
    lines = [_title(collision.title, collision.side), *_collision(collision)]
    for rule in outcome.protocol.rules:
        if rule.id in collision.rules:
            lines.append(
                Line(
                    phrase(
                        "· ", sentence(rule.because), (f" {say(CLASS_WORDS[rule.class_])}", "$dim")
                    ),
                    0,
                    2,
                )
            )
            if rule.basis:
                lines.append(_quiet(basis_words(outcome.protocol, rule.basis), 2))
    return lines


def _collision(collision: Collision) -> list[Line]:
    says = _plain(collision.says.replace(".; ", "; "), 2)
    if collision.needs_decision:
        heading = say(
            "Rules collide, yours to decide. For now {value} stands.", value=collision.stands
        )
        return [_warning(heading), says]
    return [
        _plain(say("Rules collide; the stronger class wins: {value}.", value=collision.stands)),
        says,
    ]


def advice_lines(outcome: Outcome, advice: AdviceGiven) -> list[Line]:
    """Say the advice in full and what it rests on."""
    lines = [_title(capitalised(advice.kind), advice.side), _plain(advice.says)]
    return lines + _grounds(outcome, advice.findings, advice.basis)


def derived_lines(outcome: Outcome, derived: DerivedResult) -> list[Line]:
    """Say what a derived value was computed from."""
    lines = [_title(derived.title, derived.side), _plain(derived_words(derived))]
    if derived.because:
        lines.append(_plain(sentence(derived.because)))
    if derived.missing:
        lines.append(
            _labelled(say("Not answered"), places_words(outcome.protocol, derived.missing))
        )
    return lines + _grounds(outcome, derived.inputs, derived.basis)


def _number(derived: DerivedResult, value: float) -> str:
    return f"{value:.{derived.decimals}f}".replace("-", "−")


def derived_words(derived: DerivedResult) -> str:
    """Write a derived value: settled, known within bounds, or not known."""
    if derived.value is not None:
        number = _number(derived, derived.value)
    elif derived.low is not None and derived.high is not None and derived.inputs:
        low, high = (_number(derived, bound) for bound in (derived.low, derived.high))
        number = say("{low} to {high}", low=low, high=high)
    else:
        return say("not known yet")
    unit = derived.unit if derived.value is None else unit_words(derived, derived.value)
    unit = unit if unit in ("°", "%") else f" {unit}".rstrip()
    figure = f"{number}{unit}"
    return f"{figure}, {derived.band}" if derived.band else figure


def _grounds(outcome: Outcome, findings: Sequence[Place], basis: Sequence[str]) -> list[Line]:
    lines = [
        Line(phrase((f"{say('Found')} ", "$dim"), finding_words(outcome, place)), hang=2)
        for place in findings
    ]
    if basis:
        lines.append(_quiet(basis_words(outcome.protocol, basis)))
    return lines


def _title(title: str, side: Side) -> Line:
    return Line(phrase((with_side(title, side), "bold")))


def _plain(text: str, indent: int = 0) -> Line:
    return Line(phrase(text), indent)


def _quiet(text: str, indent: int = 0) -> Line:
    return Line(phrase((text, "$dim")), indent)


def _warning(text: str) -> Line:
    return Line(phrase((f"{COLLISION_SIGN} ", "bold $warn"), text), hang=2)


def _labelled(label: str, text: str, indent: int = 0) -> Line:
    parts: tuple[Part, ...] = ((f"{label}: ", "$dim"), sentence(text))
    return Line(phrase(*parts), indent)
