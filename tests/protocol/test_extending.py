"""A protocol that extends another states what differs; everything unspoken flows in."""

from pathlib import Path

import pytest
from good_protocol import FILES, problems_of, write_files

from examwalk.problems import UnusableFileError
from examwalk.protocol.reading import LoadedProtocol, read_protocol

HEAD = '[protocol]\nid = "clinic"\ntitle = "Our clinic"\nversion = "1"\nextends = "good"\n'


def extended(folder: Path, text: str) -> Path:
    write_files(folder / "good", FILES)
    path = folder / "clinic.toml"
    path.write_text(HEAD + text, encoding="utf-8")
    return path


def loaded(folder: Path, text: str) -> LoadedProtocol:
    return read_protocol(extended(folder, text))


def told(folder: Path, text: str) -> list[tuple[int | None, str]]:
    return [
        (problem.line, f"{problem.place}: {problem.message}")
        for problem in problems_of(extended(folder, text))
    ]


def test_what_is_not_said_is_inherited(tmp_path: Path) -> None:
    base = read_protocol(write_files(tmp_path / "good", FILES)).protocol
    mine = loaded(tmp_path, "").protocol
    assert mine.tests == base.tests
    assert mine.rules == base.rules
    assert mine.sources == base.sources
    assert (mine.identity.id, mine.identity.disclaimer) == ("clinic", base.identity.disclaimer)


def test_a_key_that_is_given_replaces_the_inherited_one_and_no_other(tmp_path: Path) -> None:
    text = '[[test]]\nid = "lunge"\nusual = [3, 20]\nhow = ["Knee to the wall."]\n'
    test = loaded(tmp_path, text).protocol.tests_by_id["lunge"]
    assert test.usual == (3, 20)
    assert test.how == ("Knee to the wall.",)
    assert test.hard == (0, 25)
    assert [band.label for band in test.bands] == ["short", "ordinary", "long"]


def test_one_grade_can_be_reworded_alone(tmp_path: Path) -> None:
    text = '[[test]]\nid = "resistance"\n[test.grades]\nhard = { looks = "Both hands." }\n'
    grades = loaded(tmp_path, text).protocol.tests_by_id["resistance"].grades
    assert grades["hard"].looks == "Both hands."
    assert grades["easy"].looks == "One fingertip lifts it."


def test_one_label_of_a_scale_can_be_changed_alone(tmp_path: Path) -> None:
    text = '[scales.effort.labels]\nhard = "very hard"\n'
    scale = loaded(tmp_path, text).protocol.scales["effort"]
    assert scale.label("hard") == "very hard"
    assert scale.label("middling") == "in between"


def test_a_condition_is_replaced_whole(tmp_path: Path) -> None:
    text = '[[test]]\nid = "crack-depth"\nask_when = { test = "hot-foot", is = "yes" }\n'
    condition = loaded(tmp_path, text).protocol.tests_by_id["crack-depth"].ask_when
    assert condition is not None
    assert (condition.test, condition.is_, condition.includes) == ("hot-foot", "yes", None)


REMOVE = '[remove]\nadvice = ["stretch"]\n'
NEW_TEST = (
    '[[test]]\nid = "squeeze"\ntitle = "Squeeze"\nposition = "standing"\nkind = "choice"\n'
    'option_set = "yes-no"\nbasis = ["common-practice"]\n'
)


@pytest.mark.parametrize(
    ("where", "expected"),
    [
        ("", ["resistance", "strength", "lunge", "squeeze"]),
        ('after = "resistance"\n', ["resistance", "squeeze", "strength", "lunge"]),
        ('before = "resistance"\n', ["squeeze", "resistance", "strength", "lunge"]),
    ],
)
def test_a_new_test_stands_where_it_says(tmp_path: Path, where: str, expected: list) -> None:
    protocol = loaded(tmp_path, NEW_TEST + where).protocol
    standing = [test.id for test in protocol.tests_in_order if test.position == "standing"]
    assert standing == expected


def test_an_inherited_test_can_be_moved(tmp_path: Path) -> None:
    protocol = loaded(tmp_path, '[[test]]\nid = "lunge"\nbefore = "resistance"\n').protocol
    standing = [test.id for test in protocol.tests_in_order if test.position == "standing"]
    assert standing == ["lunge", "resistance", "strength"]


def test_a_test_that_nothing_uses_can_be_removed(tmp_path: Path) -> None:
    extended(tmp_path, NEW_TEST)
    room = tmp_path / "room.toml"
    text = '[protocol]\nid = "room"\nextends = "clinic"\n[remove]\ntests = ["squeeze"]\n'
    room.write_text(text, encoding="utf-8")
    assert "squeeze" not in read_protocol(room).protocol.tests_by_id


def test_what_is_removed_and_still_used_is_named_with_all_that_uses_it(tmp_path: Path) -> None:
    ((line, message),) = told(tmp_path, '[remove]\ntests = ["height"]\n')
    assert line == 7
    assert "“height” is removed here and still used" in message
    assert 'derived = ["body-mass-index"' in message


def test_several_levels_flow_into_each_other(tmp_path: Path) -> None:
    extended(tmp_path, '[[test]]\nid = "lunge"\nusual = [3, 20]\n')
    room = tmp_path / "room.toml"
    room.write_text(
        '[protocol]\nid = "room"\nextends = "clinic"\n[[test]]\nid = "lunge"\nunit = "mm"\n',
        encoding="utf-8",
    )
    test = read_protocol(room).protocol.tests_by_id["lunge"]
    assert (test.unit, test.usual, test.hard) == ("mm", (3, 20), (0, 25))


def test_a_later_version_of_the_base_flows_in(tmp_path: Path) -> None:
    path = extended(tmp_path, '[[test]]\nid = "lunge"\nusual = [3, 20]\n')
    newer = {**FILES, "exam.toml": FILES["exam.toml"].replace("Lunge distance", "Knee to wall")}
    write_files(tmp_path / "good", newer)
    test = read_protocol(path).protocol.tests_by_id["lunge"]
    assert (test.title, test.usual) == ("Knee to wall", (3, 20))


def test_the_kept_copy_of_an_extending_protocol_means_the_same(tmp_path: Path) -> None:
    mine = loaded(tmp_path, REMOVE + NEW_TEST)
    copy = tmp_path / "elsewhere" / "copy.toml"
    copy.parent.mkdir()
    copy.write_text(mine.text, encoding="utf-8")
    kept = read_protocol(copy)
    assert kept.fingerprint == mine.fingerprint
    assert kept.protocol == mine.protocol


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ('[remove]\ntests = ["lunges"]\n', 7, ("nothing “lunges”", "lunge")),
        ('[remove]\ntest = ["lunge"]\n', 7, ("knows no “test”", "tests")),
        ('[remove]\ntests = "lunge"\n', 7, ("expected a list of ids",)),
        (NEW_TEST + 'after = "resistanse"\n', 13, ("nothing “resistanse” to stand after",)),
        ('[[test]]\nid = "lunge"\nusuall = [1, 2]\n', 8, ("usuall", "usual")),
        ('[[test]]\nid = "lunge"\nusual = [1, 99]\n', 8, ("inside “hard”",)),
    ],
)
def test_a_mistake_is_told_on_the_line_of_the_extending_file(
    tmp_path: Path, text: str, line: int, words: tuple[str, ...]
) -> None:
    found = told(tmp_path, text)
    assert [number for number, _ in found] == [line], found
    for word in words:
        assert word in found[0][1]


def test_a_mistake_in_the_base_is_told_in_the_base(tmp_path: Path) -> None:
    path = extended(tmp_path, "")
    broken = FILES["exam.toml"].replace("hard = [0, 25]", "hard = [25, 0]")
    write_files(tmp_path / "good", {**FILES, "exam.toml": broken})
    assert {problem.file.name for problem in problems_of(path)} == {"exam.toml"}


def refusal(path: Path) -> str:
    with pytest.raises(UnusableFileError) as caught:
        read_protocol(path)
    (problem,) = caught.value.problems
    assert problem.file == path
    assert problem.line == 5
    return problem.message


def write(path: Path, extends: str) -> Path:
    path.parent.mkdir(exist_ok=True)
    text = HEAD.replace('extends = "good"', f'extends = "{extends}"')
    path.write_text(text, encoding="utf-8")
    return path


def test_protocols_that_extend_each_other_in_a_circle_are_named(tmp_path: Path) -> None:
    write(tmp_path / "second.toml", "first")
    first = write(tmp_path / "first.toml", "second")
    with pytest.raises(UnusableFileError, match="first → second → first"):
        read_protocol(first)


def test_a_missing_base_is_named_with_the_known_ones(tmp_path: Path) -> None:
    message = refusal(write(tmp_path / "mine.toml", "adlut"))
    assert "no protocol “adlut”" in message
    assert "adult" in message


@pytest.mark.parametrize("outside", ["../secret", "/etc/passwd"])
def test_a_base_outside_the_folder_is_refused(tmp_path: Path, outside: str) -> None:
    (tmp_path / "secret.toml").write_text(HEAD, encoding="utf-8")
    message = refusal(write(tmp_path / "inside" / "mine.toml", outside))
    assert "lies outside" in message or "no protocol" in message


def test_a_link_that_leads_outside_is_refused(tmp_path: Path) -> None:
    (tmp_path / "secret.toml").write_text(HEAD, encoding="utf-8")
    mine = write(tmp_path / "inside" / "mine.toml", "linked")
    (tmp_path / "inside" / "linked.toml").symlink_to(tmp_path / "secret.toml")
    assert "lies outside" in refusal(mine)


def test_an_extending_protocol_needs_an_id_of_its_own(tmp_path: Path) -> None:
    write_files(tmp_path / "good", FILES)
    path = tmp_path / "clinic.toml"
    path.write_text('[protocol]\nextends = "good"\n', encoding="utf-8")
    with pytest.raises(UnusableFileError, match="needs an id of its own"):
        read_protocol(path)


class TestChanges:
    """What an extending protocol changes is said in words, and never silently for safety."""

    def changes(self, folder: Path, text: str) -> dict[str, bool]:
        return {
            change.says: change.touches_safety
            for change in loaded(folder, text).changes
            if change.kind != "protocol"
        }

    def test_nothing_changed_says_nothing(self, tmp_path: Path) -> None:
        assert self.changes(tmp_path, "") == {}

    def test_a_short_value_is_shown_before_and_after(self, tmp_path: Path) -> None:
        found = self.changes(tmp_path, '[[test]]\nid = "lunge"\nusual = [3, 20]\n')
        assert found == {"test “lunge”: usual: [2, 18] → [3, 20]": False}

    def test_added_and_removed_tables_are_named_with_their_titles(self, tmp_path: Path) -> None:
        found = self.changes(tmp_path, REMOVE + NEW_TEST)
        assert found == {
            "advice “stretch” removed: Stretch the calf.": False,
            "test “squeeze” added: Squeeze": False,
        }

    @pytest.mark.parametrize(
        "text",
        [
            '[[caution]]\nid = "{caution}"\ndevice = "allow"\n',
            '[[caution]]\nid = "{caution}"\nurgency = "routine"\n',
            '[[caution]]\nid = "{caution}"\nwhen = {{ test = "skin", includes = "crack" }}\n',
            '[[test]]\nid = "hot-foot"\nsafety = false\n',
            (
                '[[position]]\nid = "standing"\n'
                'ask_when = {{ test = "skin", side = "either", includes = "crack" }}\n'
            ),
        ],
    )
    def test_a_weakened_caution_or_safety_question_is_marked(
        self, tmp_path: Path, text: str
    ) -> None:
        base = read_protocol(write_files(tmp_path / "good", FILES)).protocol
        caution = base.cautions[0]
        assert (caution.urgency, caution.device.value) == ("emergency", "stop")
        found = self.changes(tmp_path, text.format(caution=caution.id))
        assert list(found.values()) == [True], found
