"""An adult's visit of ordinary size to measure with: the worked example of a painful heel."""

from pathlib import Path

from attrs import evolve

from examwalk.protocol.exam_model import Kind
from examwalk.protocol.library import DEFAULT_PROTOCOL, find_protocol
from examwalk.protocol.model import Protocol
from examwalk.protocol.shipped import read_shipped
from examwalk.session.model import Session, State
from examwalk.session.storing import read_session

EXAMPLE = Path(__file__).parents[2] / "sessions" / "heel-pain-right.toml"


def adult() -> Protocol:
    """Return the shipped protocol for adults."""
    return read_shipped(find_protocol(DEFAULT_PROTOCOL)).protocol


def full_visit() -> Session:
    """Return the example with all its findings, open."""
    return evolve(read_session(EXAMPLE), state=State.OPEN, finished=None)


def visit_without_grades(protocol: Protocol) -> Session:
    """Return the example as it is when only what is graded is still to be done."""
    visit = full_visit()
    graded = {test.id for test in protocol.tests if test.kind is Kind.GRADE}
    kept = tuple(finding for finding in visit.findings if finding.place.test not in graded)
    return evolve(visit, findings=kept, decisions=(), here=None)
