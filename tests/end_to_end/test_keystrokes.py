"""How many keys a grade costs."""

from collections.abc import Iterator

from examination import adult, two_sided_grades
from grown_up import reply_of

from examwalk.protocol.library import DEFAULT_PROTOCOL, find_protocol
from examwalk.protocol.reading import read_protocol
from examwalk.session.model import BOTH_FEET, Place
from examwalk.session.storing import read_session
from examwalk.tui.app import ExamwalkApp

MOST_KEYS_A_GRADE = 1.15
TEXTUAL_NAMES = {"Enter": "enter", ".": "full_stop", ",": "comma", "-": "minus"}


async def test_a_grade_on_each_side_costs_one_key_from_the_first_graded_test_to_the_last(tmp_path):
    protocol = adult()
    graded = {test.id for test in two_sided_grades(protocol)}
    app = ExamwalkApp(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        app.begin_visit(read_protocol(find_protocol(DEFAULT_PROTOCOL)), "P-0042", "AB")
        await pilot.pause()
        assert app.visit is not None
        spent: dict[Place, int] = {}

        async def press(key: str) -> None:
            app.simulate_key(TEXTUAL_NAMES.get(key, key))
            await pilot.pause(0)

        def here() -> Place:
            place = app.visit.session.here
            assert place is not None
            return place

        while here() not in spent:
            place = here()
            keys: Iterator[str] = iter(reply_of(protocol, place).keys)
            spent[place] = 0
            while here() == place and (key := next(keys, "Enter" if spent[place] < 9 else None)):
                await press(key)
                spent[place] += 1
                await pilot.pause(0)
        path = app.visit.path

    keys_of_grades = {place: spent[place] for place in spent if place.test in graded}
    assert len(keys_of_grades) >= 40
    assert sum(keys_of_grades.values()) <= MOST_KEYS_A_GRADE * len(keys_of_grades)
    answers = read_session(path).answers
    for test in {place.test for place in keys_of_grades}:
        for side in BOTH_FEET:
            place = Place(test, side)
            assert answers[place] == reply_of(protocol, place).answer
