"""The command that says why a feature has its value, and why not another one."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from examwalk.cli_input import NotAskedRightlyError, add_anonymous_option, visit_to_tell
from examwalk.cli_parser import VISIT_HELP
from examwalk.exit_codes import COMMAND_AT_FAULT, GOOD
from examwalk.language import say
from examwalk.problems import nearest

if TYPE_CHECKING:
    from examwalk.protocol.feature_model import Feature
    from examwalk.protocol.model import Protocol
    from examwalk.reasoning.results import FeatureResult, Summary
    from examwalk.reasoning.settling import Value


def add_reasoning_commands(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
) -> None:
    """Add ``examwalk why`` to the commands."""
    why = commands.add_parser(
        "why", help="print why a feature has its value, or why it has not another one"
    )
    why.add_argument("file", type=Path, metavar="FILE", help=VISIT_HELP)
    why.add_argument("feature", metavar="FEATURE", help="its id, such as heel-lift")
    why.add_argument("--side", choices=("left", "right"), help="only this foot")
    why.add_argument(
        "--not", dest="value", metavar="VALUE", help="say what stands between it and this value"
    )
    add_anonymous_option(why)
    why.set_defaults(run=_why)


def _why(options: argparse.Namespace) -> int:
    from examwalk.reasoning.fitting import case_of
    from examwalk.reasoning.summary import ordered_values, summarise
    from examwalk.report.why_page import why_page
    from examwalk.report.why_text import Visit

    protocol, session = visit_to_tell(options)
    summary = summarise(protocol, session)
    try:
        feature = _feature(protocol, options.feature)
        results = _results(feature, summary, options.side)
        value = None if options.value is None else _value(feature, options.value)
    except NotAskedRightlyError as error:
        print(f"examwalk: {error}", file=sys.stderr)
        return COMMAND_AT_FAULT
    ordered = ordered_values(protocol, session)
    visit = Visit(protocol, session, summary)
    print(why_page(visit, case_of(protocol, session), ordered, results, value), end="")
    return GOOD


def _feature(protocol: Protocol, name: str) -> Feature:
    feature = protocol.features_by_id.get(name)
    if feature is not None:
        return feature
    known = ", ".join(protocol.features_by_id)
    if not known:
        message = say("The protocol “{id}” has no features.", id=protocol.identity.id)
        raise NotAskedRightlyError(message)
    message = say(
        "The protocol “{id}” has no feature “{name}”; there are {known}.",
        id=protocol.identity.id,
        name=name,
        known=known,
    )
    raise NotAskedRightlyError(message + nearest(name, protocol.features_by_id))


def _results(feature: Feature, summary: Summary, side: str | None) -> list[FeatureResult]:
    results = [result for result in summary.features if result.id == feature.id]
    asked = [result for result in results if side in (None, result.side.value)]
    if not asked:
        message = say("{feature} is one for the pair: leave --side out.", feature=feature.title)
        raise NotAskedRightlyError(message)
    return asked


def _value(feature: Feature, typed: str) -> Value:
    from examwalk.protocol.feature_model import FeatureKind
    from examwalk.reasoning.deciding import read_amount

    if feature.kind is FeatureKind.AMOUNT:
        reading = read_amount(feature, typed)
        if reading.value is None:
            raise NotAskedRightlyError(f"{feature.title}: {reading.refusal}")
        return reading.value
    labels = {option.label.casefold(): name for name, option in feature.options.items()}
    if typed in feature.options:
        return typed
    if typed.casefold() in labels:
        return labels[typed.casefold()]
    message = say(
        "{feature} has no option “{name}”; there are {known}.",
        feature=feature.title,
        name=typed,
        known=", ".join(feature.options),
    )
    raise NotAskedRightlyError(message + nearest(typed, feature.options))
