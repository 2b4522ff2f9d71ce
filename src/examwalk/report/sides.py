"""The sides in words, and what stands on a side."""

from examwalk.language import later, say
from examwalk.session.model import Side

WORDS = {
    Side.LEFT: later("left"),
    Side.RIGHT: later("right"),
    Side.WHOLE: later("whole person"),
}
HEADINGS = {
    Side.LEFT: later("Left"),
    Side.RIGHT: later("Right"),
    Side.WHOLE: later("Whole person"),
}
TITLES = {
    Side.LEFT: later("{title}, left"),
    Side.RIGHT: later("{title}, right"),
}


def side_word(side: Side) -> str:
    """Return the word for a side within a sentence."""
    return say(WORDS[side])


def side_heading(side: Side) -> str:
    """Return the word for a side where it begins a line."""
    return say(HEADINGS[side])


def with_side(title: str, side: Side) -> str:
    """Write a title and its side: ``Heel lift, left``."""
    return title if side is Side.WHOLE else say(TITLES[side], title=title)


def with_both_sides(title: str) -> str:
    """Write a title and both sides: ``Heel lift, left and right``."""
    return say("{title}, left and right", title=title)


def with_either_side(title: str) -> str:
    """Write a title and one side or the other: ``Lunge distance, left or right``."""
    return say("{title}, left or right", title=title)
