"""What a record warns of: what stops, changes or refers, and findings that do not fit."""

from collections.abc import Iterator

from examwalk.language import say
from examwalk.reasoning.results import CautionRaised, CrosscheckFired
from examwalk.report.document import Block, Listing, Section, Words
from examwalk.report.grounds import places_words
from examwalk.report.page_parts import Told
from examwalk.report.record_sources import Cited
from examwalk.report.sides import with_side
from examwalk.report.words import DEVICE_WORDS, SEVERITY_WORDS, findings_words, replied


def caution_section(told: Told, cited: Cited) -> Section:
    """Return what stops, changes or refers, the most urgent first, in a frame."""
    raised, still_open = told.summary.cautions, told.summary.open_cautions
    blocks: list[Block] = []
    if raised:
        items = tuple("\n".join(_caution(told, cited, one)) for one in raised)
        blocks.append(Listing(items, are_headed=True))
    else:
        blocks.append(Words(say("None raised.")))
    if still_open:
        blocks.append(Words(f"{say('Not excluded yet')}:"))
        blocks.append(Listing(tuple(_open(told, cited, one) for one in still_open)))
    return Section(say("Referral and cautions"), tuple(blocks), warns=bool(raised))


def _caution(told: Told, cited: Cited, caution: CautionRaised) -> Iterator[str]:
    weight = f"{caution.urgency_words}; {say(DEVICE_WORDS[caution.device])}"
    yield f"{with_side(caution.title, caution.side)}: {weight}"
    yield cited.after(caution.says, caution.basis)
    if caution.refer_to:
        yield f"{say('Refer to')}: {caution.refer_to}"
    if caution.findings:
        found = findings_words(told.protocol, told.session, caution.findings)
        yield f"{say('Found')}: {'; '.join(found)}"


def _open(told: Told, cited: Cited, caution: CautionRaised) -> str:
    places = places_words(told.protocol, caution.missing)
    words = f"{with_side(caution.title, caution.side)}: {say('needs {places}', places=places)}"
    return cited.after(words, caution.basis)


def crosscheck_section(told: Told, cited: Cited) -> Section:
    """Return the findings that do not fit together, and what was replied to each."""
    checks = told.summary.crosschecks
    items = tuple("\n".join(_crosscheck(told, cited, one)) for one in checks)
    blocks: Block = Listing(items) if items else Words(say("None."))
    return Section(say("Findings that do not fit"), (blocks,))


def _crosscheck(told: Told, cited: Cited, check: CrosscheckFired) -> Iterator[str]:
    severity = with_side(say(SEVERITY_WORDS[check.severity]), check.side)
    yield cited.after(f"{severity}: {check.says} {check.why}".strip(), check.basis)
    found = findings_words(told.protocol, told.session, check.findings)
    yield f"{say('Found')}: {'; '.join(found)}"
    yield f"{say('Look again at')}: {places_words(told.protocol, check.recheck)}"
    replies = [
        f"{replied(is_outdated=told.session.is_outdated(reply, check.findings))}: {reply.says}"
        for reply in told.session.replies
        if (reply.crosscheck, reply.side) == (check.id, check.side)
    ]
    yield from replies or [say("Not replied to.")]
