"""The meaning of reference values: who they are for, and what they say."""

from examwalk.protocol.locating import KeyPath
from examwalk.protocol.model import Protocol
from examwalk.protocol.norm_model import Norm
from examwalk.protocol.references import Report, check_known

_FIGURES = ("mean", "middle", "low", "high")


def check_norms(norms: tuple[Norm, ...], path: KeyPath, protocol: Protocol, report: Report) -> None:
    """Report reference values that say nothing, or that nobody can have.

    A mean without a spread is no mistake here: it may be all that was published, and an audit
    tells that no score comes of it.
    """
    for number, norm in enumerate(norms):
        inner: KeyPath = (*path, "norms", number)
        check_known(norm.source, protocol.sources, "source", (*inner, "source"), report)
        if all(getattr(norm, key) is None for key in _FIGURES):
            report(inner, "a norm needs a mean with its sd, a middle value, or limits.")
        if norm.sd is not None and norm.mean is None:
            report((*inner, "sd"), "a spread needs its mean: give “mean” too.")
        if norm.low is not None and norm.high is not None and norm.low > norm.high:
            report((*inner, "low"), "the lower limit lies above the upper one.")
        if norm.age_from is not None and norm.age_to is not None and norm.age_from > norm.age_to:
            report((*inner, "age_from"), "the ages run backwards: put the lower one first.")
        _check_sex(norm, inner, protocol, report)


def _check_sex(norm: Norm, path: KeyPath, protocol: Protocol, report: Report) -> None:
    test = protocol.tests_by_id.get(protocol.identity.sex or "")
    if norm.sex is not None and test is not None:
        options = protocol.options_of(test)
        check_known(norm.sex, options, "answer", (*path, "sex"), report)
