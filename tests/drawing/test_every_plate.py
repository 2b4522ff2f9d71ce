"""What must hold of every test that is drawn: told apart, put into words, and alike elsewhere."""

import pytest
from adult_drawings import unlike

from examwalk.drawing.atlas import Atlas
from examwalk.drawing.checking import find_problems
from examwalk.drawing.composing import compose
from examwalk.drawing.sheet import Plate, alike
from examwalk.protocol.exam_model import Test
from examwalk.protocol.figures import figure_of_choice, figure_of_test
from examwalk.protocol.library import find_protocol
from examwalk.protocol.model import Protocol
from examwalk.protocol.shipped import read_shipped
from examwalk.protocol.wording import choices_of
from examwalk.report.figure_files import grades_alone, plates_of

PROTOCOLS = {
    name: read_shipped(find_protocol(name)).protocol
    for name in ("adult", "short", "runner", "diabetic", "child", "review")
}
GRADED = {
    "arch-height-loaded": {"ankle-bone", "arch", "instep"},
    "arch-height-unloaded": {"ankle-bone", "arch", "instep"},
    "supination-resistance": {"arch", "effort", "fingers-hooking", "instep"},
    "jack-effort": {"arch", "effort", "finger", "foot", "instep"},
    "jack-arch-rise": {"arch", "instep"},
    "heel-to-arch-contour": {"contour", "rise", "soft-tissue"},
    "fascia-prominence": {"band", "band-across", "skin-across"},
    "fpi-calcaneus": {"rear-foot"},
    "fpi-talar-head": {"head"},
    "fpi-malleolar-curves": {"lateral"},
    "fpi-talonavicular": {"border"},
    "fpi-arch": {"ankle-bone", "arch", "instep"},
    "fpi-forefoot": {"toes"},
    "hallux-valgus": {"bump", "nail", "toe"},
    "block-test": {"rear-foot"},
    "patella-facing": {"facing", "patella"},
    "double-heel-raise": {"heel"},
    "knee-over-toes": {"leg", "patella"},
    "calf-squeeze": {"foot", "leg", "way"},
    "subtalar-range": {"everted", "inverted", "range"},
    "forefoot-alignment": {"first-head", "forefoot", "plane"},
    "heel-tenderness": {"centre", "lateral", "tubercle"},
    "heel-pad": {"pad", "skin", "thumb"},
    "first-mtp-enlargement": {"finger", "knob", "shoe", "skin"},
    "first-ray-position": {"first-head", "skin"},
    "first-ray-mobility": {"first-head", "skin", "stop", "thumb", "travel"},
    "first-metatarsal-length": {"first-bone", "first-crest"},
    "hamstring-length": {"leg", "shin"},
    "tibialis-posterior-strength": {"carrier", "finger", "foot", "push", "tendon", "thumb"},
    "heel-rise-timing": {"foot", "lift", "stance", "swing"},
    "abductory-twist": {"flick", "heel", "lateral", "medial"},
    "skin-check": {"edge", "floor", "mark", "spread"},
    "callus-site": {"mark"},
    "pulse-dorsalis-pedis": {"artery", "trace"},
    "pulse-posterior-tibial": {"artery", "trace"},
    "tuning-fork": {"felt"},
}
"""The parts that a grade is about; every other named part is the same in all grades."""


NOTHING_TO_DRAW = {("second-shoe-volume", "none")}


def figures_of(protocol: Protocol, test: Test) -> list[str]:
    """Return the figures of a test's grades or options, without those it lacks."""
    found = [figure_of_choice(protocol, test, one.id) for one in choices_of(protocol, test)]
    return [figure for figure in found if figure is not None]


def drawn_first_in(test_id: str) -> Protocol:
    return next(one for one in PROTOCOLS.values() if test_id in one.tests_by_id)


@pytest.mark.parametrize("name", PROTOCOLS)
def test_every_figure_can_be_drawn(name: str) -> None:
    assert PROTOCOLS[name].figures
    assert find_problems(PROTOCOLS[name].outlines, PROTOCOLS[name].figures) == ()


@pytest.mark.parametrize("name", PROTOCOLS)
def test_neighbouring_answers_can_be_told_apart_even_when_small(name: str) -> None:
    protocol = PROTOCOLS[name]
    plates: tuple[Plate, ...] = grades_alone(plates_of(protocol))
    assert any(len(plate.entries) > 1 for plate in plates)
    assert alike(plates, Atlas(protocol.outlines, protocol.figures)) == ()


@pytest.mark.parametrize("name", PROTOCOLS)
def test_a_test_has_all_its_answers_drawn_or_none(name: str) -> None:
    protocol = PROTOCOLS[name]
    gaps = set()
    for test in protocol.tests:
        if figures_of(protocol, test):
            gaps |= {
                (test.id, one.id)
                for one in choices_of(protocol, test)
                if figure_of_choice(protocol, test, one.id) is None
            }
    assert gaps - NOTHING_TO_DRAW == set()


@pytest.mark.parametrize("name", PROTOCOLS)
def test_the_words_of_how_it_is_done_and_of_each_answer_all_differ(name: str) -> None:
    protocol = PROTOCOLS[name]
    atlas = Atlas(protocol.outlines, protocol.figures)
    for test in protocol.tests:
        figures = {figure_of_test(protocol, test), *figures_of(protocol, test)} - {None}
        assert len({atlas.words(str(figure)) for figure in figures}) == len(figures), test.id


@pytest.mark.parametrize("test_id", GRADED)
def test_only_what_is_graded_differs(test_id: str) -> None:
    protocol = drawn_first_in(test_id)
    figures = figures_of(protocol, protocol.tests_by_id[test_id])
    assert len(figures) > 1
    made = [compose(figure, protocol.outlines, protocol.figures) for figure in figures]
    assert unlike(figures, made, GRADED[test_id]) == []
