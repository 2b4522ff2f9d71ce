"""What is recommended at the first and at the last of several visits, where it differs."""

from collections.abc import Sequence

from attrs import frozen

from examwalk.reasoning.results import FeatureResult, FeatureStatus, Summary
from examwalk.session.model import Side


@frozen
class FeatureChange:
    """A feature whose recommendation is another one at the last visit than at the first."""

    id: str
    title: str
    side: Side
    results: tuple[FeatureResult | None, ...]
    """One for each visit; none where its protocol has no such feature on that side."""

    @property
    def in_both(self) -> bool:
        """Whether the protocols of the first and of the last visit both have the feature."""
        return self.results[0] is not None and self.results[-1] is not None

    @property
    def has_lapsed(self) -> bool:
        """Whether it was recommended at the first visit and does not apply at the last."""
        last = self.results[-1]
        return last is not None and last.status is FeatureStatus.NOT_APPLICABLE


def feature_changes(
    summaries: Sequence[Summary], *, is_open: bool
) -> tuple[tuple[FeatureChange, ...], int]:
    """Return what is recommended differently now, and how many differences are held back.

    Args:
        summaries: of each visit, first to last.
        is_open: whether the last visit is still open: a difference is then told only once no
            answer of that visit can change its recommendation any more.
    """
    found: list[FeatureChange] = []
    held_back = 0
    for title, feature_id, side in _united(summaries):
        results = tuple(_result(summary, feature_id, side) for summary in summaries)
        first, last = results[0], results[-1]
        if _said(first) == _said(last):
            continue
        if is_open and (last is None or not _is_settled(last)):
            held_back += 1
            continue
        found.append(FeatureChange(feature_id, title, side, results))
    return tuple(found), held_back


def _united(summaries: Sequence[Summary]) -> tuple[tuple[str, str, Side], ...]:
    united: dict[tuple[str, Side], str] = {}
    for summary in reversed(summaries):
        for result in summary.features:
            united.setdefault((result.id, result.side), result.title)
    return tuple((title, *key) for key, title in united.items())


def _result(summary: Summary, feature_id: str, side: Side) -> FeatureResult | None:
    for result in summary.features:
        if (result.id, result.side) == (feature_id, side):
            return result
    return None


def _said(result: FeatureResult | None) -> tuple[object, ...]:
    return (result.status, result.value) if result else ()


def _is_settled(result: FeatureResult) -> bool:
    return result.status is not FeatureStatus.WAITING and not result.missing
