"""In words: who may change a visit that is open here only to be read."""

from examwalk.dates import time_words
from examwalk.language import say
from examwalk.session.holding import Holder


def held_words(holder: Holder) -> str:
    """Say in sentences who holds a visit, and that nothing can be changed here."""
    nothing = say("Nothing can be changed here.")
    if not holder.may_live:
        gone = say("The window that held this visit is gone.")
        return f"{gone} {nothing}"
    if holder.host and not holder.is_here:
        held = say(
            "This visit is open on another computer, or was when that one stopped: {holder}.",
            holder=_name(holder),
        )
        return f"{held} {nothing}"
    name = _name(holder)
    held = (
        say("Another window has this visit open: {holder}.", holder=name)
        if name
        else say("Another window has this visit open.")
    )
    return f"{held} {nothing}"


def _name(holder: Holder) -> str:
    parts = [holder.who]
    if holder.host:
        parts.append(say("on {computer}", computer=holder.host))
    if holder.started is not None:
        parts.append(say("since {time}", time=time_words(holder.started)))
    return " ".join(part for part in parts if part)
