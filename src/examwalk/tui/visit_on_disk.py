"""A visit in its file: who may change it, whether it stands there as it was read, and saving."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random
from typing import Self

from attrs import evolve, frozen

from examwalk.files import SaveFailedError
from examwalk.language import chosen_language, say
from examwalk.problems import UnusableFileError
from examwalk.protocol.reading import LoadedProtocol
from examwalk.report.held import held_words
from examwalk.session.folder import keep_protocol, keep_translation, new_id, path_for
from examwalk.session.holding import Hold
from examwalk.session.model import ProtocolUsed, Session
from examwalk.session.protocol_used import protocol_for
from examwalk.session.recovering import keep_version_at_opening
from examwalk.session.storing import read_version, to_toml, write_session
from examwalk.session.version import Version
from examwalk.tui.clock import Clock


@frozen
class Opened:
    """A visit as it was read or begun, and what it is read with."""

    session: Session
    loaded: LoadedProtocol
    version: Version | None = None
    """What stands in its file; nothing where none was written yet."""
    protocol_note: str | None = None
    """Says under which version it was examined, where it is read with another."""


class VisitOnDisk:
    """One visit in memory and in its file.

    A save that fails keeps what is in memory and leaves its sentence in ``unsaved``; the next one
    tries again.
    """

    def __init__(self, path: Path, opened: Opened, now: Clock) -> None:
        self.path = path
        self.loaded = opened.loaded
        self.session = opened.session
        self.now = now
        self.protocol_note = opened.protocol_note
        self.unsaved: str | None = None
        self.is_changed_elsewhere = False
        """Saving stopped because another window wrote the file since it was read."""
        self.hold: Hold | None = None
        """The right to change the file, where it was asked for."""
        self._version = opened.version
        self._is_held_back = False
        self._has_saved = False
        self._lacks_protocol = False

    @classmethod
    def start(
        cls,
        folder: Path,
        loaded: LoadedProtocol,
        patient: str,
        examiner: str,
        now: Clock,
        random: Random,
    ) -> Self:
        """Begin a visit in a folder, and keep the protocol it is examined under beside it."""
        started = now()
        identity = loaded.protocol.identity
        session = Session(
            id=new_id(started, random),
            started=started,
            examiner=examiner,
            patient=patient,
            protocol=ProtocolUsed(identity.id, identity.version, loaded.fingerprint),
        )
        visit = cls(path_for(folder, session.id), Opened(session, loaded), now)
        visit._lacks_protocol = True
        visit.save()
        return visit

    @classmethod
    def open(cls, path: Path, now: Clock) -> Self:
        """Open the visit in a file with the protocol it was examined under.

        Raises:
            UnusableFileError: the file is damaged, or no protocol for it can be read.
        """
        session, version = read_version(path)
        loaded, note = protocol_for(session, path.parent, chosen_language())
        return cls(path, Opened(session, loaded, version, note), now)

    @classmethod
    def open_held(cls, path: Path, now: Clock, *, insist: bool = False) -> Self:
        """Ask for the right to change a visit, then open it; read-only where another has it.

        Args:
            path: the file of the visit.
            now: the clock.
            insist: take the right even from a window that lives.

        Raises:
            UnusableFileError: the file is damaged, or no protocol for it can be read.
        """
        hold = Hold.take(path, now(), insist=insist)
        try:
            visit = cls.open(path, now)
        except BaseException:
            hold.release()
            raise
        visit.hold = hold
        return visit

    @property
    def held_elsewhere(self) -> str:
        """Say who may change this visit instead of this window; an empty text if nobody."""
        rival = self.hold.rival if self.hold is not None else None
        return held_words(rival) if rival is not None else ""

    @contextmanager
    def one_save(self) -> Iterator[None]:
        """Save once for all the changes made within."""
        self._is_held_back = True
        try:
            yield
        finally:
            self._is_held_back = False
            self.save()

    def save(self) -> bool:
        """Write the visit to its file and say whether that succeeded."""
        if self._is_held_back:
            return True
        if self.held_elsewhere:
            self.is_changed_elsewhere = self.unsaved is not None
            return self.unsaved is None
        self.is_changed_elsewhere = self._is_another_there()
        if self.is_changed_elsewhere:
            self.unsaved = say(
                "Another window has changed this visit since it was opened here. Nothing was "
                "overwritten, and what is answered here is kept in this window only."
            )
            return False
        try:
            if self._lacks_protocol:
                self._keep_protocol()
            if not self._has_saved:
                keep_version_at_opening(self.path)
            self._version = write_session(self.path, self.session)
        except SaveFailedError as error:
            self.unsaved = str(error)
            if error.written is not None:
                self._version = Version.of(error.written, to_toml(self.session).encode())
            return False
        self._has_saved = True
        self.unsaved = None
        return True

    def read_anew(self) -> bool:
        """Read what the window that may change the visit has written, and say if it is new.

        Where the exam is here stays as it is. Nothing is read over what is not saved yet.
        """
        if not self.held_elsewhere or self.unsaved is not None or not self._is_another_there():
            return False
        try:
            session, version = read_version(self.path)
        except UnusableFileError:
            return False  # what was whole when it was read is still worth more than this
        if session.protocol != self.session.protocol:
            return False
        self.session, self._version = evolve(session, here=self.session.here), version
        return True

    def save_apart(self, random: Random) -> bool:
        """Go on as a visit of its own, beside the one that another window has changed."""
        # The signature is of the other one: under a new id it would be worth nothing.
        apart = evolve(self.session, signature=None, amendments=(), as_signed=None)
        self.session = evolve(apart, id=new_id(self.now(), random))
        self.path = path_for(self.path.parent, self.session.id)
        self._version = None
        self._has_saved = False
        self.let_go()
        self.hold = Hold.take(self.path, self.now())
        return self.save()

    def let_go(self) -> None:
        """Give back the right to change the file; another window may have it now."""
        if self.hold is not None:
            self.hold.release()

    def _is_another_there(self) -> bool:
        """Say whether a file is there that was neither read nor written here."""
        if self._version is not None and self._version.stands_in(self.path):
            return False
        return os.path.exists(self.path)  # noqa: PTH110 — False too where the folder is shut

    def _keep_protocol(self) -> None:
        """Keep the protocol, and its words in the language spoken, before the visit itself."""
        folder, fingerprint = self.path.parent, self.loaded.fingerprint
        keep_protocol(folder, fingerprint, self.loaded.text)
        words = self.loaded.translation_text
        if words:
            keep_translation(folder, fingerprint, chosen_language(), words)
        self._lacks_protocol = False
