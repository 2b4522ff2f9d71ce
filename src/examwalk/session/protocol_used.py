"""The protocol that a visit was examined under."""

from pathlib import Path

from examwalk.problems import UnusableFileError
from examwalk.protocol.library import find_protocol
from examwalk.protocol.reading import LoadedProtocol, read_protocol
from examwalk.session.folder import kept_protocol
from examwalk.session.model import Session


def protocol_for(session: Session, folder: Path) -> tuple[LoadedProtocol, str | None]:
    """Find the protocol a visit was examined under, else the current one and a sentence.

    Args:
        session: the visit.
        folder: the folder it lies in, where copies of used protocols are kept.

    Raises:
        UnusableFileError: there is neither a copy nor a current protocol that can be read.
    """
    used = session.protocol
    current: LoadedProtocol | None = None
    trouble: UnusableFileError | None = None
    try:
        current = read_protocol(find_protocol(used.id))
    except UnusableFileError as error:
        trouble = error
    if current is not None and used.fingerprint in ("", current.fingerprint):
        return current, None
    kept = kept_protocol(folder, used.fingerprint) if used.fingerprint else None
    if kept is not None:
        return read_protocol(kept), None
    if current is None:
        assert trouble is not None
        raise trouble
    return current, (
        f"This visit was examined under version {used.version} of the protocol {used.id}. "
        "No copy of that version was kept, so it is now read with version "
        f"{current.protocol.identity.version}."
    )
