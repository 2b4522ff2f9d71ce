"""What a caution asks for, in sentences."""

from examwalk.language import say
from examwalk.reasoning.results import CautionRaised


def refer_words(caution: CautionRaised) -> str:
    """Say whom to refer to; an empty text where nobody is named."""
    return say("Refer to {whom}.", whom=caution.refer_to) if caution.refer_to else ""


def stop_words(title: str, caution: CautionRaised) -> str:
    """Say that a caution stops, how urgent it is and whom to refer to.

    Args:
        title: the caution's title with its side or sides.
        caution: the caution.
    """
    stops = say("Stop: {what}. {urgency}.", what=title, urgency=caution.urgency_words)
    return f"{stops} {refer_words(caution)}".rstrip()
