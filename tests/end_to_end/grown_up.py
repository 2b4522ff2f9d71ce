"""What an adult with a painful right heel would answer, and the keys that say so."""

from decimal import Decimal

from attrs import frozen

from examwalk.protocol.entry import keys_of
from examwalk.protocol.exam_model import Kind, Test
from examwalk.protocol.model import Protocol
from examwalk.protocol.wording import MINUS, choices_of
from examwalk.session.model import Answer, Place, Side

MEASURED = {
    "age": "45",
    "body-mass": "72.5",
    "height": "171.5",
    "complaint-weeks": "12",
    "pain-worst": "6",
    "pain-first-step": "7",
    "monofilament": "10",
    "first-mtp-dorsiflexion": "65",
    "ankle-dorsiflexion-straight": "8",
    "ankle-dorsiflexion-bent": "15",
    "hip-internal-rotation": "38",
    "hip-external-rotation": "42",
    "thigh-foot-angle": "10",
    "knee-hyperextension": "-2",
    "foot-progression-angle": "7",
    "lunge-distance": "11,5",
    "single-heel-raise": "25",
}
"""Numbers as they are typed; one with a decimal comma, one with a sign."""

CHOSEN = {
    "complaint-side": "right",
    "pulse-dorsalis-pedis": "normal",
    "pulse-posterior-tibial": "normal",
    "heel-pad": "full",
    "heel-to-arch-contour": "ordinary",
    "fascia-prominence": "not-felt-proud",
    "first-mtp-enlargement": "none",
    "first-metatarsal-length": "equal",
    "tibialis-posterior-strength": "normal",
    "hallux-valgus": "none",
    "jack-effort": "easy",
    "jack-arch-rise": "prompt",
    "patella-facing": "forward",
    "abductory-twist": "none",
    "knee-over-toes": "over-the-foot",
    "double-heel-raise": "slightly-inverts",
}
"""Where neither the middle grade nor the first option would be usual."""

ON_THE_RIGHT = {
    "complaint-region": "plantar-heel",
    "heel-tenderness": "medial-tubercle",
    "supination-resistance": "high",
}


@frozen
class Reply:
    """An answer, and the keys that give it as tmux names them."""

    answer: Answer
    keys: tuple[str, ...]
    draft: str = ""
    """What the screen shows of the keys before the last one."""


def reply_of(protocol: Protocol, place: Place) -> Reply:
    """Return what is answered at a place."""
    test = protocol.tests_by_id[place.test]
    if test.kind is Kind.MEASURE:
        typed = MEASURED.get(test.id) or _ordinary_number(test)
        number = Decimal(typed.replace(",", "."))
        whole = number == int(number) and isinstance(test.step, int)
        shown = f"▸   {typed.replace('-', MINUS)}"
        return Reply(int(number) if whole else float(number), (*typed, "Enter"), shown)
    choices = choices_of(protocol, test)
    ids = [choice.id for choice in choices]
    chosen = _chosen(test, ids, place.side)
    key = keys_of(choices)[ids.index(chosen)]
    if not test.several:
        return Reply(chosen, (key,))
    if chosen in test.alone:
        return Reply((chosen,), (key,))
    return Reply((chosen,), (key, "Enter"), f"○ {key}")


def _chosen(test: Test, ids: list[str], side: Side) -> str:
    if side is Side.RIGHT and test.id in ON_THE_RIGHT:
        return ON_THE_RIGHT[test.id]
    if test.id in CHOSEN:
        return CHOSEN[test.id]
    if test.alone:
        return test.alone[0]
    return ids[len(ids) // 2] if test.kind is Kind.GRADE else ids[0]


def _ordinary_number(test: Test) -> str:
    low, _ = test.usual or test.hard or (0, 0)
    return f"{low:g}"
