"""The rows of the summary: what follows from the findings, the gravest first."""

from collections.abc import Hashable, Sequence

from textual.content import Content

from examwalk.language import later, say, say_count
from examwalk.protocol.condition_model import DeviceEffect
from examwalk.reasoning.deciding import (
    acceptable,
    changed_by_rules,
    has_changed_since,
    open_collision,
    ordered_words,
)
from examwalk.reasoning.results import (
    CautionRaised,
    Collision,
    FeatureResult,
    FeatureStatus,
)
from examwalk.report.record_words import amended_words
from examwalk.report.sides import with_side
from examwalk.session.model import Ordered, Place, Side
from examwalk.tui.screens import further_text, outlook_text, reasons_text
from examwalk.tui.screens.sections import BLANK, heading, remark
from examwalk.tui.screens.words import (
    CAUTION_SIGN,
    COLLISION_SIGN,
    DEVICE_WORDS,
    DONE_SIGN,
    OPEN_SIGN,
    UNKNOWN_SIGN,
    Outcome,
)
from examwalk.tui.text import Part, filled, phrase
from examwalk.tui.widgets.lines import Line, Pointer, Row

UNGROUPED = later("Further")
DIFFERENCE = "difference"
"""With its number: the key of a row that says what a save of the protocol has changed."""
BOTH_FEET_WORDS = later("both feet")
LEGEND = later("○ recommended  ● ordered  ◆ look: collides or changed")


def summary_rows(outcome: Outcome) -> tuple[Row, ...]:
    """Lay out the whole summary as rows, the gravest first."""
    return (
        *_caution_rows(outcome),
        *outlook_text.near_rows(outcome),
        *_open_caution_rows(outcome),
        *_difference_rows(outcome),
        *_feature_rows(outcome),
        *_collision_rows(outcome),
        *outlook_text.repeat_rows(outcome),
        *further_text.missing_rows(outcome),
        *further_text.advice_rows(outcome),
        *further_text.derived_rows(outcome),
        *further_text.reference_rows(outcome),
    )


def reasons(outcome: Outcome, pointer: Pointer) -> list[Line]:
    """Say what stands behind the row at the pointer."""
    if not isinstance(pointer.key, tuple):
        return []
    kind, *rest = pointer.key
    tellers = {
        "caution": _caution_reasons,
        "near": outlook_text.near_reasons,
        "repeat": outlook_text.repeat_reasons,
        "feature": _feature_reasons,
        "collision": _collision_reasons,
        "missing": further_text.missing_reasons,
        "advice": further_text.advice_reasons,
        "derived": further_text.derived_reasons,
        "reference": further_text.reference_reasons,
    }
    teller = tellers.get(str(kind))
    return teller(outcome, tuple(rest), pointer.side) if teller else []


def caution_row(caution: CautionRaised) -> Row:
    """Make the row of a caution: urgency, title, whom to refer to."""
    stops = caution.device is DeviceEffect.STOP
    style = "bold $stop" if stops else "bold $warn"
    urgency = f"{say('Stop')} · {caution.urgency_words}" if stops else caution.urgency_words
    parts: list[Part] = [
        (f"{CAUTION_SIGN} {urgency}: ", style),
        (with_side(caution.title, caution.side), "bold"),
    ]
    if caution.refer_to:
        parts.append(f". {say('Refer to {whom}', whom=caution.refer_to)}")
    if DEVICE_WORDS[caution.device] and not stops:
        parts.append((f" · {say(DEVICE_WORDS[caution.device])}", "$dim"))
    return Row(phrase(*parts), key=("caution", caution.id, caution.side), hang=2)


def _difference_rows(outcome: Outcome) -> list[Row]:
    """Say what the last save of a protocol that is tried out has changed."""
    if outcome.differences is None:
        return []
    rows = [heading(say("Changed by the last save of the protocol"))]
    if not outcome.differences:
        rows.append(remark(say("The same follows as before.")))
    for number, one in enumerate(outcome.differences):
        text = phrase(f"{with_side(one.title, one.side)}: {one.before} → ", (one.after, "bold"))
        rows.append(Row(text, key=(DIFFERENCE, number), hang=2))
    return [*rows, BLANK]


def _caution_rows(outcome: Outcome) -> list[Row]:
    cautions = outcome.summary.cautions
    rows = [heading(say("Refer and take care"))]
    if not cautions:
        rows.append(remark(say("Nothing found so far calls for it.")))
    return [*rows, *(caution_row(caution) for caution in cautions), BLANK]


def _open_caution_rows(outcome: Outcome) -> list[Row]:
    cautions = outcome.summary.open_cautions
    if not cautions:
        return []
    rows = [heading(say("Not excluded yet"))]
    for caution in cautions:
        missing = say_count(
            len(caution.missing),
            "{urgency} if it holds · {count} answer missing",
            "{urgency} if it holds · {count} answers missing",
            urgency=caution.urgency_words,
        )
        text = phrase(
            f"{UNKNOWN_SIGN} ",
            with_side(caution.title, caution.side),
            (f" · {missing}", "$dim"),
        )
        rows.append(Row(text, key=("caution", caution.id, caution.side), hang=2))
    return [*rows, BLANK]


def _caution_reasons(outcome: Outcome, key: tuple[Hashable, ...], _: Side) -> list[Line]:
    for caution in (*outcome.summary.cautions, *outcome.summary.open_cautions):
        if (caution.id, caution.side) == key:
            return reasons_text.caution_lines(outcome, caution)
    return []


def _feature_rows(outcome: Outcome) -> list[Row]:
    rows = []
    for group, features in _grouped(outcome.summary.features).items():
        rows.append(heading(group or say(UNGROUPED)))
        rows += [_feature_row(outcome, pair) for pair in features.values()]
        rows.append(BLANK)
    return rows


def _grouped(
    features: Sequence[FeatureResult],
) -> dict[str, dict[str, list[FeatureResult]]]:
    groups: dict[str, dict[str, list[FeatureResult]]] = {}
    for result in features:
        groups.setdefault(result.group, {}).setdefault(result.id, []).append(result)
    return groups


def _feature_row(outcome: Outcome, pair: Sequence[FeatureResult]) -> Row:
    title = phrase(pair[0].title)
    key = ("feature", pair[0].id)
    if pair[0].side is Side.WHOLE:
        cell = feature_cell(outcome, pair[0]) + phrase((f"  {say(BOTH_FEET_WORDS)}", "$dim"))
        return Row(title, key, both=cell + _beside_cell(outcome, pair[0]), hang=2)
    cells = {
        result.side: feature_cell(outcome, result) + _beside_cell(outcome, result)
        for result in pair
    }
    return Row(title, key, left=cells[Side.LEFT], right=cells[Side.RIGHT], hang=2)


def _beside_cell(outcome: Outcome, result: FeatureResult) -> Content:
    """Say whether a feature stands, and what was ordered before an amendment."""
    amended = amended_words(outcome.protocol, outcome.session, Ordered(result.id, result.side))
    mark = phrase((f"\n{amended}", "$dim")) if amended else Content("")
    return outlook_text.standing_cell(outcome, result) + mark


def feature_cell(outcome: Outcome, result: FeatureResult) -> Content:
    """Write what is recommended and what is ordered, both in sight where they differ."""
    decision = outcome.session.decision(result.id, result.side)
    recommended = _recommended_words(outcome, result)
    if decision is None:
        return recommended
    feature = outcome.protocol.features_by_id[result.id]
    ordered = ordered_words(feature, decision.value)
    if result.status is FeatureStatus.RECOMMENDED and decision.value == result.value:
        return phrase((f"{DONE_SIGN} ", "$here"), (ordered, "bold"))
    since = (f"\n{COLLISION_SIGN} {say('changed since')}", "$warn")
    return phrase(
        (f"{DONE_SIGN} ", "$here"),
        filled(say("{value} ordered"), value=(ordered, "bold")),
        "\n",
        recommended,
        since if has_changed_since(result, decision) else "",
    )


def _recommended_words(outcome: Outcome, result: FeatureResult) -> Content:
    if result.status is FeatureStatus.WAITING:
        return phrase((f"{UNKNOWN_SIGN} {say('waiting')}", "$dim"))
    if result.status is FeatureStatus.NOT_APPLICABLE:
        return phrase((f"– {say('not applicable')}", "$dim"))
    if open_collision(outcome.summary, result) is not None:
        return phrase(
            (f"{COLLISION_SIGN} ", "bold $warn"),
            result.words,
            (f", {say('rules collide')}", "$warn"),
        )
    untouched = not changed_by_rules(result)
    return phrase((f"{OPEN_SIGN} ", "$dim"), (result.words, "$dim" if untouched else ""))


def feature_at(outcome: Outcome, pointer: Pointer) -> FeatureResult | None:
    """Return the feature at the pointer, if it stands on one or on a collision of its rules."""
    match pointer.key:
        case ("feature", str(feature_id)):
            return outcome.summary.feature(feature_id, pointer.side)
        case ("collision", int(number)):
            collision = outcome.summary.collisions[number]
            return outcome.summary.feature(collision.feature, collision.side)
        case _:
            return None


def place_at(outcome: Outcome, pointer: Pointer) -> Place | None:
    """Return the test that the pointer leads to, if it stands on a caution or a missing answer."""
    match pointer.key:
        case ("missing" | "repeat", Place() as place):
            return place
        case ("near", caution_id, side):
            return outlook_text.near_place(outcome, caution_id, side)
        case ("caution", caution_id, side):
            for caution in (*outcome.summary.cautions, *outcome.summary.open_cautions):
                if (caution.id, caution.side) == (caution_id, side):
                    return next(iter((*caution.missing, *caution.findings)), None)
    return None


def _feature_reasons(outcome: Outcome, key: tuple[Hashable, ...], side: Side) -> list[Line]:
    return reasons_text.feature_lines(outcome, outcome.summary.feature(str(key[0]), side))


def _collision_rows(outcome: Outcome) -> list[Row]:
    collisions = outcome.summary.collisions
    if not collisions:
        return []
    rows = [heading(say("Rules that collide"))]
    rows += [_collision_row(number, collision) for number, collision in enumerate(collisions)]
    return [*rows, BLANK]


def _collision_row(number: int, collision: Collision) -> Row:
    sign = (f"{COLLISION_SIGN} ", "bold $warn") if collision.needs_decision else ("· ", "$dim")
    whose = say("yours to decide") if collision.needs_decision else say("settled by class")
    text = phrase(
        sign,
        with_side(collision.title, collision.side),
        f": {say('{value} stands', value=collision.stands)}",
        (f" · {whose}", "$dim"),
    )
    return Row(text, key=("collision", number), hang=2)


def _collision_reasons(outcome: Outcome, key: tuple[Hashable, ...], _: Side) -> list[Line]:
    collisions = dict(enumerate(outcome.summary.collisions))
    collision = collisions.get(int(str(key[0])))
    return reasons_text.collision_lines(outcome, collision) if collision else []


def how_far(outcome: Outcome) -> str:
    """Say how far the decisions have come."""
    results = outcome.summary.features
    decided = sum(
        1 for result in results if outcome.session.decision(result.id, result.side) is not None
    )
    collisions = sum(
        1
        for result in results
        if open_collision(outcome.summary, result) is not None
        and outcome.session.decision(result.id, result.side) is None
    )
    to_accept = len(acceptable(outcome.session, outcome.summary))
    parts = [say("{count} ordered", count=decided), say("{count} to accept", count=to_accept)]
    if collisions:
        parts.append(say("{count} to decide", count=collisions))
    return " · ".join(parts)
