"""What a protocol file has worked out from findings, as classes like those of ``model``."""

from collections.abc import Mapping

from attrs import Factory, frozen

from examwalk.protocol.condition_model import Condition
from examwalk.protocol.exam_model import Band
from examwalk.protocol.key_types import Number, Sides
from examwalk.protocol.norm_model import Norm
from examwalk.protocol.reliability_model import Reliability


@frozen
class Points:
    """Points that a derived value gains where a condition holds."""

    points: Number
    when: Condition
    because: str = ""


@frozen
class Row:
    """One row of a lookup: the first row whose condition holds gives the value."""

    value: Number
    when: Condition | None = None
    because: str = ""


@frozen
class Derived:
    """A number computed from findings by a named calculation."""

    id: str
    title: str
    calculation: str
    basis: tuple[str, ...]
    sides: Sides = Sides.EACH
    when: Condition | None = None
    """Worked out only where this holds."""
    inputs: tuple[str, ...] = ()
    """Ids of tests or of derived values that stand before this one."""
    conditions: Mapping[str, Condition] = Factory(dict)
    """Yes-or-no inputs by the name that the calculation gives them."""
    parameters: Mapping[str, Number] = Factory(dict)
    points: tuple[Points, ...] = ()
    rows: tuple[Row, ...] = ()
    unit: str = ""
    unit_one: str = ""
    """The unit beside the number 1, where it is another word: ``week`` of ``weeks``."""
    decimals: int = 0
    bands: tuple[Band, ...] = ()
    reliability: tuple[Reliability, ...] = ()
    norms: tuple[Norm, ...] = ()
    """Reference values, each with its population; those of one person stand side by side."""
    internal: bool = False
    """A step of the reasoning that is shown in explanations only, not among the results."""
