"""What the panel of reasons says about the row under the pointer."""

from collections.abc import Sequence

from examwalk.dates import time_words
from examwalk.language import say
from examwalk.protocol.caution_model import CheckSeverity
from examwalk.protocol.condition_model import DeviceEffect
from examwalk.protocol.wording import unit_words
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.norms import Referenced, references_of
from examwalk.reasoning.results import (
    AdviceGiven,
    CautionRaised,
    Collision,
    CrosscheckFired,
    DerivedResult,
    FeatureResult,
    MissingFinding,
)
from examwalk.report import words
from examwalk.report.grounds import (
    CLASS_WORDS,
    basis_words,
    capitalised,
    places_words,
    sentence,
)
from examwalk.report.norm_words import reference_told
from examwalk.report.said import Said, Stress, labelled, warning
from examwalk.report.sides import with_side
from examwalk.report.why_text import (
    Visit,
    collision_told,
    feature_told,
    grounds_told,
    title,
)
from examwalk.report.words import place_words
from examwalk.session.model import Place, Reply, Side
from examwalk.tui.screens.outlook_text import standing_told, taken_away_lines, worth_lines
from examwalk.tui.screens.words import (
    CAUTION_SIGN,
    DEVICE_WORDS,
    Outcome,
    replied_part,
)
from examwalk.tui.text import phrase
from examwalk.tui.widgets.alerts import SIGNS
from examwalk.tui.widgets.lines import Line

STYLES = {
    Stress.PLAIN: "",
    Stress.STRONG: "bold",
    Stress.QUIET: "$dim",
    Stress.WARNING: "bold $warn",
    Stress.DONE: "$here",
}


def lines_of(paragraphs: Sequence[Said]) -> list[Line]:
    """Lay out what is said alike on screens and in print."""
    return [
        Line(
            phrase(*((part.text, STYLES[part.stress]) for part in one.parts)),
            one.indent,
            one.hang,
        )
        for one in paragraphs
    ]


def visit_of(outcome: Outcome) -> Visit:
    """Return the visit as the reports take it."""
    return Visit(outcome.protocol, outcome.session, outcome.summary)


def feature_lines(outcome: Outcome, result: FeatureResult) -> list[Line]:
    """Say why a feature has its value, what was ordered, and what could still change it."""
    standing = standing_told(outcome, result)
    return lines_of(feature_told(visit_of(outcome), result, standing))


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
    lines += taken_away_lines(outcome, caution)
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
    is_outdated = reply is not None and outcome.session.is_outdated(reply, crosscheck.findings)
    if reply is not None:
        lines.append(
            Line(
                phrase(
                    replied_part(outcome, crosscheck, reply),
                    sentence(reply.says),
                    (f" {time_words(reply.at)}", "$dim"),
                ),
                hang=2,
            )
        )
    if (reply is None or is_outdated) and crosscheck.severity is not CheckSeverity.LOOK_AGAIN:
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
    lines += worth_lines(outcome, places)
    if test is not None and test.why:
        lines.append(_quiet(test.why))
    return lines


def collision_lines(outcome: Outcome, collision: Collision) -> list[Line]:
    """Say which rules cannot both be followed and what stands for now."""
    lines = [_title(collision.title, collision.side), *lines_of(collision_told(collision))]
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
    lines += _against_references(outcome, derived)
    return lines + _grounds(outcome, derived.inputs, derived.basis)


def _against_references(outcome: Outcome, derived: DerivedResult) -> list[Line]:
    references = references_of(case_of(outcome.protocol, outcome.session))
    own = [one for one in references if (one.id, one.side) == (derived.id, derived.side)]
    return [line for one in own for line in lines_of(reference_told(outcome.protocol, [one]))]


def reference_lines(outcome: Outcome, one: Referenced) -> list[Line]:
    """Say where a measured number lies among the people of its references."""
    test = outcome.protocol.tests_by_id[one.id]
    found = words.finding_words(outcome.protocol, outcome.session, Place(one.id, one.side))
    lines = [_title(test.title, one.side), _plain(sentence(found))]
    return lines + lines_of(reference_told(outcome.protocol, [one]))


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
    return lines_of(grounds_told(visit_of(outcome), findings, basis))


def _title(text: str, side: Side) -> Line:
    return lines_of([title(text, side)])[0]


def _plain(text: str, indent: int = 0) -> Line:
    return Line(phrase(text), indent)


def _quiet(text: str, indent: int = 0) -> Line:
    return Line(phrase((text, "$dim")), indent)


def _warning(text: str) -> Line:
    return lines_of([warning(text)])[0]


def _labelled(label: str, text: str) -> Line:
    return lines_of([labelled(label, text)])[0]
