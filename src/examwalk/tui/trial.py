"""Trying a protocol: its files are watched, and read anew each time that one is saved."""

from examwalk.files import stamps_of
from examwalk.language import chosen_language, say, say_count
from examwalk.problems import UnusableFileError
from examwalk.protocol.reading import LoadedProtocol, read_protocol
from examwalk.tui.open_visit import OpenVisit

WATCH_SECONDS = 0.5
"""How often the files are looked at."""


class Trial:
    """Watches the files of a protocol that is tried out."""

    def __init__(self, loaded: LoadedProtocol, visit: OpenVisit) -> None:
        visit.trial_note = say("Nothing here is kept. Save a file of the protocol to read it anew.")
        self.path = loaded.path
        self._files = loaded.files
        self._stamps = stamps_of(self._files)

    def look(self, visit: OpenVisit) -> bool:
        """Read the protocol anew where a file of it was saved; say whether one was.

        The answers stay. Where the files cannot be read the protocol stays as it was, and the
        visit's ``trial_note`` says why.
        """
        stamps = stamps_of(self._files)
        if stamps == self._stamps:
            return False
        self._stamps = stamps
        try:
            loaded = read_protocol(self.path, chosen_language())
        except UnusableFileError as error:
            visit.trial_note = say(
                "The file was saved and cannot be read, so the version before it stands. {problem}",
                problem=error.problems[0],
            )
            return True
        self._files = loaded.files
        # A file saved while it was read keeps its earlier stamp, so that it is read once more.
        now = stamps_of(self._files)
        self._stamps = {file: stamps.get(file, now[file]) for file in self._files}
        visit.read_with(loaded)
        visit.trial_note = (
            say_count(
                len(visit.differences),
                "The file was saved and read anew: 1 thing follows differently, see the summary.",
                "The file was saved and read anew: {count} things follow differently,"
                " see the summary.",
            )
            if visit.differences
            else say("The file was saved and read anew: the same follows as before.")
        )
        return True
