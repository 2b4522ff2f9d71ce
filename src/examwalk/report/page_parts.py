"""What the written pages share: their head, cautions, values side by side, and signing."""

from collections.abc import Callable, Collection, Mapping, Sequence
from datetime import date
from itertools import groupby

from attrs import frozen

from examwalk.dates import span_words, time_words
from examwalk.language import say
from examwalk.protocol.model import Protocol
from examwalk.reasoning.results import FeatureResult, FeatureStatus, Summary
from examwalk.report.document import Grid, Listing, Tone, Words
from examwalk.report.sides import side_heading, with_side
from examwalk.report.words import ordered_value_words, waiting_words
from examwalk.session.model import BOTH_FEET, Decision, Session, Side, State
from examwalk.session.signing import seal

FeatureWords = Callable[[FeatureResult, Decision | None], str]
"""Says what stands beside a feature, given what was decided on it."""


@frozen
class Told:
    """All that a page is written from."""

    protocol: Protocol
    session: Session
    summary: Summary
    anonymous: bool = False
    starts: date | None = None
    """The day on which the patient begins to wear the device, where it is known."""

    @property
    def code(self) -> str:
        """The patient's code, or that it is withheld."""
        return say("withheld") if self.anonymous else self.session.patient or "—"

    @property
    def running(self) -> str:
        """What stands on every sheet of paper."""
        return say("Patient {code}", code=self.code)


def head_facts(told: Told) -> tuple[tuple[str, str], ...]:
    """Return who was examined by whom and when, and under what, in pairs of name and value."""
    session, used = told.session, told.session.protocol
    hidden = say("withheld")
    when = span_words(session.started, session.finished or session.started)
    if told.anonymous:
        when = f"{session.started.year}"
    made_up = ((say("Note"), say("invented patient, for teaching and tests")),)
    return (
        (say("Patient code"), told.code),
        (say("Examined"), when),
        (say("Examiner"), hidden if told.anonymous else session.examiner or "—"),
        (say("Visit"), hidden if told.anonymous else session.id),
        (say("Protocol"), f"{used.id} {used.version}"),
        *(((say("Fingerprint"), used.fingerprint[:16]),) if used.fingerprint else ()),
        *(made_up if session.invented else ()),
    )


def standing_of(told: Told) -> str:
    """Say how binding an order is: a proposal until the visit is signed."""
    return _signed_words(told) or (
        say("Proposal, not signed; the visit is still open")
        if told.session.state is State.OPEN
        else say("Proposal, not signed")
    )


def record_standing(told: Told) -> str:
    """Say whether anybody stands for a record."""
    return _signed_words(told) or (
        say("Not signed; the visit is still open")
        if told.session.state is State.OPEN
        else say("Not signed")
    )


def _signed_words(told: Told) -> str:
    """Say who has signed and when; nothing where nobody has."""
    signature = told.session.signature
    if signature is None:
        return ""
    if told.anonymous:
        return say("Signed; names withheld")
    return say(
        "Signed by {by}, {time}; seal {seal}",
        by=signature.by,
        time=time_words(signature.at),
        seal=seal(told.session),
    )


def decision_at(session: Session, result: FeatureResult) -> Decision | None:
    """Return what was decided on a feature, if anything was."""
    return session.decision(result.id, result.side)


def feature_grids(
    told: Told,
    cell: FeatureWords,
    placed: Mapping[str, str] | None = None,
    told_elsewhere: Collection[str] = (),
) -> tuple[Grid, ...]:
    """Return every feature in two tables: those of the pair, and those of each foot.

    Args:
        told: what the page is written from.
        cell: what stands beside a feature, under its side.
        placed: for features that are drawn their letter and their place, to stand below the name.
        told_elsewhere: the ids of features that are left out.
    """
    results = [one for one in told.summary.features if one.id not in told_elsewhere]
    pair = [one for one in results if one.side is Side.WHOLE]
    feet = [one for one in results if one.side is not Side.WHOLE]
    grids = []
    if feet:
        columns = (say("Feature"), *(side_heading(side) for side in BOTH_FEET))
        rows = [
            (
                _titled(group[0], placed),
                *(cell(one, decision_at(told.session, one)) for one in group),
            )
            for group in by_feature(feet)
        ]
        grids.append(Grid(say("Each foot"), columns, tuple(rows)))
    if pair:
        columns = (say("Feature"), say("Both feet"))
        cells = [(_titled(one, placed), cell(one, decision_at(told.session, one))) for one in pair]
        grids.insert(0, Grid(say("For the pair"), columns, tuple(cells)))
    return tuple(grids)


def by_feature(results: Sequence[FeatureResult]) -> list[list[FeatureResult]]:
    """Return the results of each feature together, left before right."""
    order = {one.id: number for number, one in reversed(list(enumerate(results)))}
    ranked = sorted(results, key=lambda one: (order[one.id], one.side is Side.RIGHT))
    return [list(group) for _, group in groupby(ranked, key=lambda one: one.id)]


def _titled(result: FeatureResult, placed: Mapping[str, str] | None) -> str:
    place = placed.get(result.id) if placed else None
    return f"{result.title} – {place}" if place else result.title


def recommended_words(told: Told, result: FeatureResult) -> str:
    """Say what is recommended for a feature, or what it waits for."""
    if result.status is FeatureStatus.WAITING:
        return waiting_words(told.protocol, result)
    return result.words or say("not applicable")


def undecided_words(told: Told, result: FeatureResult) -> str:
    """Say what is recommended, with a sign that nobody has decided on it."""
    words = recommended_words(told, result)
    return f"{words}\u00a0*" if result.status is FeatureStatus.RECOMMENDED else words


def value_at(told: Told, result: FeatureResult) -> str:
    """Say what was ordered for a feature, else what is recommended.

    Only where something else was ordered has a recommendation the sign that it is none.
    """
    decision = decision_at(told.session, result)
    if decision is not None:
        return decided_words(told, decision)
    return (undecided_words if told.session.decisions else recommended_words)(told, result)


def undecided_legend(told: Told) -> tuple[Words | Listing, ...]:
    """Explain that sign, where it stands anywhere."""
    undecided = any(
        one.status is FeatureStatus.RECOMMENDED and decision_at(told.session, one) is None
        for one in told.summary.features
    )
    legend = say("* recommended; the clinician has not decided on it yet")
    return (Words(legend, Tone.STRONG),) if undecided else ()


def decided_words(told: Told, decision: Decision) -> str:
    """Say what was ordered."""
    feature = told.protocol.features_by_id.get(decision.feature)
    return ordered_value_words(feature, decision.value)


def differences_of(told: Told) -> tuple[str, ...]:
    """Say of each feature that was ordered otherwise than recommended how, and why."""
    items = []
    for result in told.summary.features:
        decision = decision_at(told.session, result)
        if decision is None or decision.value == result.value or not result.words:
            continue
        items.append(
            say(
                "{feature}: ordered {ordered}, recommended {recommended}. {because}",
                feature=with_side(result.title, result.side),
                ordered=decided_words(told, decision),
                recommended=result.words,
                because=decision.because or say("No reason was given."),
            )
        )
    return tuple(items)


def signing_lines() -> tuple[str, ...]:
    """Return what is filled in by hand below a page."""
    return (say("Name and registration"), say("Signature"), say("Date"))
