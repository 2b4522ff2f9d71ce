"""One thing that can be done with a key: a row of the table of keys."""

from enum import Enum

from attrs import evolve, frozen
from textual.binding import Binding

from examwalk.language import later, say

DIGITS = tuple("1234567890")
NAMED_KEYS = (
    later("Space"),
    later("Del"),
    later("Ctrl+S"),
    later("Ctrl+T"),
    later("Ctrl+L"),
    later("Ctrl+Q"),
    later("y"),
)
"""Keys that other countries call by another name, and the one that yes begins with."""


class Needs(Enum):
    """What a visit must be for an action to do its work; where it is not, a key says why."""

    NOTHING = "nothing"
    OPEN = "open"
    """Neither finished nor signed."""
    UNSIGNED = "unsigned"
    FINISHED = "finished"
    """Finished and not signed yet."""
    SIGNED = "signed"


@frozen
class Action:
    """One thing that can be done with a key."""

    id: str
    keys: tuple[str, ...]
    """The keys as Textual names them."""
    shown: str
    """The keys as a person reads them."""
    label: str
    """One or two words for the line of keys, marked with ``later``."""
    sentence: str
    """What it does, for the help screen, marked with ``later``."""
    screens: tuple[str, ...]
    tells_key: bool = False
    """The method is given the key that was pressed."""
    on_line: bool = True
    """Stands in the line of keys at the bottom."""
    needs: Needs = Needs.NOTHING
    """It stands in the line of keys only where the visit is that, and may be changed here."""
    priority: bool = False
    """Works even while a text field has the focus."""

    @property
    def method(self) -> str:
        """The action's name in Textual: the method is ``action_`` and this."""
        return self.id.replace("-", "_")

    @property
    def key_words(self) -> str:
        """The keys as they are called on the user's keyboard."""
        return say(self.shown) if self.shown in NAMED_KEYS else self.shown

    def bindings(self) -> list[Binding]:
        """Return one binding for each key."""
        return [
            Binding(
                key,
                f"{self.method}({key!r})" if self.tells_key else self.method,
                self.label,
                show=self.on_line,
                key_display=self.shown,
                priority=self.priority,
                tooltip=self.sentence,
                id=f"{self.id}.{key}",
            )
            for key in self.keys
        ]

    def called(self, label: str, shown: str | None = None) -> "Action":
        """Return the action with other words in the line of keys."""
        return evolve(self, label=label, shown=self.shown if shown is None else shown)
