"""What a protocol file can say, as immutable classes.

Each class mirrors one table of the file and each field one key of that table; the docstrings
are the reference for both. The tables of each part stand in a module of their own beside this
one. An attribute whose name is a Python keyword ends in an underscore (``is_``); its key in the
file does not.
"""

from collections.abc import Mapping
from functools import cached_property

from attrs import Factory, frozen

from examwalk.drawing.figure import Figure, Outline
from examwalk.protocol.caution_model import Caution, Crosscheck
from examwalk.protocol.chart_model import Chart
from examwalk.protocol.condition_model import Condition, both_of
from examwalk.protocol.derived_model import Derived
from examwalk.protocol.exam_model import Kind, Option, Position, Scale, Test
from examwalk.protocol.feature_model import Advice, Exclusion, Feature, Rule
from examwalk.protocol.key_types import Number, Ranked, key_field
from examwalk.protocol.shell_model import Shell


class SourceMark(Ranked):
    """How well a source is known: looked up, or recalled."""

    PUBLISHED = "published"
    FROM_MEMORY = "from memory"
    COMMON_PRACTICE = "common practice"
    CONVENTION = "convention of this protocol"


@frozen
class Source:
    """Where statements come from."""

    cite: str
    mark: SourceMark = SourceMark.PUBLISHED
    identifier: str = ""
    """A DOI, PMID, PMC number or guideline number, where known."""
    note: str = ""


@frozen
class Identity:
    """The ``[protocol]`` table: which protocol this is."""

    id: str
    title: str
    version: str
    language: str = "en"
    about: str = ""
    minutes: int | None = None
    """How long the exam takes in practised hands, in minutes."""
    disclaimer: str = ""
    """The sentence that every advising screen and page shows."""
    complaint: str | None = None
    """The id of the test that asks where it hurts: its answers stand at the top of the exam."""
    age: str | None = None
    """The id of the test that asks for the age in years; reference values are chosen by it."""
    sex: str | None = None
    """The id of the test that asks for the sex; reference values are chosen by it."""
    extends: str | None = None
    """The protocol whose tables are inherited: the name of a shipped one, or a path beside."""


@frozen
class AssumedAgreement:
    """How well a repeated examination is taken to agree where nothing was published.

    The first table that fits a test's kind and position counts.
    """

    kind: Kind
    basis: tuple[str, ...]
    except_in: tuple[str, ...] = ()
    """Positions in which answers are taken to come out the same, such as the interview."""
    weighted_kappa: Number | None = None
    """For grades and choices, with linear weights."""
    error_in_steps: Number | None = None
    """For measures: the standard error of measurement, in steps of the test."""


@frozen
class Protocol:
    """A whole protocol, read from one file or from a folder of files."""

    identity: Identity = key_field("protocol")
    positions: tuple[Position, ...] = key_field("position")
    tests: tuple[Test, ...] = key_field("test")
    scales: Mapping[str, Scale] = Factory(dict)
    option_sets: Mapping[str, Mapping[str, Option]] = Factory(dict)
    not_done_reasons: Mapping[str, str] = Factory(dict)
    urgencies: Mapping[str, str] = Factory(dict)
    """Words for each urgency, the most urgent first."""
    derived: tuple[Derived, ...] = ()
    crosschecks: tuple[Crosscheck, ...] = key_field("crosscheck", default=())
    cautions: tuple[Caution, ...] = key_field("caution", default=())
    features: tuple[Feature, ...] = key_field("feature", default=())
    rules: tuple[Rule, ...] = key_field("rule", default=())
    exclusions: tuple[Exclusion, ...] = key_field("exclusion", default=())
    advice: tuple[Advice, ...] = ()
    assumed_agreement: Mapping[str, AssumedAgreement] = Factory(dict)
    """Agreement that is assumed where nothing was published, by ids of your own."""
    shells: tuple[Shell, ...] = key_field("shell", default=())
    charts: tuple[Chart, ...] = key_field("chart", default=())
    sources: Mapping[str, Source] = Factory(dict)
    outlines: Mapping[str, Outline] = Factory(dict)
    """What figures share: a foot, a leg, a hand."""
    figures: Mapping[str, Figure] = Factory(dict)

    @cached_property
    def noted(self) -> dict[str, object]:
        """What is worked out about this protocol once and kept as long as the protocol is."""
        return {}

    @cached_property
    def tests_by_id(self) -> Mapping[str, Test]:
        """The tests by their ids."""
        return {test.id: test for test in self.tests}

    @cached_property
    def derived_by_id(self) -> Mapping[str, Derived]:
        """The derived values by their ids."""
        return {derived.id: derived for derived in self.derived}

    @cached_property
    def features_by_id(self) -> Mapping[str, Feature]:
        """The features by their ids."""
        return {feature.id: feature for feature in self.features}

    @cached_property
    def cautions_by_id(self) -> Mapping[str, Caution]:
        """The cautions by their ids."""
        return {caution.id: caution for caution in self.cautions}

    @cached_property
    def tests_in_order(self) -> tuple[Test, ...]:
        """The tests in the order of the exam: by position, then as the file lists them."""
        rank = {position.id: number for number, position in enumerate(self.positions)}
        return tuple(sorted(self.tests, key=lambda test: rank[test.position]))

    def asked_when(self, test: Test) -> Condition | None:
        """Return where one of the tests is asked: what its position and it itself wait for."""
        return self._asked_when[test.id]

    @cached_property
    def _asked_when(self) -> Mapping[str, Condition | None]:
        shared = {position.id: position.ask_when for position in self.positions}
        # Equal conditions become one object, which is judged once.
        joined: dict[tuple[str, Condition | None], Condition | None] = {}
        for test in self.tests:
            key = test.position, test.ask_when
            if key not in joined:
                joined[key] = both_of(shared[test.position], test.ask_when)
        return {test.id: joined[test.position, test.ask_when] for test in self.tests}

    def position(self, position_id: str) -> Position:
        """Return the position with this id."""
        return next(position for position in self.positions if position.id == position_id)

    def scale_of(self, test: Test) -> Scale:
        """Return the scale of a graded test."""
        assert test.scale is not None, f"{test.id} is not graded"
        return self.scales[test.scale]

    def options_of(self, test: Test) -> Mapping[str, Option]:
        """Return the options of a choice: its own, or those of the set it names."""
        return self.option_sets[test.option_set] if test.option_set else test.options
