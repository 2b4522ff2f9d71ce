"""Hostile words in every free field of a visit and its protocol, on every screen of the app."""

import importlib
import pkgutil
import unicodedata
from contextlib import asynccontextmanager

import hostile_visits
import pytest
from hostile_visits import (
    ANSWERS,
    CODE,
    CONTROLS,
    LONG,
    hostile,
    put_hostile_lock,
    put_hostile_visit,
    without_cleaning,
)
from ordering_protocol import LEFT, WHOLE
from screen_text import an_app, keys, screen_text, type_text

from examwalk.catalogues import choose_language
from examwalk.language import say
from examwalk.session.model import Place, State
from examwalk.tui import screens
from examwalk.tui.app import Start
from examwalk.tui.screens.charts import ChartsPage
from examwalk.tui.screens.comparing import ComparingPage
from examwalk.tui.screens.confirm import ConfirmSheet, TellSheet
from examwalk.tui.screens.decision import DecisionSheet
from examwalk.tui.screens.exam import ExamScreen
from examwalk.tui.screens.jump import JumpSheet
from examwalk.tui.screens.not_done import NotDoneSheet
from examwalk.tui.screens.note import NoteSheet
from examwalk.tui.screens.outcome_page import OutcomePage
from examwalk.tui.screens.page import TOO_SMALL, Page, Sheet
from examwalk.tui.screens.reading import ReadingPage
from examwalk.tui.screens.repeats import RepeatsPage
from examwalk.tui.screens.review import ReviewScreen
from examwalk.tui.screens.start import StartScreen
from examwalk.tui.screens.summary import SummaryScreen
from examwalk.tui.screens.visit import VisitScreen
from examwalk.tui.screens.why import WhyPage
from examwalk.tui.screens.writing_pages import PagesSheet
from examwalk.tui.widgets.lines import Pointer
from examwalk.tui.widgets.row_list import RowList

SIZE = (80, 24)
SMALLER = ((60, 18), (60, 16))
"""In the last one only a plea for room is shown."""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    without_cleaning(monkeypatch)
    return tmp_path / "visits"


class Walked:
    """An app that is led from screen to screen, each looked at for harm."""

    def __init__(self, pilot):
        self.pilot, self.app = pilot, pilot.app
        self.has_room = not hostile_visits.BEHIND
        self.seen = set()

    async def press(self, *names):
        await keys(self.pilot, *names)
        await self.app.workers.wait_for_complete()
        await self.pilot.pause()

    async def look(self, screen, *words):
        """Check that a screen is shown, with what is left of hostile words, and does no harm.

        A kind of screen is looked at in every size the first time.
        """
        assert type(self.app.screen) is screen
        if screen not in self.seen:
            self.seen.add(screen)
            for size in SMALLER:
                await self.pilot.resize_terminal(*size)
                await self.pilot.pause()
                assert_harmless(self.app)
            assert say(TOO_SMALL)[:20] in screen_text(self.app)
            await self.pilot.resize_terminal(*SIZE)
            await self.pilot.pause()
        assert_harmless(self.app)
        shown = "".join(screen_text(self.app).split())
        for word in words if self.has_room else ():
            assert word in shown, screen_text(self.app)

    async def read_on_to(self, word):
        """Scroll the reasons until a word comes up; how far down it is depends on the room."""
        for _ in range(10 if self.has_room else 1):
            if word in "".join(screen_text(self.app).split()):
                return
            await self.press("space")

    async def at(self, test, side=LEFT):
        self.app.show_exam()
        await self.pilot.pause()
        self.app.screen._walk.go(Place(test, side))
        self.app.screen.refresh_visit()
        await self.pilot.pause()

    async def point(self, feature, side=LEFT):
        self.app.screen.query_one("#rows", RowList).point_at(Pointer(("feature", feature), side))
        await self.pilot.pause()


def assert_harmless(app):
    """Nothing of what is painted drives the terminal, and no word of a file became an action."""
    assert app.is_running
    for strip in app.screen._compositor.render_strips():
        for segment in strip:
            harmful = [c for c in segment.text if unicodedata.category(c).startswith("C")]
            assert harmful == []
            if segment.style is not None:
                assert segment.style.link is None
                assert "@click" not in segment.style.meta


@asynccontextmanager
async def walked(folder, begin=None):
    app = an_app(folder, begin)
    async with app.run_test(size=SIZE) as pilot:
        walk = Walked(pilot)
        await walk.press()
        yield walk


async def the_start(folder):
    """Walk through what is shown before a visit is open."""
    path = put_hostile_visit(folder)
    put_hostile_visit(folder, 4)
    (folder / "damaged.toml").write_text(f'format = 1\n"{hostile("key")}" = ', "utf-8")
    (folder / "evil\x1b]2;x\x07\u202e.toml").write_text("x", "utf-8")
    async with walked(folder) as walk:
        await walk.look(StartScreen, CODE, "[red]examiner[/]")
        await walk.press("slash")
        await type_text(walk.pilot, "[red]zz")
        await walk.look(StartScreen, "“[red]zz”")
        await walk.press("escape", "home", "enter")
        await walk.look(TellSheet, "evil")
        await walk.press("enter", "down", "enter")
        await walk.look(TellSheet, "damaged.toml")
        await walk.press("enter", "question_mark")
        await walk.look(ReadingPage)
    async with walked(folder, Start("new", protocol=str(folder.parent / "small.toml"))) as other:
        await other.look(VisitScreen, "[red]title-a[/]", "[red]about-for[/]")
    put_hostile_lock(path)
    async with walked(folder, Start("open", path)) as held:
        await held.look(ExamScreen, "[red]holder[/]", "[red]host[/]")
        await held.press("ctrl+t")
        await held.look(ConfirmSheet, "[red]holder[/]")
    return walk.seen | other.seen | held.seen


async def the_exam(folder):
    """Walk through the exam and what opens over it."""
    async with walked(folder, Start("open", put_hostile_visit(folder))) as walk:
        assert CONTROLS in walk.app.visit.session.about  # reading has cleaned nothing here
        assert CONTROLS in walk.app.visit.protocol.identity.disclaimer
        await walk.at("hot-foot")
        await walk.look(ExamScreen, CODE, "[red]about[/]", "[red]title-hot[/]", "[red]label-no[/]")
        await walk.at("resistance")
        await walk.look(ExamScreen, "[red]looks-two[/]")
        await walk.at("lunge")
        await walk.look(ExamScreen, "[red]unit-cm[/]")
        await walk.at("strength")
        await walk.look(ExamScreen, "[red")
        await walk.at("story", WHOLE)
        await walk.look(ExamScreen, "[red]story[/]")
        await walk.at("resistance")
        await walk.press("T")
        await walk.look(ReadingPage, "[red]title-supination[/]", "[red]how-stand[/]")
        await walk.press("escape", "n")
        await walk.look(NoteSheet, "[red]title-supination[/]", "[red]note[/]")
        await walk.press("escape", "x")
        await walk.look(NotDoneSheet, "[red]not_done_reasons-too[/]")
        await walk.press("escape", "slash")
        await walk.look(JumpSheet, "[red]title-supination[/]")
    return walk.seen


async def the_reasons(folder):
    """Walk through what follows from a visit, and why."""
    async with walked(folder, Start("open", put_hostile_visit(folder))) as walk:
        await walk.press("r")
        await walk.look(ReviewScreen, "[red]title-hot[/]")
        await walk.press("s")
        await walk.look(SummaryScreen, "[red]disclaimer-the[/]", "[red]title-hot[/]")
        await walk.point("cover")
        await walk.press("t")
        await walk.look(SummaryScreen, "[red]label-firm[/]")
        for word in ("[red]because[/]", "[red]because-cracked[/]"):
            await walk.read_on_to(word)
            await walk.look(SummaryScreen, word)
        await walk.press("t", "w")
        await walk.look(WhyPage, "[red]title-top[/]")
        await walk.press("n", "1")
        await walk.look(WhyPage, "[red]label-soft[/]")
        await walk.press("escape", "escape", "enter")
        await walk.look(DecisionSheet, "[red]title-top[/]", "[red]label-soft[/]")
    return walk.seen


async def the_pages(folder):
    """Walk through what else is told of a visit, and of the one before it."""
    put_hostile_visit(folder, state=State.FINISHED, answers=ANSWERS | {("lunge", LEFT): 4.0})
    async with walked(folder, Start("open", put_hostile_visit(folder, 4))) as walk:
        await walk.press("s", "e")
        await walk.look(PagesSheet, CODE)
        await walk.press("escape", "g")
        await walk.look(ChartsPage, "[red]")
        await walk.press("escape", "p")
        await walk.look(RepeatsPage, "[red]title-")
        await walk.press("escape", "c")
        await walk.look(ComparingPage, CODE, "[red]title-hot[/]")
    return walk.seen


async def the_record(folder):
    """Walk through what is asked when a visit is signed and corrected."""
    path = put_hostile_visit(folder, state=State.FINISHED)
    async with walked(folder, Start("open", path)) as walk:
        await walk.press("s", "S")
        await walk.look(ConfirmSheet)
        await walk.press("y")
        await type_text(walk.pilot, "[red]AB[/]")
        await walk.look(NoteSheet, "[red]AB[/]")
        await walk.press("enter")
        await walk.look(SummaryScreen, "[red]AB[/]")
        await walk.at("jack")
        await walk.press("c")
        await walk.look(NoteSheet, "[red]title-jack's[/]")
        for words in ("hard", "[red]why[/]", "[/]CD"):
            await type_text(walk.pilot, words)
            await walk.press("enter")
        await walk.look(ExamScreen, "[red]AB[/]")
        await walk.at("story", WHOLE)
        await walk.press("escape", "c")
        await walk.look(NoteSheet, "[red]story[/]")
    return walk.seen


async def the_trial(folder):
    """Walk through a trial of a protocol, also once its file has become wrong."""
    put_hostile_visit(folder)
    protocol = folder.parent / "small.toml"
    async with walked(folder / "trial", Start("try", protocol)) as walk:
        await walk.look(ExamScreen, "[red]title-hot[/]", "Trial")
        protocol.write_text(protocol.read_text("utf-8").replace('"choice"', '"[red]kind[/]"', 1))
        walk.app._look_at_trial()
        await walk.press()
        await walk.look(ExamScreen, "[red]kind[/]")
    return walk.seen


WALKS = {
    the_start: {StartScreen, VisitScreen, TellSheet, ConfirmSheet, ReadingPage, ExamScreen},
    the_exam: {ExamScreen, ReadingPage, NoteSheet, NotDoneSheet, JumpSheet},
    the_reasons: {ReviewScreen, SummaryScreen, WhyPage, DecisionSheet},
    the_pages: {PagesSheet, ChartsPage, RepeatsPage, ComparingPage},
    the_record: {SummaryScreen, ConfirmSheet, NoteSheet, ExamScreen},
    the_trial: {ExamScreen},
}


@pytest.mark.parametrize("walk", WALKS, ids=lambda walk: walk.__name__)
async def test_hostile_words_are_shown_and_do_nothing_on_any_screen_of(walk, folder):
    assert await walk(folder) == WALKS[walk]


async def test_in_german_hostile_words_do_as_little(folder):
    choose_language("de")
    assert await the_reasons(folder) == WALKS[the_reasons]


async def test_very_long_lines_do_no_harm_either(folder, monkeypatch):
    monkeypatch.setattr(hostile_visits, "BEHIND", LONG)
    assert await the_reasons(folder) == WALKS[the_reasons]


def test_no_screen_of_the_app_is_left_out():
    for module in pkgutil.iter_modules(screens.__path__):
        importlib.import_module(f"{screens.__name__}.{module.name}")
    kinds = {Page}
    while more := {one for kind in kinds for one in kind.__subclasses__()} - kinds:
        kinds |= more
    assert kinds - {Page, Sheet, OutcomePage} == set().union(*WALKS.values())
