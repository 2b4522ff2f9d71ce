"""How many keys a grade costs."""

from itertools import repeat

from examination import two_sided_grades
from grown_up import reply_of

from examwalk.protocol.library import DEFAULT_PROTOCOL, find_protocol
from examwalk.protocol.shipped import read_shipped
from examwalk.reasoning.places import places_of
from examwalk.session.model import Place
from examwalk.session.storing import read_session
from examwalk.tui.app import ExamwalkApp

MOST_KEYS_A_GRADE = 1.15
MOST_ENTERS = 3
"""How often Enter is tried where the keys of an answer do not lead on; each try counts."""
TEXTUAL_NAMES = {"Enter": "enter", ".": "full_stop", ",": "comma", "-": "minus"}


async def test_a_grade_on_each_side_costs_one_key_from_the_first_graded_test_to_the_last(tmp_path):
    loaded = read_shipped(find_protocol(DEFAULT_PROTOCOL))
    app = ExamwalkApp(tmp_path)
    spent: dict[Place, int] = {}
    async with app.run_test(size=(80, 24)) as pilot:
        app.begin_visit(loaded, "P-0042", "AB")
        await pilot.pause()
        while (place := here(app)) not in spent:
            keys = reply_of(loaded.protocol, place).keys
            spent[place] = 0
            for key in (*keys, *repeat("Enter", MOST_ENTERS)):
                app.simulate_key(TEXTUAL_NAMES.get(key, key))
                await pilot.pause(0)
                spent[place] += 1
                if here(app) != place:
                    break
        path = app.visit.path

    answers = read_session(path).answers
    graded = [place for test in two_sided_grades(loaded.protocol) for place in places_of(test)]
    asked = [place for place in graded if place in spent]
    assert len(asked) >= 40
    assert sum(spent[place] for place in asked) <= MOST_KEYS_A_GRADE * len(asked)
    for place in asked:
        assert answers[place] == reply_of(loaded.protocol, place).answer
        assert Place(place.test, place.side.other) in answers


def here(app: ExamwalkApp) -> Place:
    """Return where the exam is."""
    assert app.visit is not None
    assert app.visit.session.here is not None
    return app.visit.session.here
