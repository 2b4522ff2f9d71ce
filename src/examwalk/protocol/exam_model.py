"""What a protocol file says of the exam, as immutable classes like those of ``model``."""

from collections.abc import Mapping
from enum import Enum

from attrs import Factory, frozen

from examwalk.protocol.change_model import ImportantChange
from examwalk.protocol.condition_model import Condition
from examwalk.protocol.key_types import Number, Sides
from examwalk.protocol.norm_model import Norm
from examwalk.protocol.reliability_model import Reliability


class Kind(Enum):
    """The kind of answer a test takes."""

    GRADE = "grade"
    MEASURE = "measure"
    CHOICE = "choice"
    TEXT = "text"


@frozen
class Position:
    """How the patient is placed; tests are grouped by it, in the order of the file."""

    id: str
    title: str
    instruction: str = ""
    ask_when: Condition | None = None
    """Its tests are asked only where this holds too; it may look at the tests of earlier positions,
    for the whole person."""


@frozen
class Scale:
    """An ordered row of grades, lowest first; the first one has the score ``first_score``."""

    grades: tuple[str, ...]
    labels: Mapping[str, str] = Factory(dict)
    first_score: int = 1

    def label(self, grade: str) -> str:
        """The words for a grade: its own label, or its id with spaces for hyphens."""
        return self.labels.get(grade, grade.replace("-", " "))

    @property
    def all_labels(self) -> Mapping[str, str]:
        """The words for every grade."""
        return {grade: self.label(grade) for grade in self.grades}

    def score(self, grade: str) -> int:
        """The number of a grade on this scale."""
        return self.first_score + self.grades.index(grade)


@frozen
class Appearance:
    """What one grade looks or feels like."""

    looks: str
    figure: str | None = None
    """A drawing of it; without one, the figure named after the test and the grade."""
    for_patient: str = ""
    """What was found, in words for the patient; left out, the patient's page is silent on it."""


@frozen
class Option:
    """One of the answers of a choice."""

    label: str
    looks: str = ""
    figure: str | None = None
    """A drawing of it; without one, the figure named after the test and the option."""
    for_patient: str = ""
    """What was found, in words for the patient; left out, the patient's page is silent on it."""


@frozen
class Band:
    """A named stretch of numbers; the bounds that are left out are open."""

    label: str
    at_least: Number | None = None
    above: Number | None = None
    at_most: Number | None = None
    below: Number | None = None
    for_patient: str = ""
    """What was found, in words for the patient; left out, the patient's page is silent on it."""

    def holds(self, value: float) -> bool:
        """Say whether a number lies in this band."""
        return (
            (self.at_least is None or value >= self.at_least)
            and (self.above is None or value > self.above)
            and (self.at_most is None or value <= self.at_most)
            and (self.below is None or value < self.below)
        )


@frozen
class Test:
    """One thing to examine or ask."""

    __test__ = False

    id: str
    title: str
    position: str
    kind: Kind
    basis: tuple[str, ...]
    """Where the test and its grades come from: ids of sources."""
    sides: Sides = Sides.EACH
    short_title: str = ""
    why: str = ""
    how: tuple[str, ...] = ()
    mistakes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    reading: str = ""
    """How the answer is read, in a sentence or two."""
    figure: str | None = None
    """A drawing of how it is done; without one, the figure that has the test's id."""
    figure_side: str | None = None
    """For a test of the whole person: an earlier choice between ``left`` and ``right`` that says
    of which side it is drawn. While neither is chosen there, nothing is drawn."""
    safety: bool = False
    """A safety question: no device is advised before it is answered."""
    on_order: bool = False
    """The workshop must know the answer, such as how much room the shoe has."""
    ask_when: Condition | None = None

    scale: str | None = None
    grades: Mapping[str, Appearance] = Factory(dict)

    unit: str = ""
    unit_one: str = ""
    """The unit beside the number 1, where it is another word: ``week`` of ``weeks``."""
    step: Number = 1
    hard: tuple[Number, Number] | None = None
    """The smallest and the largest number that is accepted at all."""
    usual: tuple[Number, Number] | None = None
    """Numbers outside are asked about once."""
    bands: tuple[Band, ...] = ()

    option_set: str | None = None
    options: Mapping[str, Option] = Factory(dict)
    several: bool = False
    alone: tuple[str, ...] = ()
    """Options of a choice of several that exclude all others, such as ``none``."""

    reliability: tuple[Reliability, ...] = ()
    norms: tuple[Norm, ...] = ()
    """Reference values, each with its population; those of one person stand side by side."""
    important_change: ImportantChange | None = None
    """For a measure that says how the patient fares, such as pain."""

    @property
    def name(self) -> str:
        """The short title where there is one, else the title."""
        return self.short_title or self.title
