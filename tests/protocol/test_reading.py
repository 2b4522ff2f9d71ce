"""A protocol that is read tells what it is, and one that cannot be tells everything at once."""

import pytest
from good_protocol import EXAM, FILES, REASONING, problems_of, read_good, write_files

from examwalk.protocol.reading import read_protocol


def test_a_protocol_is_the_same_from_a_folder_and_from_its_copy_in_one_file(tmp_path):
    loaded = read_good(tmp_path)
    copy = tmp_path / "copy.toml"
    copy.write_text(loaded.text, encoding="utf-8")
    again = read_protocol(copy)
    assert again.protocol == loaded.protocol
    assert again.fingerprint == loaded.fingerprint
    assert again.path == copy


def test_every_problem_of_meaning_is_told_at_once_with_its_own_file(tmp_path):
    exam = EXAM.replace('scale = "strength"', 'scale = "strenght"').replace(
        "step = 0.5", "step = 0"
    )
    reasoning = REASONING.replace('calculation = "sum"', 'calculation = "summ"')
    problems = problems_of(write_files(tmp_path / "p", {"a.toml": exam, "b.toml": reasoning}))
    assert {(problem.file.name, problem.place) for problem in problems} == {
        ("a.toml", 'test "strength", scale'),
        ("a.toml", 'test "lunge", step'),
        ("b.toml", 'derived "effort-total", calculation'),
    }


def test_where_the_shape_is_wrong_only_the_shape_is_told(tmp_path):
    exam = EXAM.replace('scale = "strength"', 'scale = "strenght"').replace(
        "step = 0.5", 'step = "x"'
    )
    problems = problems_of(write_files(tmp_path / "p", {**FILES, "exam.toml": exam}))
    assert [problem.place for problem in problems] == ['test "lunge", step']


def test_a_problem_says_file_line_place_and_what_is_wrong_in_one_line(tmp_path):
    folder = write_files(
        tmp_path / "p", {**FILES, "exam.toml": EXAM.replace("minutes = 5", 'minutes = "5"')}
    )
    (problem,) = problems_of(folder)
    line = EXAM[: EXAM.index("minutes")].count("\n") + 1
    assert str(problem) == (
        f'{folder / "exam.toml"}:{line}: protocol, minutes: expected a whole number, found "5".'
    )


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ('why = "It', 'wy = "It', 'test "resistance", wy'),
        (
            'statistic = "W',
            'statistics = "W',
            'test "resistance", reliability number 1, statistics',
        ),
        ("[scales.strength]", "[scale.strength]", "scale"),
        ("[scales.strength]", "[scales.Strength]", "scales, Strength"),
        ('id = "lunge"', 'id = "Lunge"', 'test "Lunge", id'),
        ('id = "lunge"', "id = 7", "test number 10, id"),
        ('label = "long", above', 'label = "long", abov', 'test "lunge", bands number 3, abov'),
    ],
)
def test_a_place_is_named_as_a_reader_of_the_file_would(tmp_path, old, new, place):
    assert EXAM.count(old) == 1
    files = {**FILES, "exam.toml": EXAM.replace(old, new)}
    (problem,) = problems_of(write_files(tmp_path / "p", files))
    assert problem.place == place
    assert problem.line == EXAM[: EXAM.index(old)].count("\n") + 1


@pytest.mark.parametrize(
    "harm",
    [
        '"\\u001b[31mred" = 1\n',
        '"\\u202ekey\\n\\nsecond: line" = 1\n',
        'about = "\\u001b]0;title\\u0007"\n',
        'id = "\\u001b[2J"\n',
        '[protocol."\\u001b[1m"]\n',
        'labels."\\u0007" = "x"\n',
    ],
)
def test_what_a_file_holds_never_drives_the_terminal_through_a_problem(tmp_path, harm):
    path = tmp_path / "p.toml"
    path.write_text("[protocol]\n" + harm, encoding="utf-8")
    told = [str(problem) for problem in problems_of(path)]
    assert told
    assert all(one.isprintable() for one in told), told


def test_each_of_many_mistakes_has_its_own_line(tmp_path):
    rows = "".join(f'[[test]]\nid = "t{n}"\nbogus-{n} = 1\n' for n in range(500))
    path = tmp_path / "p.toml"
    path.write_text(rows)
    places = {(problem.place, problem.line) for problem in problems_of(path)}
    assert {(f'test "t{n}", bogus-{n}', 3 * n + 3) for n in range(500)} <= places


def test_a_file_is_looked_through_once_however_many_mistakes_are_in_it(tmp_path):
    part = read_good(tmp_path).document.parts[0]
    assert part.lines is part.lines
