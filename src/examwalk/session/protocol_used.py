"""The protocol that a visit was examined under."""

import contextlib
from collections.abc import Callable
from pathlib import Path

from examwalk.language import later, say
from examwalk.problems import Problem, UnusableFileError, nearest
from examwalk.protocol.identities import read_identity
from examwalk.protocol.library import is_shipped, named_protocols
from examwalk.protocol.reading import LoadedProtocol, read_protocol
from examwalk.protocol.shipped import read_shipped
from examwalk.session.folder import kept_protocol
from examwalk.session.model import ProtocolUsed, Session

Reading = Callable[[Path, str | None], LoadedProtocol]


def protocol_for(
    session: Session, folder: Path, language: str | None = None
) -> tuple[LoadedProtocol, str | None]:
    """Find the protocol a visit was examined under, else the current one and a sentence.

    Args:
        session: the visit.
        folder: the folder it lies in, where copies of used protocols are kept.
        language: the language of its words. A translation that cannot be read keeps nobody from
            a visit: its words then stay as they are written, and the sentence says so.

    Raises:
        UnusableFileError: there is neither a copy nor a current protocol that can be read.
    """
    loaded, note = _version_used(session.protocol, folder, language)
    identity = loaded.protocol.identity
    if language in (None, identity.language) or loaded.words is not None:
        return loaded, note
    as_written = say(
        "The translation of the protocol {name} cannot be read, so its own words stand;"
        " “examwalk protocol check {name}” says why.",
        name=identity.id,
    )
    return loaded, f"{note} {as_written}" if note else as_written


def _version_used(
    used: ProtocolUsed, folder: Path, language: str | None
) -> tuple[LoadedProtocol, str | None]:
    is_other = _is_of_another_version(used)  # then the current one need not be read at all
    kept, copy_trouble = _kept(used, folder, language) if is_other else (None, ())
    if kept is not None:
        return kept, None
    current, trouble = _current(used, language)
    if current is not None and _is_the_one(current, used):
        return current, None
    if not is_other:
        kept, copy_trouble = _kept(used, folder, language)
    if kept is not None:
        return kept, None
    if current is None:
        raise UnusableFileError([*copy_trouble, *trouble])
    return current, say(
        _BAD_COPY if copy_trouble else _NO_COPY,
        version=used.version,
        protocol=used.id,
        fault=copy_trouble[0] if copy_trouble else "",
        current=current.protocol.identity.version,
    )


_NO_COPY = later(
    "This visit was examined under version {version} of the protocol {protocol}. No copy of that "
    "version was kept, so it is now read with version {current}."
)
_BAD_COPY = later(
    "This visit was examined under version {version} of the protocol {protocol}. The copy kept of "
    "that version cannot be used ({fault}), so it is now read with version {current}."
)


def _is_of_another_version(used: ProtocolUsed) -> bool:
    """Say whether the protocol of this name says of itself that it is not what was used."""
    named = named_protocols()
    try:
        return used.id in named and read_identity(named[used.id]).version != used.version
    except UnusableFileError:
        return False  # what is wrong with it is told where it is read


def _is_the_one(loaded: LoadedProtocol, used: ProtocolUsed) -> bool:
    if used.fingerprint:
        return used.fingerprint == loaded.fingerprint
    return used.version == loaded.protocol.identity.version


def _read(path: Path, language: str | None, read: Reading = read_protocol) -> LoadedProtocol:
    """Read a protocol in a language, or as it is written where its translation is at fault."""
    if language is not None:
        with contextlib.suppress(UnusableFileError):
            return read(path, language)
    return read(path, None)


def _current(
    used: ProtocolUsed, language: str | None
) -> tuple[LoadedProtocol | None, tuple[Problem, ...]]:
    """Read the protocol of this name; the name in a visit is never taken for a path."""
    named = named_protocols()
    if used.id not in named:
        says = say(
            "the visit was examined under the protocol “{protocol}”, of which no copy was kept"
            " beside it and which is none that is known by name ({known}).",
            protocol=used.id,
            known=", ".join(named),
        )
        return None, (Problem(says + nearest(used.id, named)),)
    path = named[used.id]
    try:
        return _read(path, language, read_shipped if is_shipped(path) else read_protocol), ()
    except UnusableFileError as error:
        return None, error.problems


def _kept(
    used: ProtocolUsed, folder: Path, language: str | None
) -> tuple[LoadedProtocol | None, tuple[Problem, ...]]:
    """Read the copy that was kept, if it still is what the visit was examined under."""
    path = kept_protocol(folder, used.fingerprint) if used.fingerprint else None
    if path is None:
        return None, ()
    try:
        loaded = _read(path, language)
    except UnusableFileError as error:
        return None, error.problems
    if loaded.fingerprint != used.fingerprint:
        return None, (Problem(say("the copy was changed after the visit."), path),)
    return loaded, ()
