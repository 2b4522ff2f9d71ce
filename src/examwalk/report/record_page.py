"""The record: all that was found and not done, what follows, and what was decided."""

from collections.abc import Iterator

from examwalk.language import later, say
from examwalk.protocol.exam_model import Test
from examwalk.protocol.key_types import Sides
from examwalk.protocol.wording import answer_words, reason_words
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.norms import references_of
from examwalk.reasoning.places import places_of
from examwalk.reasoning.results import FeatureResult
from examwalk.report.chart_drawing import chart_drawing
from examwalk.report.chart_lines import chart_lines
from examwalk.report.charts import charts_of
from examwalk.report.dates import time_words
from examwalk.report.document import Grid, Listing, Page, Picture, Section, Words
from examwalk.report.page_parts import (
    Told,
    caution_section,
    decided_words,
    differences_section,
    feature_grids,
    head_facts,
    recommended_words,
    record_standing,
    signing_lines,
    undecided_legend,
    undecided_words,
)
from examwalk.report.profile import profile_of
from examwalk.report.record_gaps import decided_section_head, found_between, gaps_section
from examwalk.report.record_reasons import reason_sections
from examwalk.report.reference_grids import reference_grids
from examwalk.report.sides import side_heading, with_side
from examwalk.report.words import (
    SEVERITY_WORDS,
    derived_words,
    finding_words,
    found_words,
    ordered_value_words,
    place_words,
    review_date,
)
from examwalk.session.model import (
    BOTH_FEET,
    Amendment,
    AmendmentKind,
    Answer,
    Decision,
    Place,
    Side,
)
from examwalk.session.signing import verify

KINDS = {
    AmendmentKind.LATE_ENTRY: later("Late entry"),
    AmendmentKind.ADDENDUM: later("Addendum"),
    AmendmentKind.CORRECTION: later("Correction"),
    AmendmentKind.RETRACTION: later("Retraction"),
}


def record_page(told: Told) -> Page:
    """Return the record of a visit."""
    return Page(
        kind="record",
        title=say("Record of the examination"),
        running=told.running,
        standing=record_standing(told),
        standing_means=_means(told),
        facts=head_facts(told),
        sections=tuple(section for section in _sections(told) if section.blocks),
        signing=signing_lines(),
        closing=told.protocol.identity.disclaimer,
    )


def _means(told: Told) -> str:
    if told.session.signature is not None:
        return ""
    return say(
        "Nobody has signed for this record yet, and everything in it can still be changed. Once it"
        " is signed, a correction stands beside what stood there before."
    )


def _sections(told: Told) -> Iterator[Section]:
    if told.session.about:
        yield Section(say("About this visit"), (Words(told.session.about),))
    faults = () if told.anonymous else verify(told.session)
    if faults:
        yield Section(
            say("This record is not as it was signed"),
            (Listing(tuple(fault.says for fault in faults)),),
            warns=True,
        )
    yield caution_section(told)
    yield _crosschecks(told)
    yield gaps_section(told)
    yield _decisions(told)
    yield differences_section(told)
    yield from _advice(told)
    yield from _findings(told)
    yield _derived(told)
    profile = profile_of(told.protocol, told.session)
    yield Section(say("Profile of the grades"), (profile,) if profile else ())
    for chart in charts_of(told.protocol, told.session, told.summary):
        picture = Picture(chart_drawing(chart), chart.words, plot=chart_lines(chart))
        yield Section(chart.title, (picture, *chart.table))
    referenced = references_of(case_of(told.protocol, told.session))
    yield Section(say("Against reference values"), reference_grids(told.protocol, referenced))
    yield _amendments(told)
    yield from reason_sections(told)


def _crosschecks(told: Told) -> Section:
    checks = told.summary.crosschecks
    title = say("Findings that do not fit")
    if not checks:
        return Section(title, (Words(say("None.")),))
    items = []
    for check in checks:
        found = "; ".join(finding_words(told.protocol, told.session, at) for at in check.findings)
        again = "; ".join(place_words(told.protocol, place) for place in check.recheck)
        replies = [
            f"{say('Replied')}: {reply.says}"
            for reply in told.session.replies
            if (reply.crosscheck, reply.side) == (check.id, check.side)
        ]
        severity = with_side(say(SEVERITY_WORDS[check.severity]), check.side)
        lines = (
            f"{severity}: {check.says} {check.why}".strip(),
            f"{say('Found')}: {found}",
            f"{say('Look again at')}: {again}",
            *(replies or [say("Not replied to.")]),
        )
        items.append("\n".join(lines))
    return Section(title, (Listing(tuple(items)),))


def _decisions(told: Told) -> Section:
    def cell(result: FeatureResult, decision: Decision | None) -> str:
        recommended = recommended_words(told, result)
        if decision is None:
            return undecided_words(told, result)
        ordered = f"{say('Ordered')}: {decided_words(told, decision)}"
        if decision.value == result.value:
            return ordered
        because = decision.because or say("no reason given")
        return f"{ordered}\n{say('Recommended')}: {recommended}\n{say('Because')}: {because}"

    more = undecided_legend(told)
    known = {(one.id, one.side) for one in told.summary.features}
    lost = [one for one in told.session.decisions if (one.feature, one.side) not in known]
    if lost:
        items = (f"{with_side(one.feature, one.side)}: {decided_words(told, one)}" for one in lost)
        heading = Words(f"{say('Ordered, but not a feature of this protocol')}:")
        more = (*more, heading, Listing(tuple(items)))
    collisions = tuple(
        f"{with_side(one.title, one.side)}: {one.says} {say('Stands for now')}: {one.stands}"
        for one in told.summary.collisions
    )
    if collisions:
        heading = Words(f"{say('Rules that collide: the clinician decides')}:")
        more = (*more, heading, Listing(collisions))
    blocks = (*decided_section_head(told), *feature_grids(told, cell), *more)
    return Section(say("Recommendations and decisions"), blocks)


def _advice(told: Told) -> Iterator[Section]:
    items = [f"{with_side(one.kind, one.side)}: {one.says}" for one in told.summary.advice]
    review = review_date(told.session, told.summary)
    if review and not told.anonymous:
        items.append(f"{say('First review')}: {review:%Y-%m-%d}")
    if items:
        yield Section(say("Advice and review"), (Listing(tuple(items)),))


def _findings(told: Told) -> Iterator[Section]:
    asked = set(case_of(told.protocol, told.session).places)
    for position in told.protocol.positions:
        tests = [one for one in told.protocol.tests if one.position == position.id]
        yield Section(
            say("Findings: {position}", position=position.title),
            (
                *found_between(told, [place for test in tests for place in places_of(test)]),
                *_finding_grids(told, tests, asked),
            ),
        )
    strange = [
        one for one in told.session.findings if one.place.test not in told.protocol.tests_by_id
    ]
    if strange:
        words = (finding_words(told.protocol, told.session, one.place) for one in strange)
        yield Section(say("Findings on tests that this protocol has not"), (Listing(tuple(words)),))


def _finding_grids(told: Told, tests: list[Test], asked: set[Place]) -> Iterator[Grid]:
    once = [test for test in tests if test.sides is Sides.ONCE]
    each = [test for test in tests if test.sides is not Sides.ONCE]
    if once:
        yield Grid(
            side_heading(Side.WHOLE), (say("Test"), say("Finding")), _rows(told, once, asked)
        )
    if each:
        columns = (say("Test"), *(side_heading(side) for side in BOTH_FEET))
        yield Grid(say("Each side"), columns, _rows(told, each, asked))


def _rows(told: Told, tests: list[Test], asked: set[Place]) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (
            test.title,
            *(_cell(told, place, asked=place in asked) for place in places_of(test)),
        )
        for test in tests
    )


def _cell(told: Told, place: Place, *, asked: bool) -> str:
    finding = told.session.finding(place)
    words = found_words(told.protocol, told.session, place)
    if not asked and (finding is None or not finding.is_settled):
        words = say("not asked: it does not apply here")
    note = finding.note if finding else ""
    return f"{words}\n{say('Note')}: {note}" if note else words


def _derived(told: Told) -> Section:
    shown = [one for one in told.summary.derived if not one.internal]
    rows = tuple((with_side(one.title, one.side), derived_words(one)) for one in shown)
    title = say("Worked out from the findings")
    return Section(title, (Grid(title, (say("Value"), say("Result")), rows),) if rows else ())


def _amendments(told: Told) -> Section:
    items = tuple(_amended(told, one) for one in told.session.amendments)
    return Section(say("Amendments after signing"), (Listing(items),) if items else ())


def _amended(told: Told, amendment: Amendment) -> str:
    path = amendment.path
    if isinstance(path, Place):
        what = place_words(told.protocol, path)
    else:
        feature = told.protocol.features_by_id.get(path.feature)
        what = with_side(feature.title if feature else path.feature, path.side)
    old, new = (_value(told, amendment, one) for one in (amendment.old, amendment.new))
    if amendment.old_not_done is not None:
        reason = reason_words(told.protocol, amendment.old_not_done)
        old = say("not done ({reason})", reason=reason)
    if told.anonymous:
        return f"{say(KINDS[amendment.kind])}: {what}: {old} → {new}"
    who = f"{amendment.by}, {time_words(amendment.at)}"
    return f"{say(KINDS[amendment.kind])} ({who}): {what}: {old} → {new}. {amendment.because}"


def _value(told: Told, amendment: Amendment, value: Answer | None) -> str:
    if value is None:
        return "—"
    path = amendment.path
    if isinstance(path, Place):
        test = told.protocol.tests_by_id.get(path.test)
        return answer_words(told.protocol, test, value) if test else str(value)
    if isinstance(value, tuple):
        return ", ".join(value)
    return ordered_value_words(told.protocol.features_by_id.get(path.feature), value)
