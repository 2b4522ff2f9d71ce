"""The record: all that was found and not done, what follows, and what was decided."""

from collections.abc import Iterator

from examwalk.dates import date_words, time_words
from examwalk.language import later, say
from examwalk.protocol.wording import answer_words, reason_words
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.norms import references_of
from examwalk.reasoning.results import FeatureResult
from examwalk.report.chart_drawing import chart_drawing
from examwalk.report.chart_lines import chart_lines
from examwalk.report.charts import charts_of
from examwalk.report.document import Listing, Page, Picture, Section, Words
from examwalk.report.page_parts import (
    Told,
    decided_words,
    feature_grids,
    head_facts,
    recommended_words,
    record_standing,
    signing_lines,
    undecided_legend,
    value_at,
)
from examwalk.report.profile import profile_of
from examwalk.report.record_cautions import caution_section, crosscheck_section
from examwalk.report.record_findings import derived_section, finding_sections
from examwalk.report.record_gaps import decided_section_head, gaps_section
from examwalk.report.record_reasons import reasons_section
from examwalk.report.record_short import short_section
from examwalk.report.record_sources import Cited, cited_in, sources_section
from examwalk.report.reference_grids import reference_grids
from examwalk.report.sides import with_side
from examwalk.report.words import ordered_value_words, place_words, review_date
from examwalk.session.model import Amendment, AmendmentKind, Answer, Decision, Place
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
    referenced = references_of(case_of(told.protocol, told.session))
    cited = cited_in(told, referenced)
    yield short_section(told)
    yield caution_section(told, cited)
    yield crosscheck_section(told, cited)
    yield gaps_section(told)
    yield _decisions(told)
    yield _advice(told, cited)
    yield from finding_sections(told)
    yield derived_section(told, cited)
    yield _pictures(told)
    grids = reference_grids(told.protocol, referenced, cited)
    yield Section(say("Against reference values"), grids, in_columns=True)
    yield reasons_section(told, cited)
    yield _amendments(told)
    yield sources_section(told, cited)


def _pictures(told: Told) -> Section:
    charts = (
        Picture(chart_drawing(one), one.words, caption=one.words, plot=chart_lines(one))
        for one in charts_of(told.protocol, told.session, told.summary)
    )
    pictures = (*profile_of(told.protocol, told.session), *charts)
    return Section(say("The findings in pictures"), pictures, in_columns=True)


def _decisions(told: Told) -> Section:
    def cell(result: FeatureResult, decision: Decision | None) -> str:
        recommended = recommended_words(told, result)
        if decision is None:
            return value_at(told, result)
        ordered = f"{say('Ordered')}: {decided_words(told, decision)}"
        if decision.value == result.value:
            return ordered
        because = decision.because or say("no reason given")
        return f"{ordered}\n{say('Recommended')}: {recommended}\n{say('Because')}: {because}"

    more = undecided_legend(told) if told.session.decisions else ()
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
    return Section(say("Recommendations and decisions"), blocks, in_columns=True)


def _advice(told: Told, cited: Cited) -> Section:
    items = [
        cited.after(f"{with_side(one.kind, one.side)}: {one.says}", one.basis)
        for one in told.summary.advice
    ]
    review = review_date(told.session, told.summary)
    if review and not told.anonymous:
        items.append(f"{say('First review')}: {date_words(review)}")
    blocks = (Listing(tuple(items)),) if items else ()
    return Section(say("Advice and review"), blocks, in_columns=True)


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
