"""The exam of a visit under the small protocol, to press keys in and to look at."""

from screen_text import an_app, begin_small_visit, keys, screen_text, starting_with
from small_protocol import SMALL

from examwalk.session.model import Place, Side
from examwalk.session.storing import read_session

NORMAL = (80, 24)


class exam:  # noqa: N801 (reads as a word in "async with exam(...)")
    """The exam of a small visit in an app without a terminal."""

    def __init__(self, folder, text=SMALL, size=NORMAL):
        self.app = an_app(folder / "sessions")
        self.folder, self.text, self.size = folder, text, size

    async def __aenter__(self):
        starting_with(lambda: begin_small_visit(self.app, self.folder, self.text), self.app)
        self.running = self.app.run_test(size=self.size)
        self.pilot = await self.running.__aenter__()
        await self.pilot.pause()
        return self

    async def __aexit__(self, *error):
        return await self.running.__aexit__(*error)

    async def press(self, *names):
        await keys(self.pilot, *names)

    async def at(self, test, side=Side.LEFT):
        walk = self.app.screen._walk
        walk.go(Place(test, side))
        self.app.screen.refresh_visit()
        await self.pilot.pause()

    @property
    def text_shown(self):
        return screen_text(self.app)

    @property
    def lines(self):
        return self.text_shown.splitlines()

    def line_with(self, words):
        return next(line for line in self.lines if words in line)

    @property
    def stored(self):
        return read_session(self.app.visit.path)
