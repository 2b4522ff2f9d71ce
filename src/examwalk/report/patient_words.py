"""What a protocol says to the patient about one visit: findings, cautions, device and advice."""

from collections.abc import Iterable, Iterator

from examwalk.language import later, say
from examwalk.protocol.feature_model import Feature
from examwalk.protocol.model import Protocol
from examwalk.protocol.patient_model import PatientSection, WearingIn
from examwalk.reasoning.results import AdviceGiven, FeatureResult, FeatureStatus
from examwalk.report.document import Listing, Tone, Words
from examwalk.report.page_parts import Told, decision_at
from examwalk.report.telling import telling_derived, telling_findings
from examwalk.report.words import REVIEW_FEATURE, ordered_value_words
from examwalk.session.model import BOTH_FEET, Side

Said = tuple[Side, str]
"""A text for the patient, and the side it is about."""

_SIDES = {Side.LEFT: later("On the left"), Side.RIGHT: later("On the right")}


def on_sides(said: Iterable[Said]) -> tuple[tuple[str, str], ...]:
    """Return each text once with the side it is about; nothing is named for the whole person."""
    sides: dict[str, list[Side]] = {}
    for side, text in said:
        sides.setdefault(text, []).append(side)
    return tuple((_where(of), text) for text, of in sides.items())


def _where(sides: list[Side]) -> str:
    if Side.WHOLE in sides:
        return ""
    return say("On both sides") if set(sides) == set(BOTH_FEET) else say(_SIDES[sides[0]])


def by_sides(said: Iterable[Said]) -> tuple[Words | Listing, ...]:
    """Return texts as lists: those on the whole first, then on both sides, left, right."""
    texts = on_sides(said)
    blocks: list[Words | Listing] = []
    for where in ("", say("On both sides"), *(say(one) for one in _SIDES.values())):
        items = tuple(text for of, text in texts if of == where)
        if items:
            blocks += [Words(where, Tone.STRONG)] if where else []
            blocks.append(Listing(items))
    return tuple(blocks)


def with_sides(said: Iterable[Said]) -> tuple[str, ...]:
    """Return texts with the side each is about in front: ``On the left: …``."""
    return tuple(f"{where}: {text}" if where else text for where, text in on_sides(said))


def found_for_patient(told: Told) -> Iterator[Said]:
    """Return what was found, as far as the protocol has words for the patient."""
    yield from ((place.side, text) for place, text in telling_findings(told))
    yield from ((result.side, text) for result, text in telling_derived(told))


def cautions_for_patient(told: Told) -> Iterator[Said]:
    """Return what the patient must know, the most urgent first, with how soon unless routine."""
    pressing = tuple(told.protocol.urgencies)[:-1]
    for raised in told.summary.cautions:
        text = told.protocol.cautions_by_id[raised.id].for_patient or raised.title
        if raised.urgency in pressing:
            text = f"{text}\n{say('How soon: {urgency}', urgency=raised.urgency_words)}"
        if raised.urgency in pressing[1:]:
            # What is most urgent waits for no call to the clinic.
            text = f"{text}. {say('If you have no date for it yet, call us.')}"
        yield raised.side, text


def device_for_patient(told: Told) -> Iterator[Said]:
    """Return what the device is and does, from the ordered value or else the recommended one."""
    for result in told.summary.features:
        feature = told.protocol.features_by_id[result.id]
        if result.id != REVIEW_FEATURE and not _is_plan(feature):
            yield from _feature_words(told, result)


def _feature_words(told: Told, result: FeatureResult) -> Iterator[Said]:
    feature, value = told.protocol.features_by_id[result.id], settled_value(told, result)
    if value is None or value == 0:
        return
    option = feature.options.get(str(value))
    own = option.for_patient if option else None
    text = own if own is not None else feature.for_patient
    if text is None:
        text = f"{feature.title}: {ordered_value_words(feature, value)}"
    if text:
        yield result.side, text


def settled_value(told: Told, result: FeatureResult) -> str | float | None:
    """Return what was ordered for a feature, else what is recommended, else nothing."""
    if result.status is FeatureStatus.NOT_APPLICABLE:
        return None
    decision = decision_at(told.session, result)
    return decision.value if decision else result.value


def _is_plan(feature: Feature) -> bool:
    return any(one.wearing_in for one in feature.options.values())


def wearing_plan(told: Told) -> tuple[tuple[Said, ...], WearingIn | None]:
    """Return what is said about wearing the device in, and for how long on each day."""
    for result in told.summary.features:
        feature, value = told.protocol.features_by_id[result.id], settled_value(told, result)
        if _is_plan(feature) and value is not None:
            option = feature.options.get(str(value))
            return tuple(_feature_words(told, result)), option.wearing_in if option else None
    return (), None


def advice_for_patient(told: Told, section: PatientSection) -> tuple[Said, ...]:
    """Return the advice of one section, as far as the protocol has words for the patient."""
    return tuple(
        (given.side, text)
        for given in told.summary.advice
        if (text := _advice_words(told.protocol, given, section))
    )


def _advice_words(protocol: Protocol, given: AdviceGiven, section: PatientSection) -> str | None:
    own = next(one for one in protocol.advice if one.id == given.id)
    return own.for_patient if own.patient_section is section else None


def unworded_advice(told: Told) -> tuple[str, ...]:
    """Return the kinds of the advice that the protocol has no words for the patient for."""
    unworded = {one.id for one in told.protocol.advice if one.for_patient is None}
    given = (one.kind for one in told.summary.advice if one.id in unworded)
    return tuple(dict.fromkeys(given))
