"""The parser of the command line: what is mistyped is answered with what is nearest to it."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Container, Sequence
from typing import Any

from examwalk.problems import nearest

VISIT_HELP = "a visit: a file that examwalk sessions lists"
PROTOCOL_HELP = "a shipped protocol (examwalk protocol list), or a file or folder"


class Commands(argparse._SubParsersAction):  # type: ignore[type-arg]
    """Commands that say in their own help what they do, as the list of commands does."""

    def add_parser(self, name: str, **given: Any) -> Any:
        """Add a command; what the list says of it becomes the first sentence of its help."""
        about = given.get("help")
        if about:
            given.setdefault("description", f"{about[0].upper()}{about[1:]}.")
        return super().add_parser(name, **given)


class CommandLine(argparse.ArgumentParser):
    """A parser that names the nearest command, option or value instead of a wrong one."""

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self.register("action", "parsers", Commands)
        self._names: Container[str] = ()

    def add_subparsers(self, **named: Any) -> Any:
        """Add commands, and remember their names."""
        commands = super().add_subparsers(**named)
        self._names = commands.choices
        return commands

    def parse_known_args(self, args: Sequence[str] | None = None, namespace: Any = None) -> Any:  # type: ignore[override]
        """Parse arguments; an unknown option is refused before anything is missed for it."""
        given = list(sys.argv[1:] if args is None else args)
        self._refuse_unknown_options(given)
        return super().parse_known_args(given, namespace)

    def _refuse_unknown_options(self, given: list[str]) -> None:
        for argument in given:
            if argument == "--" or argument in self._names:
                return  # what follows is a value, or for the command to judge
            option = argument.split("=")[0]
            known = self._option_string_actions
            if option.startswith("--") and not any(one.startswith(option) for one in known):
                hint = nearest(option, known)
                self.error(f"there is no option “{option}” here.{hint} --help tells them all.")

    def _check_value(self, action: argparse.Action, value: Any) -> None:
        if action.choices is not None and value not in action.choices:
            known = [str(one) for one in action.choices]
            hint = nearest(str(value), known)
            message = f"“{value}” is not one of these: {', '.join(known)}.{hint}"
            raise argparse.ArgumentError(action, message)
