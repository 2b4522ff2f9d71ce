"""Reading many visits quickly: what the same findings say is worked out only once.

Most findings of a clinic's visits are alike but for their times. A file in the form in which the
program writes it is taken apart at its findings, and each of them is read strictly, as ever, the
first time it is met. Whatever is in another form, or at fault, is read by ``read_session``.
"""

import re
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import Final

from attrs import evolve

from examwalk.problems import UnusableFileError
from examwalk.reading_files import decode, parse_toml, read_limited
from examwalk.session.model import Finding, Session
from examwalk.session.reading import ENTRIES_LIMIT, findings_in, is_of_a_later_format, session_in
from examwalk.session.storing import FILE_LIMIT_BYTES, check_checksum, from_toml
from examwalk.session.tables import Problems, Table

_HEADER: Final = "\n[[finding]]\n"
_TIME_LINE: Final = re.compile(
    r"at = (\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d{1,6})?[+-]\d\d:\d\d)\n*"
)
_ANY_TIME: Final = "2000-01-01T00:00:00+00:00"
_FAR: Final = Path("-")


def read_session_quickly(path: Path) -> Session:
    """Return the same as ``read_session``, sooner where many visits are read.

    Raises:
        UnusableFileError: With every problem that was found.
    """
    text = decode(path, read_limited(path, FILE_LIMIT_BYTES))
    return _taken_apart(text) or from_toml(text, path)


def _taken_apart(text: str) -> Session | None:
    """Read a visit finding by finding; nothing where it is at fault, amended or of another form.

    No text may go over several lines, as then a line need not be what it looks like.
    """
    if '"""' in text or "'''" in text or "\r" in text:
        return None
    head, *blocks = text.split(_HEADER)
    if not 0 < len(blocks) <= ENTRIES_LIMIT:
        return None
    last, bracket, after = blocks[-1].partition("\n[")
    blocks[-1] = last + "\n" if bracket else last
    findings = [_finding(block) for block in blocks]
    places = {finding.place for finding in findings if finding is not None}
    if len(places) < len(blocks):
        return None
    rest = _rest(f"{head}\n{bracket}{after}", text)
    if rest is None:
        return None
    return evolve(rest, findings=tuple(finding for finding in findings if finding is not None))


def _rest(without_findings: str, text: str) -> Session | None:
    problems = Problems(None)
    try:
        root = Table(parse_toml(_FAR, without_findings), "", problems)
    except UnusableFileError:
        return None
    check_checksum(root, text)
    if root.raw("finding") is not None or is_of_a_later_format(root):
        return None
    session = session_in(root)
    root.close()
    # Amendments change findings, so they are read together with them.
    return None if problems or session.amendments else session


def _finding(block: str) -> Finding | None:
    """Read a finding whose time is its last line, which therefore stands outside of all else."""
    start = block.rfind("\nat = ") + 1
    time = _TIME_LINE.fullmatch(block, start)
    known = _without_time(block[:start]) if start and time else None
    if known is None or time is None:
        return None
    try:
        return evolve(known, at=datetime.fromisoformat(time[1]))
    except ValueError:
        return None


@lru_cache(maxsize=100_000)
def _without_time(lines: str) -> Finding | None:
    """Read a finding that has any time, or nothing where it is at fault."""
    problems = Problems(None)
    try:
        tables = parse_toml(_FAR, f"[[finding]]\n{lines}at = {_ANY_TIME}\n")
    except UnusableFileError:
        return None
    if list(tables) != ["finding"]:
        return None
    root = Table(tables, "", problems)
    found = findings_in(root)
    return None if problems or len(found) != 1 else found[0]
