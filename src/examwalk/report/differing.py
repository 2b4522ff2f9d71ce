"""What follows differently from the same findings, in words, once the protocol has changed."""

from attrs import frozen

from examwalk.language import say
from examwalk.reasoning.results import CautionRaised, FeatureResult, FeatureStatus, Summary
from examwalk.report.words import derived_words
from examwalk.session.model import Side

NOTHING = "—"


@frozen
class Difference:
    """One thing that follows now and did not before, or follows in another way."""

    title: str
    side: Side
    before: str
    """In words; ``—`` where nothing followed."""
    after: str


def differences(before: Summary, after: Summary) -> tuple[Difference, ...]:
    """Return what differs between two summaries, cautions first."""
    old, new = _followed(before), _followed(after)
    return tuple(
        Difference(
            title=(new.get(key) or old[key])[0],
            side=key[2],
            before=old[key][1] if key in old else NOTHING,
            after=new[key][1] if key in new else NOTHING,
        )
        for key in dict.fromkeys([*new, *old])
        if key not in old or key not in new or old[key][1] != new[key][1]
    )


def _followed(summary: Summary) -> dict[tuple[str, str, Side], tuple[str, str]]:
    """Return all that follows by its kind, id and side: its title, and what it comes to."""
    return {
        **{
            ("caution", one.id, one.side): (one.title, _urgency(one))
            for one in (*summary.cautions, *summary.open_cautions)
        },
        **{
            ("cross-check", one.id, one.side): (one.says, say("does not fit"))
            for one in summary.crosschecks
        },
        **{("feature", one.id, one.side): (one.title, _value(one)) for one in summary.features},
        **{
            ("derived", one.id, one.side): (one.title, derived_words(one))
            for one in summary.derived
            if not one.internal
        },
        **{("advice", one.id, one.side): (one.says, say("advised")) for one in summary.advice},
    }


def _urgency(caution: CautionRaised) -> str:
    if caution.missing:
        return say("{urgency}, not excluded", urgency=caution.urgency_words)
    return caution.urgency_words


def _value(result: FeatureResult) -> str:
    if result.status is FeatureStatus.WAITING:
        return say("waiting")
    return result.words or say("not applicable")
