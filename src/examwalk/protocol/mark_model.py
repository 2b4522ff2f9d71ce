"""What a protocol file says of where a feature goes, as a class like those of ``model``."""

from attrs import frozen

from examwalk.protocol.key_types import Number


@frozen
class Mark:
    """A drawing of a feature on the foot, as the order shows it."""

    figure: str
    """A figure that is ``like`` the view that it is drawn on and adds what is made there; its
    ``alt`` says the place in words. It follows the amount that is ordered."""
    letter: tuple[Number, Number]
    """Where its letter stands in that view of a left foot: right, down."""
    options: tuple[str, ...] = ()
    """Of a feature with options: drawn for these only."""
    above: Number | None = None
    """Of an amount: drawn only where more than this is ordered."""
    below: Number | None = None
    """Of an amount: drawn only where less than this is ordered."""
