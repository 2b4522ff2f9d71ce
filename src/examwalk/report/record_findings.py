"""All that was found, as a record tells it: what stands out first, and then the rest."""

from collections.abc import Iterator, Sequence

from attrs import frozen

from examwalk.dates import span_words
from examwalk.language import say
from examwalk.protocol.exam_model import Test
from examwalk.protocol.key_types import Sides
from examwalk.reasoning.fitting import case_of
from examwalk.reasoning.places import places_of
from examwalk.reasoning.results import DerivedResult
from examwalk.report.document import Grid, Listing, Section, Tone, Words
from examwalk.report.page_parts import Told
from examwalk.report.record_sources import Cited
from examwalk.report.sides import side_heading, with_side
from examwalk.report.telling import telling_findings
from examwalk.report.words import derived_words, finding_words, found_words
from examwalk.session.amending import amendments_at
from examwalk.session.model import BOTH_FEET, Place, Side


@frozen
class _Asked:
    """The tests of a visit, each with the places that were asked or answered."""

    told: Told
    tests: tuple[Test, ...]
    asked: frozenset[Place]
    telling: frozenset[Place]

    def answered_or_asked(self, place: Place) -> bool:
        finding = self.told.session.finding(place)
        return place in self.asked or (finding is not None and finding.is_settled)

    def cell(self, place: Place) -> str:
        """Say what was found at a place, with the note on it."""
        if not self.answered_or_asked(place):
            return say("not asked: it does not apply here")
        finding = self.told.session.finding(place)
        words = found_words(self.told.protocol, self.told.session, place)
        return f"{words}\n{say('Note')}: {finding.note}" if finding and finding.note else words

    def stands_out(self, test: Test) -> bool:
        """Say whether a test is to be read first.

        It is where the patient is told of it, left and right differ, it was not done or not
        answered, or something was noted or amended.
        """
        places = places_of(test)
        cells = [self.cell(place) for place in places]
        return len(set(cells)) > 1 or any(
            place in self.telling
            or finding is None
            or finding.answer is None
            or finding.note
            or amendments_at(self.told.session, place)
            for place in places
            for finding in (self.told.session.finding(place),)
        )


def finding_sections(told: Told) -> Iterator[Section]:
    """Yield every test of the protocol with what was found, or why it was not asked."""
    exam = _Asked(
        told,
        told.protocol.tests_in_order,
        frozenset(case_of(told.protocol, told.session).places),
        frozenset(place for place, _ in telling_findings(told)),
    )
    asked = [one for one in exam.tests if any(map(exam.answered_or_asked, places_of(one)))]
    first = [one for one in asked if exam.stands_out(one)]
    rest = [one for one in asked if one not in first]
    yield Section(say("Findings that stand out"), tuple(_first(exam, first)), in_columns=True)
    yield Section(say("All other findings"), tuple(_rest(exam, rest)), in_columns=True)
    not_asked = [one.title for one in exam.tests if one not in asked]
    if not_asked:
        words = Words("; ".join(not_asked) + ".")
        yield Section(say("Not asked, since it does not apply"), (words,))
    strange = [
        one for one in told.session.findings if one.place.test not in told.protocol.tests_by_id
    ]
    if strange:
        items = tuple(finding_words(told.protocol, told.session, one.place) for one in strange)
        yield Section(say("Findings on tests that this protocol has not"), (Listing(items),))


def _first(exam: _Asked, tests: Sequence[Test]) -> Iterator[Words | Grid]:
    yield from _entered(exam)
    once = [test for test in tests if test.sides is Sides.ONCE]
    each = [test for test in tests if test.sides is not Sides.ONCE]
    if once:
        rows = tuple((one.title, *map(exam.cell, places_of(one))) for one in once)
        yield Grid(side_heading(Side.WHOLE), (say("Test"), say("Finding")), rows)
    if each:
        rows = tuple((one.title, *map(exam.cell, places_of(one))) for one in each)
        yield Grid(say("Each side"), (say("Test"), *map(side_heading, BOTH_FEET)), rows)


def _rest(exam: _Asked, tests: Sequence[Test]) -> Iterator[Grid]:
    for position in exam.told.protocol.positions:
        rows = tuple((one.title, _once(exam, one)) for one in tests if one.position == position.id)
        if rows:
            yield Grid(position.title, (say("Test"), say("Finding")), rows)


def _once(exam: _Asked, test: Test) -> str:
    words = exam.cell(places_of(test)[0])
    return words if test.sides is Sides.ONCE else say("both sides: {finding}", finding=words)


def _entered(exam: _Asked) -> Iterator[Words]:
    """Say when the answers of each position were given; nothing where that is withheld."""
    spans = []
    for position in exam.told.protocol.positions:
        places = (at for one in exam.tests if one.position == position.id for at in places_of(one))
        found = (exam.told.session.finding(place) for place in places)
        moments = [one.at for one in found if one is not None and one.is_settled]
        if moments:
            spans.append(f"{position.title} {span_words(min(moments), max(moments))}")
    if spans and not exam.told.anonymous:
        yield Words(say("Entered: {time}", time="; ".join(spans)), Tone.QUIET)


def derived_section(told: Told, cited: Cited) -> Section:
    """Return the values worked out from the findings, with what made them up."""
    shown = [one for one in told.summary.derived if not one.internal]
    once = tuple(
        (cited.after(one.title, one.basis), derived_words(one))
        for one in shown
        if one.side is Side.WHOLE
    )
    pairs: dict[str, dict[Side, DerivedResult]] = {}
    for one in shown:
        if one.side is not Side.WHOLE:
            pairs.setdefault(one.id, {})[one.side] = one
    each = tuple(
        (
            cited.after(first.title, first.basis),
            *(derived_words(pair[side]) if side in pair else "" for side in BOTH_FEET),
        )
        for pair in pairs.values()
        for first in (next(iter(pair.values())),)
    )
    grids: list[Grid] = []
    if each:
        columns = (say("Value"), *map(side_heading, BOTH_FEET))
        grids.append(Grid(say("Each side"), columns, each))
    if once:
        grids.append(Grid(side_heading(Side.WHOLE), (say("Value"), say("Result")), once))
    made_up = tuple(
        f"{with_side(one.title, one.side)}: {one.because}." for one in shown if one.because
    )
    listed = (Listing(made_up),) if made_up else ()
    return Section(say("Worked out from the findings"), (*grids, *listed), in_columns=True)
