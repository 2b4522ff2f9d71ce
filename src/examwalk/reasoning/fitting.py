"""Do a visit's findings fit the protocol they are read with?

A file may have been edited by hand, or be read with another version of its protocol. What
does not fit is never reasoned from, and always said.
"""

from collections.abc import Mapping

from attrs import frozen

from examwalk.language import say
from examwalk.problems import nearest
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.key_types import Sides
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import answers_of
from examwalk.reasoning.case import Case
from examwalk.reasoning.places import places_of
from examwalk.session.model import Answer, Place, Session, Side


@frozen
class Misfit:
    """A finding that cannot be read with a protocol."""

    place: Place
    says: str
    unknown_test: bool
    """The protocol has no such test; otherwise its answer is not a possible one."""


def case_of(protocol: Protocol, session: Session) -> Case:
    """Return the case that a visit's findings make, leaving out those that do not fit."""
    unfit = {misfit.place for misfit in misfits(protocol, session)}
    if not unfit:
        return Case(protocol, session.answers)
    answers = {place: answer for place, answer in session.answers.items() if place not in unfit}
    return Case(protocol, answers)


def misfits(protocol: Protocol, session: Session) -> tuple[Misfit, ...]:
    """Return every answer that the protocol has no test for, or that its test cannot have."""
    listed = _listed_answers(protocol)
    found = (
        misfit_of(protocol, place, answer)
        for place, answer in session.answers.items()
        if answer not in listed.get(place, ())
    )
    return tuple(misfit for misfit in found if misfit is not None)


def _listed_answers(protocol: Protocol) -> Mapping[Place, frozenset[str]]:
    """Return the grades or options of each place that takes one of them; they all fit."""
    known = protocol.noted.get("listed-answers")
    if isinstance(known, dict):
        return known
    listed = {
        place: frozenset(answers_of(protocol, test))
        for test in protocol.tests
        for place in places_of(test)
        if not test.several
    }
    protocol.noted["listed-answers"] = listed
    return listed


def misfit_of(protocol: Protocol, place: Place, answer: Answer) -> Misfit | None:
    """Return why an answer cannot be read with a protocol, or nothing where it can."""
    test = protocol.tests_by_id.get(place.test)
    if test is None:
        says = say("The protocol has no test “{test}”.", test=place.test)
        hint = nearest(place.test, protocol.tests_by_id)
        return Misfit(place, says + hint, unknown_test=True)
    fault = _side_fault(test, place.side) or _answer_fault(protocol, test, answer)
    return Misfit(place, f"{test.title}: {fault}", unknown_test=False) if fault else None


def _side_fault(test: Test, side: Side) -> str:
    if (test.sides is Sides.ONCE) is (side is Side.WHOLE):
        return ""
    if test.sides is Sides.ONCE:
        return say("it is answered once, without a side.")
    return say("it is answered for left or right.")


def _answer_fault(protocol: Protocol, test: Test, answer: Answer) -> str:
    if test.kind is Kind.TEXT:
        return "" if isinstance(answer, str) else say("a text is expected.")
    if test.kind is Kind.MEASURE:
        return _number_fault(test, answer)
    if (test.kind is Kind.CHOICE and test.several) is not isinstance(answer, tuple):
        if test.several:
            return say("a list of options is expected.")
        return say("one answer is expected.")
    known = answers_of(protocol, test)
    given = answer if isinstance(answer, tuple) else (answer,)
    for one in given:
        if one not in known:
            refusal = say("“{answer}” is not one of its answers.", answer=one)
            return refusal + nearest(str(one), known)
    alone = [one for one in given if one in test.alone]
    if len(given) > 1 and alone:
        return say("“{answer}” excludes all others.", answer=alone[0])
    return "" if given else say("at least one option is expected.")


def _number_fault(test: Test, answer: Answer) -> str:
    if isinstance(answer, str | tuple | bool):
        return say("a number is expected.")
    assert test.hard is not None
    low, high = test.hard
    if not low <= answer <= high:
        span = f"{say('{low} to {high}', low=low, high=high)} {test.unit}".rstrip()
        return say("{number} lies outside {span}.", number=answer, span=span)
    return ""
