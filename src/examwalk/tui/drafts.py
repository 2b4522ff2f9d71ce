"""What is typed or ticked and not accepted yet; it is no finding and is never saved."""

from collections.abc import Sequence

from examwalk.protocol.key_types import Number
from examwalk.session.model import Place


class Drafts:
    """The drafts of a visit by place, kept while the exam moves about."""

    def __init__(self) -> None:
        self._typed: dict[Place, str] = {}
        self._ticked: dict[Place, tuple[str, ...]] = {}
        self._doubted: dict[Place, Number] = {}

    def __bool__(self) -> bool:
        return bool(self.places)

    @property
    def places(self) -> tuple[Place, ...]:
        """Where something waits to be accepted."""
        return (*self._typed, *self._ticked)

    def has(self, place: Place) -> bool:
        """Whether something waits to be accepted at a place."""
        return place in self._typed or place in self._ticked

    def typed(self, place: Place) -> str:
        """What is typed at a place."""
        return self._typed.get(place, "")

    def type(self, place: Place, text: str) -> None:
        """Keep what is typed at a place."""
        self._doubted.pop(place, None)
        if text:
            self._typed[place] = text
        else:
            self._typed.pop(place, None)

    def ticked(self, place: Place, recorded: tuple[str, ...]) -> tuple[str, ...]:
        """Which options are ticked at a place; those recorded where none was touched since."""
        return self._ticked.get(place, recorded)

    def tick(self, place: Place, options: tuple[str, ...]) -> None:
        """Keep which options are ticked at a place."""
        self._ticked[place] = options

    def doubt(self, place: Place, number: Number) -> bool:
        """Note that a number was asked about, and say whether it had been asked about before."""
        known = self._doubted.get(place) == number
        self._doubted[place] = number
        return known

    def drop(self, place: Place) -> None:
        """Forget what waits at a place."""
        self._typed.pop(place, None)
        self._ticked.pop(place, None)
        self._doubted.pop(place, None)


def toggled(
    ticked: tuple[str, ...], option: str, alone: tuple[str, ...], order: Sequence[str]
) -> tuple[str, ...]:
    """Return the ticked options after one is ticked or unticked.

    An option that stands alone takes the others away, and goes away when another is ticked.
    """
    if option in ticked:
        return tuple(other for other in ticked if other != option)
    if option in alone:
        return (option,)
    kept = {other for other in ticked if other not in alone} | {option}
    return tuple(other for other in order if other in kept)
