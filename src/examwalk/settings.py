"""What was chosen once for all: a small file of settings, and the environment before it.

The file is ``settings.toml`` in the platform's folder for settings, or the one that
``EXAMWALK_SETTINGS`` names: one key a line, each with a text. What the command line says comes
before both.
"""

import os
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Final

import platformdirs
import tomli_w
from attrs import frozen

from examwalk.catalogues import known_languages
from examwalk.files import write_atomically
from examwalk.language import later, say
from examwalk.problems import Problem, UnusableFileError, nearest
from examwalk.reading_files import decode, parse_toml, read_limited
from examwalk.text import is_harmful

SETTINGS_VARIABLE: Final = "EXAMWALK_SETTINGS"
LONGEST_VALUE: Final = 1000
LARGEST_FILE_BYTES: Final = 20_000
_FIRST_LINE: Final = "# What examwalk begins with; “examwalk config” shows and changes it.\n"


@frozen
class Setting:
    """One thing that can be chosen."""

    key: str
    says: str
    """What it is, as a text to be said."""
    variable: str = ""
    """The variable of the environment that comes before the file, where there is one."""
    values: tuple[str, ...] = ()
    """All that it may be, where that is the same in every copy of examwalk."""
    is_path: bool = False


SETTINGS: Final[Mapping[str, Setting]] = {
    setting.key: setting
    for setting in (
        Setting(
            "language", later("the language of screens, reports and messages"), "EXAMWALK_LANGUAGE"
        ),
        Setting("examiner", later("the initials that a new visit begins with")),
        Setting("protocol", later("the protocol that a new visit begins with: a name or a path")),
        Setting("sessions", later("the folder of the visits"), "EXAMWALK_SESSIONS", is_path=True),
        Setting(
            "protocols",
            later("the folder of your own protocols"),
            "EXAMWALK_PROTOCOLS",
            is_path=True,
        ),
        Setting("paper", later("what pages are made for"), values=("A4", "letter")),
        Setting("theme", later("the colours of the screens"), values=("dark", "light")),
        Setting("browser", later("the browser that prints pages as PDF"), "EXAMWALK_BROWSER"),
    )
}


def settings_file() -> Path:
    """Return the file of settings, whether it is there or not."""
    told = os.environ.get(SETTINGS_VARIABLE, "").strip()
    if told:
        return Path(told).expanduser()
    return platformdirs.user_config_path("examwalk", appauthor=False) / "settings.toml"


def chosen(key: str) -> str:
    """Return what was chosen for a setting, or an empty text where nothing was.

    A relative path in the file counts from the folder of the file.

    Raises:
        UnusableFileError: the file of settings holds something else.
    """
    return from_environment(key) or from_file(key)


def chosen_path(key: str) -> Path | None:
    """Return the path that was chosen for a setting, if one was."""
    told = chosen(key)
    return Path(told) if told else None


def from_environment(key: str) -> str:
    """Return what the environment says about a setting; an empty text where it says nothing."""
    variable = SETTINGS[key].variable
    told = os.environ.get(variable, "").strip() if variable else ""
    return str(Path(told).expanduser()) if told and SETTINGS[key].is_path else told


def from_file(key: str) -> str:
    """Return what the file says about a setting; an empty text where it says nothing.

    Raises:
        UnusableFileError: the file holds something else than settings.
    """
    path = settings_file()
    told = read_settings(path).get(key, "")
    return str(path.parent / Path(told).expanduser()) if told and SETTINGS[key].is_path else told


def read_settings(path: Path) -> Mapping[str, str]:
    """Read a file of settings; one that is not there holds none.

    Raises:
        UnusableFileError: with every problem found.
    """
    text = _text_of(path)
    tables = parse_toml(path, text)
    problems = [
        Problem(fault, path, _line_of(text, key), place=key)
        for key, value in tables.items()
        if (fault := fault_of(key, value))
    ]
    if problems:
        raise UnusableFileError(problems)
    return {key: value for key, value in tables.items() if isinstance(value, str)}


def fault_of(key: str, value: object) -> str:
    """Say what is wrong with a setting; an empty text where nothing is."""
    if key not in SETTINGS:
        known = ", ".join(SETTINGS)
        says = say("There is no setting “{key}”; there are {known}.", key=key[:60], known=known)
        return says + nearest(key[:60], SETTINGS)
    if not isinstance(value, str):
        return say("This should be a text in quotes.")
    if not value.strip():
        return say("This is blank; leave the line out where nothing is chosen.")
    if len(value) > LONGEST_VALUE:
        return say(
            "This has {count} characters; at most {limit} can be.",
            count=len(value),
            limit=LONGEST_VALUE,
        )
    if any(is_harmful(character) or character in "\n\t" for character in value):
        return say("This holds a control character, which no setting has.")
    values = values_of(key)
    if values and value not in values:
        known = f" {say('or')} ".join(values)
        wrong = say("This should be {known}, not “{value}”.", known=known, value=value[:60])
        return wrong + nearest(value, values)
    return ""


def values_of(key: str) -> tuple[str, ...]:
    """Return all that a setting may be; nothing where it is written freely."""
    return known_languages() if key == "language" else SETTINGS[key].values


def write_setting(key: str, value: str | None) -> Path:
    """Choose something once for all, or take it back, and return the file where it stands.

    The other lines of the file stay as they are, comments too.

    Args:
        key: one of ``SETTINGS``.
        value: what is chosen; None takes the setting back.

    Raises:
        UnusableFileError: the setting cannot be that, or the file holds something else.
        SaveFailedError: the file cannot be written.
    """
    path = settings_file()
    if value is not None and (fault := fault_of(key, value)):
        raise UnusableFileError([Problem(fault, place=key)])
    wanted = {**read_settings(path)}
    wanted.pop(key, None)
    text = _text_of(path)
    line = _line_of(text, key)
    lines = [one for number, one in enumerate(text.splitlines(), start=1) if number != line]
    if value is not None:
        wanted[key] = value
        lines.insert(len(lines) if line is None else line - 1, tomli_w.dumps({key: value}).rstrip())
    text = "".join(f"{one}\n" for one in lines) or _FIRST_LINE
    if not _holds(path, text, wanted):
        text = _FIRST_LINE + tomli_w.dumps(wanted)  # what it replaces stood on several lines
    write_atomically(path, text.encode(), keep_previous=False)
    return path


def _holds(path: Path, text: str, wanted: Mapping[str, str]) -> bool:
    try:
        return parse_toml(path, text) == wanted
    except UnusableFileError:
        return False


def _text_of(path: Path) -> str:
    if not path.exists() or not path.stat().st_size:
        return _FIRST_LINE
    return decode(path, read_limited(path, LARGEST_FILE_BYTES))


def _line_of(text: str, key: str) -> int | None:
    """Return the line, from 1, on which a key is given."""
    given = re.compile(rf"""\s*(["']?){re.escape(key)}\1\s*=""")
    return next(
        (number for number, line in enumerate(text.splitlines(), start=1) if given.match(line)),
        None,
    )
