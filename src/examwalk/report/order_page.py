"""The order: what a workshop makes, both feet side by side, on one sheet."""

from examwalk.language import say
from examwalk.protocol.feature_model import FeatureKind
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.places import places_of
from examwalk.reasoning.results import AdviceGiven, FeatureResult, FeatureStatus
from examwalk.report.document import Listing, Page, Section, Tone, Words
from examwalk.report.order_marks import lettered, marked_of, marks_picture
from examwalk.report.page_parts import (
    FeatureWords,
    Told,
    by_feature,
    decided_words,
    decision_at,
    differences_of,
    feature_grids,
    head_facts,
    signing_lines,
    standing_of,
    undecided_legend,
    undecided_words,
)
from examwalk.report.sides import side_heading, with_side
from examwalk.report.words import found_words, place_words
from examwalk.session.model import Decision, Side


def order_page(told: Told) -> Page:
    """Return the order of a visit."""
    return Page(
        kind="order",
        title=say("Order for foot orthoses"),
        running=told.running,
        standing=standing_of(told),
        standing_means=_means(told),
        facts=(*head_facts(told), (say("Quantity"), _quantity(told))),
        sections=_sections(told),
        signing=(
            say("Cast or scan, number"),
            say("Shoe, size"),
            say("Needed by"),
            say("Clinic, telephone"),
            *signing_lines(),
        ),
        closing=told.protocol.identity.disclaimer,
    )


def _quantity(told: Told) -> str:
    """Say how much to make: a pair, unless all that applies to a foot is an amount of nothing."""
    feet = (one for one in told.summary.features if one.side is not Side.WHOLE)
    makes = any(_asks_for_something(one, decision_at(told.session, one)) for one in feet)
    return say("one pair, left and right") if makes else say("nothing to make")


def _asks_for_something(result: FeatureResult, decision: Decision | None) -> bool:
    if decision is not None:
        return decision.value != 0
    return result.status is not FeatureStatus.NOT_APPLICABLE and result.value != 0


def _means(told: Told) -> str:
    if told.session.signature is not None:
        return ""
    return say("Nobody has signed for this order yet: make nothing from it before that.")


def blanks_of(told: Told) -> tuple[str, ...]:
    """Return what an order leaves open, each feature with its side."""
    return tuple(
        with_side(one.title, one.side)
        for one in told.summary.features
        if _is_blank(one, decision_at(told.session, one))
    )


def _is_blank(result: FeatureResult, decision: Decision | None) -> bool:
    return decision is None and result.status is FeatureStatus.WAITING


def _sections(told: Told) -> tuple[Section, ...]:
    def cell(result: FeatureResult, decision: Decision | None) -> str:
        if decision is not None:
            return decided_words(told, decision)
        if _is_blank(result, decision):
            return say("BLANK")
        return undecided_words(told, result)

    marked = marked_of(told)
    picture = marks_picture(told.protocol, marked)
    nothing = _nothing_to_make(told, cell)
    grids = feature_grids(told, cell, lettered(marked), nothing)
    left_out = say(
        "Nothing to make on either foot: {features}.", features="; ".join(nothing.values())
    )
    unsaid = Words(say("Tolerances, and all that is not stated: as usual in the workshop."))
    make = (
        *((picture,) if picture else ()),
        *grids,
        *((Words(left_out),) if nothing else ()),
        *undecided_legend(told),
        unsaid,
    )
    return tuple(
        section
        for section in (
            _cautions(told),
            _blanks(told),
            Section(say("What to make"), make),
            _differences(told),
            _to_know(told),
        )
        if section.blocks
    )


def _nothing_to_make(told: Told, cell: FeatureWords) -> dict[str, str]:
    """Return by their ids the features that ask for nothing on either foot, in the same words."""
    found = {}
    for group in by_feature(told.summary.features):
        words = {cell(one, decision_at(told.session, one)) for one in group}
        if len(words) == 1 and all(_is_nothing(told, one) for one in group):
            found[group[0].id] = f"{group[0].title}: {words.pop()}"
    return found


def _is_nothing(told: Told, result: FeatureResult) -> bool:
    """Say whether a feature is left off; 0 of what goes two ways, such as degrees, is a value."""
    feature, decision = told.protocol.features_by_id[result.id], decision_at(told.session, result)
    if decision is None and result.status is FeatureStatus.NOT_APPLICABLE:
        return True
    value = result.value if decision is None else decision.value
    return value == 0 and feature.kind is FeatureKind.AMOUNT and not feature.negative


def _cautions(told: Told) -> Section:
    raised = told.summary.cautions
    items = tuple(f"{with_side(one.title, one.side)}: {one.urgency_words}" for one in raised)
    return Section(say("Cautions"), (Listing(items),) if items else (), warns=True)


def _blanks(told: Told) -> Section:
    blanks = [
        one for one in told.summary.features if _is_blank(one, decision_at(told.session, one))
    ]
    if not blanks:
        return Section(say("Blanks"), ())
    wanted = dict.fromkeys(place for one in blanks for place in one.missing)
    names = ", ".join(with_side(one.title, one.side) for one in blanks)
    lines = [Words(say("This order has blanks: {features}.", features=names), Tone.STRONG)]
    if wanted:
        places = ", ".join(place_words(told.protocol, place) for place in wanted)
        lines.append(Words(say("They wait for: {places}.", places=places)))
    return Section(say("Blanks"), tuple(lines), warns=True)


def _differences(told: Told) -> Section:
    title, items = say("Where the order differs from the recommendation"), differences_of(told)
    return Section(title, (Listing(items),) if items else ())


def _to_know(told: Told) -> Section:
    """Return the answers and the advice that the protocol wants on the order."""
    protocol, session = told.protocol, told.session
    asked = set(case_of(protocol, session).places)
    items = []
    for test in protocol.tests_in_order:
        places = [place for place in places_of(test) if place in asked]
        if test.on_order and places:
            found = (_sided(at.side, found_words(protocol, session, at)) for at in places)
            items.append(f"{test.name}: {'; '.join(found)}")
    items += (_sided(one.side, one.says) for one in told.summary.advice if _is_on_order(told, one))
    return Section(say("What the workshop must know"), (Listing(tuple(items)),) if items else ())


def _is_on_order(told: Told, given: AdviceGiven) -> bool:
    return any(one.id == given.id and one.on_order for one in told.protocol.advice)


def _sided(side: Side, words: str) -> str:
    return words if side is Side.WHOLE else f"{side_heading(side)}: {words}"
