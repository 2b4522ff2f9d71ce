"""Which unanswered tests could change a value by themselves, found by trying their answers."""

from collections.abc import Iterator, Sequence

from attrs import evolve

from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.reasoning.case import Case
from examwalk.reasoning.features import Ordered
from examwalk.reasoning.places import FeatureAt
from examwalk.reasoning.replacing import possible_answers
from examwalk.reasoning.results import FeatureResult, FeatureStatus
from examwalk.reasoning.values import values_after, values_of
from examwalk.session.model import Answer, Place


def with_telling_alone(
    case: Case, results: Sequence[FeatureResult], ordered: Ordered
) -> tuple[FeatureResult, ...]:
    """Leave of what is missing for each value what some possible answer makes another value of.

    The rest of the exam is taken as it is. Where no test could change a value alone, all that
    could do so together stay; so do all that a value waits for.

    Args:
        case: the findings under their protocol.
        results: the settled features.
        ordered: what the clinician has ordered.
    """
    in_doubt = {
        (result.id, result.side): frozenset(result.missing)
        for result in results
        if len(result.missing) > 1 and result.status is not FeatureStatus.WAITING
    }
    if not in_doubt:
        return tuple(results)
    told: dict[FeatureAt, set[Place]] = {at: set() for at in in_doubt}
    before = values_of(case, ordered)
    for place in dict.fromkeys(place for result in results for place in result.missing):
        hoped_for = {at for at, missing in in_doubt.items() if place in missing}
        for answer in _answers(case.protocol, case.protocol.tests_by_id[place.test]):
            if not hoped_for:
                break
            after = values_after(before, case.with_changes({place: answer}), (place,), ordered)
            changed = {
                at for at in hoped_for if after.features[at].value != before.features[at].value
            }
            for at in changed:
                told[at].add(place)
            hoped_for -= changed
    return tuple(_narrowed(result, told.get((result.id, result.side))) for result in results)


def _answers(protocol: Protocol, test: Test) -> Iterator[Answer]:
    """Yield every answer of a test; of several options each alone, and as many as go together."""
    if test.kind is Kind.TEXT:
        yield "…"  # that something is written is all a condition can ask of it
        return
    yield from possible_answers(protocol, test, None)
    if test.several:
        yield tuple(one for one in protocol.options_of(test) if one not in test.alone)


def _narrowed(result: FeatureResult, telling: set[Place] | None) -> FeatureResult:
    if not telling:
        return result
    return evolve(result, missing=tuple(one for one in result.missing if one in telling))
