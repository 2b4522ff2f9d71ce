"""Where sessions live, what is in there, and how visits and patients are named."""

import contextlib
import random as random_source
import re
from collections.abc import Iterable
from datetime import UTC, datetime
from enum import Enum
from pathlib import Path
from typing import Final

import platformdirs
from attrs import frozen

from examwalk.files import write_atomically
from examwalk.language import later, say, say_count
from examwalk.problems import Problem, UnusableFileError
from examwalk.protocol.library import TRANSLATIONS
from examwalk.session.model import Session
from examwalk.session.reading import session_id_fault
from examwalk.session.recovering import earlier_copies
from examwalk.session.storing import read_session
from examwalk.settings import chosen_path
from examwalk.text import clean_line, is_harmful

CODE_LIMIT: Final = 40
"""The most characters that a patient's code may have."""

_ID_LETTERS: Final = "23456789bcdfghjkmnpqrstvwxz"
"""No letters that look like digits, and no vowels, so that no words arise by chance."""
_FINGERPRINT: Final = re.compile(r"[0-9a-f]{64}")
_PROTOCOLS_USED: Final = "protocols-used"


@frozen
class Entry:
    """One session file: what it holds, or why it cannot be used."""

    path: Path
    changed: datetime
    """When the file was written last."""
    session: Session | None
    problem: str | None


def default_folder() -> Path:
    """Return where the settings say that sessions live, or the platform's data folder.

    Raises:
        UnusableFileError: The file of settings is at fault.
    """
    data_folder = platformdirs.user_data_path("examwalk", appauthor=False)
    return chosen_path("sessions") or data_folder / "sessions"


def new_id(now: datetime, random: random_source.Random) -> str:
    """Make an id for a visit from its time and four letters or digits by chance."""
    return f"{now:%Y%m%d-%H%M}-{''.join(random.choices(_ID_LETTERS, k=4))}"


def path_for(folder: Path, session_id: str) -> Path:
    """Return the file of a session in a folder.

    Raises:
        UnusableFileError: The id cannot serve as a file's name.
    """
    fault = session_id_fault(session_id)
    if fault:
        raise UnusableFileError([Problem(fault, place=clean_line(session_id))])
    return folder / f"{session_id}.toml"


def list_sessions(folder: Path) -> tuple[Entry, ...]:
    """Return the session files of a folder, the most recently changed first.

    A file that cannot be used is listed with its problem. A folder that is not there holds none.

    Raises:
        UnusableFileError: The folder itself cannot be read.
    """
    return tuple(read_entry(path, changed_ns) for path, changed_ns in visit_files(folder))


def visit_files(folder: Path) -> tuple[tuple[Path, int], ...]:
    """Return the session files of a folder and when each was written, in ns, the latest first.

    Raises:
        UnusableFileError: The folder itself cannot be read.
    """
    dated = sorted(_dated_files(folder), key=lambda pair: (-pair[0], pair[1].name))
    return tuple((path, changed_ns) for changed_ns, path in dated)


def session_files(folder: Path) -> tuple[Path, ...]:
    """Return the session files of a folder by their names, unread.

    Raises:
        UnusableFileError: The folder itself cannot be read.
    """
    return tuple(sorted((path for _, path in _dated_files(folder)), key=lambda path: path.name))


def keep_protocol(folder: Path, fingerprint: str, text: str) -> Path:
    """Keep the text of a protocol beside the sessions examined under it, once.

    Args:
        folder: The folder of the sessions.
        fingerprint: The protocol's SHA-256 in hex.
        text: The protocol as one TOML text.

    Raises:
        SaveFailedError: The disk refused.
        ValueError: The fingerprint is not one.
    """
    if not _FINGERPRINT.fullmatch(fingerprint):
        raise ValueError(f"{fingerprint!r} is not a SHA-256 in hex")
    path = _kept_path(folder, fingerprint)
    if not path.is_file():
        write_atomically(path, text.encode(), keep_previous=False)
    return path


def keep_translation(folder: Path, fingerprint: str, language: str, text: str) -> Path:
    """Keep the words of a kept protocol in another language, where they are looked for beside it.

    A better translation of the same protocol takes the place of an earlier one.

    Args:
        folder: The folder of the sessions.
        fingerprint: The protocol's SHA-256 in hex.
        language: The language of the words.
        text: The words as the text of a translation file.

    Raises:
        SaveFailedError: The disk refused.
    """
    kept = _kept_path(folder, fingerprint)
    path = kept.parent / TRANSLATIONS / f"{kept.stem}.{language}.toml"
    if not path.is_file() or path.read_bytes() != text.encode():
        write_atomically(path, text.encode(), keep_previous=False)
    return path


def kept_protocol(folder: Path, fingerprint: str) -> Path | None:
    """Return the kept protocol with this fingerprint, or None."""
    if not _FINGERPRINT.fullmatch(fingerprint):
        return None
    path = _kept_path(folder, fingerprint)
    return path if path.is_file() else None


def _kept_path(folder: Path, fingerprint: str) -> Path:
    return folder / _PROTOCOLS_USED / f"{fingerprint}.toml"


def _dated_files(folder: Path) -> Iterable[tuple[int, Path]]:
    for path in _paths_in(folder):
        # A file may vanish between being named and being looked at.
        with contextlib.suppress(FileNotFoundError):
            hidden = path.name.startswith(".")
            if path.suffix == ".toml" and not hidden and path.is_file():
                yield path.stat().st_mtime_ns, path


def _paths_in(folder: Path) -> tuple[Path, ...]:
    try:
        return tuple(folder.iterdir())
    except FileNotFoundError:
        return ()
    except OSError as error:
        words = clean_line(error.strerror or str(error))
        message = say("The folder of visits cannot be read: {fault}.", fault=words)
        raise UnusableFileError([Problem(message, file=folder)]) from error


def read_entry(path: Path, changed_ns: int) -> Entry:
    """Read one session file that was written at this time, or note why it cannot be used."""
    changed = datetime.fromtimestamp(changed_ns / 1e9, UTC)
    try:
        return Entry(path, changed, session=read_session(path), problem=None)
    except UnusableFileError as error:
        return Entry(path, changed, session=None, problem=_problem_words(path, error))


def _problem_words(path: Path, error: UnusableFileError) -> str:
    first = error.problems[0]
    where = say("Line {line}", line=first.line) if first.line is not None else ""
    words = ": ".join(part for part in (where, first.place, first.message) if part)
    more = len(error.problems) - 1
    if more:
        words += " " + say_count(
            more, "(There is one more problem.)", "(There are {count} more problems.)"
        )
    copies = earlier_copies(path)
    if copies:
        name = clean_line(copies[0].path.name)
        words += " " + say("The version before it is whole: {file}.", file=name)
    return words


class DoubtKind(Enum):
    """What to do about a doubtful patient code: refuse it, or ask whether it is meant."""

    REFUSED = "refused"
    ASK = "ask"


@frozen
class CodeDoubt:
    """Why a patient's code is not simply taken, as a sentence for the examiner."""

    kind: DoubtKind
    sentence: str


_NUMERIC_DATE: Final = re.compile(
    r"(?<!\d)(?:(?:19|20)\d\d[-./ ]\d{1,2}[-./ ]\d{1,2}"
    r"|\d{1,2}[-./ ]\d{1,2}[-./ ](?:19|20)?\d\d)(?!\d)"
)
_MONTH: Final = re.compile(
    r"\d[-./, ]*(?:jan|jän|feb|mar|mär|apr|may|mai|jun|jul|aug|sep|oct|okt|nov|dec|dez)[a-zä]*"
    r"[-./, ]*\d",
    re.IGNORECASE,
)
_EIGHT_DIGITS: Final = re.compile(r"\d{8}")
_PHONE: Final = re.compile(r"(?:\+|00)?[\d ()./-]{7,}")
_WORD: Final = re.compile(r"[^\W\d_]+")
_ORDINARY_WORDS: Final = frozenset(
    {"patient", "pat", "case", "code", "demo", "example", "test", "visit", "clinic", "foot"}
    | {"patientin", "fall", "beispiel", "besuch", "praxis", "fuß", "fuss"}
)


def code_doubts(code: str) -> CodeDoubt | None:
    """Say why a patient's code cannot be taken, or should be asked about once.

    Empty and overlong codes and control characters are refused. What looks like a name, a date
    of birth, an e-mail address or a telephone number is asked about, because a code should not
    tell who the patient is.
    """
    refusal = _refusal(code)
    if refusal:
        return CodeDoubt(DoubtKind.REFUSED, refusal)
    for looks_like, what in _LOOKS_LIKE:
        if looks_like(code):
            doubt = say(
                "“{code}” looks like {what}. Use a code that only the clinic can trace; "
                "is this one meant?",
                code=code,
                what=say(what),
            )
            return CodeDoubt(DoubtKind.ASK, doubt)
    return None


def _refusal(code: str) -> str | None:
    if not code.strip():
        return say("The patient needs a code, for example P-0042.")
    if any(is_harmful(character) or character in "\n\t\u2028\u2029" for character in code):
        return say("A patient's code is one line without control characters.")
    if code != code.strip():
        return say("A patient's code does not begin or end with a space.")
    if len(code) > CODE_LIMIT:
        return say(
            "A patient's code has at most {limit} characters; this one has {count}.",
            limit=CODE_LIMIT,
            count=len(code),
        )
    return None


def _looks_like_date(code: str) -> bool:
    if _NUMERIC_DATE.search(code) or _MONTH.search(code):
        return True
    return bool(_EIGHT_DIGITS.fullmatch(code)) and any(
        _is_date(code, form) for form in ("%Y%m%d", "%d%m%Y", "%m%d%Y")
    )


def _is_date(code: str, form: str) -> bool:
    try:
        return 1900 <= datetime.strptime(code, form).replace(tzinfo=UTC).year < 2100
    except ValueError:
        return False


def _looks_like_phone(code: str) -> bool:
    digits = sum(character.isdigit() for character in code)
    begins = code.startswith(("+", "0"))
    return bool(_PHONE.fullmatch(code)) and (digits >= 9 or (begins and digits >= 7))


def _looks_like_name(code: str) -> bool:
    words = [word for word in _WORD.findall(code) if len(word) >= 3]
    named = [word for word in words if word.casefold() not in _ORDINARY_WORDS]
    if any(character.isdigit() for character in code):
        return any(word.istitle() for word in named)
    return bool(named)


_LOOKS_LIKE: Final = (
    (lambda code: "@" in code, later("an e-mail address")),
    (_looks_like_date, later("a date of birth")),
    (_looks_like_phone, later("a telephone number")),
    (_looks_like_name, later("a name")),
)
