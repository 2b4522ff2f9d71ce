"""The command that shows and changes the settings."""

import argparse
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

from attrs import frozen

from examwalk.cli_output import print_json
from examwalk.exit_codes import GOOD
from examwalk.language import ENGLISH, say
from examwalk.problems import Problem, UnusableFileError
from examwalk.protocol.library import DEFAULT_PROTOCOL, find_protocol, own_folder
from examwalk.session.folder import default_folder
from examwalk.settings import (
    SETTINGS,
    from_environment,
    from_file,
    settings_file,
    values_of,
    write_setting,
)

_KEY_CELLS = max(map(len, SETTINGS)) + 2


@frozen
class _Stand:
    """What stands for one setting now, and who says so."""

    key: str
    value: str
    origin: str
    """A variable of the environment, ``file``, or ``default`` where nothing was chosen."""


def add_config_command(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add ``examwalk config`` to the commands."""
    config = commands.add_parser(
        "config", help="show or change what examwalk begins with: language, initials, folders"
    )
    config.add_argument(
        "key",
        nargs="?",
        choices=tuple(SETTINGS),
        metavar="KEY",
        help=f"one of {', '.join(SETTINGS)}; all of them by default",
    )
    change = config.add_mutually_exclusive_group()
    change.add_argument("value", nargs="?", metavar="VALUE", help="what is chosen from now on")
    change.add_argument("--unset", action="store_true", help="choose nothing any more")
    config.add_argument("--as", dest="form", choices=("text", "json"), default="text")
    config.set_defaults(run=_config, refuse=config.error)


def _config(options: argparse.Namespace) -> int:
    if options.unset and options.key is None:
        options.refuse(say("--unset needs a KEY."))
    if options.value is not None or options.unset:
        return _change(options.key, options.value)
    if options.form == "json":
        stands = map(_stand_of, [options.key] if options.key else SETTINGS)
        print_json({one.key: {"value": one.value, "from": one.origin} for one in stands})
    elif options.key:
        print(_stand_of(options.key).value)
    else:
        _print_all()
    return GOOD


def _stand_of(key: str) -> _Stand:
    if told := from_environment(key):
        return _Stand(key, told, SETTINGS[key].variable)
    if told := from_file(key):
        return _Stand(key, told, "file")
    return _Stand(key, _DEFAULTS.get(key, str)(), "default")


_DEFAULTS: Final[Mapping[str, Callable[[], str]]] = {
    "language": lambda: ENGLISH,
    "protocol": lambda: DEFAULT_PROTOCOL,
    "sessions": lambda: str(default_folder()),
    "protocols": lambda: str(own_folder()),
    "paper": lambda: values_of("paper")[0],
}
"""What holds where nothing is chosen; for the others that is no value."""


def _print_all() -> None:
    origins = {"file": say("settings file"), "default": say("by default")}
    for stand in map(_stand_of, SETTINGS):
        setting = SETTINGS[stand.key]
        origin = origins.get(stand.origin, stand.origin) if stand.value else say("not chosen")
        print(f"{stand.key:<{_KEY_CELLS}}{stand.value}{' ' * 3 * bool(stand.value)}({origin})")
        values = f" {say('or')} ".join(values_of(stand.key))
        print(f"{'':<{_KEY_CELLS}}{say(setting.says)}{f': {values}' if values else ''}")
    path = settings_file()
    there = say("settings file: {path}", path=path)
    absent = say("settings file: {path} (not there yet)", path=path)
    print(f"examwalk: {there if path.exists() else absent}", file=sys.stderr)


def _change(key: str, value: str | None) -> int:
    path = write_setting(key, None if value is None else _as_kept(key, value))
    setting = SETTINGS[key]
    done = (
        say("“{key}” is not chosen any more in {path}.", key=key, path=path)
        if value is None
        else say("“{key}” is chosen in {path}.", key=key, path=path)
    )
    print(f"examwalk: {done}", file=sys.stderr)
    if from_environment(key):
        outweighed = say("{variable} comes before it.", variable=setting.variable)
        print(f"examwalk: {outweighed}", file=sys.stderr)
    return GOOD


def _as_kept(key: str, value: str) -> str:
    """Return a value as it is kept: a path holds wherever examwalk is started.

    Raises:
        UnusableFileError: there is no such protocol, or a file where a folder would be.
    """
    if key == "protocol":
        path = find_protocol(value)
        return str(path.absolute()) if path == Path(value) else value
    if not SETTINGS[key].is_path or not value.strip():
        return value
    path = Path(value).expanduser().absolute()
    if key in ("sessions", "protocols") and path.exists() and not path.is_dir():
        raise UnusableFileError([Problem(say("This is a file; a folder is needed."), path)])
    return str(path)
