"""What is chosen once for all: in a small file, after the environment, and never misread."""

from pathlib import Path

import pytest

from examwalk.files import SaveFailedError
from examwalk.problems import UnusableFileError
from examwalk.settings import SETTINGS, chosen, chosen_path, read_settings, write_setting


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "chosen" / "settings.toml"
    monkeypatch.setenv("EXAMWALK_SETTINGS", str(path))
    for setting in SETTINGS.values():
        if setting.variable:
            monkeypatch.delenv(setting.variable, raising=False)
    return path


def written(file: Path, text: str) -> Path:
    file.parent.mkdir(exist_ok=True)
    file.write_text(text, "utf-8")
    return file


def the_problem_in(file: Path) -> str:
    with pytest.raises(UnusableFileError) as caught:
        read_settings(file)
    [problem] = caught.value.problems
    return str(problem)


def test_without_a_file_nothing_is_chosen(file):
    assert {key: chosen(key) for key in SETTINGS} == dict.fromkeys(SETTINGS, "")
    assert chosen_path("sessions") is None


@pytest.mark.parametrize("text", ["", "# nothing yet\n"])
def test_an_empty_file_chooses_nothing(file, text):
    assert read_settings(written(file, text)) == {}


def test_what_the_file_says_is_chosen(file):
    written(file, 'examiner = "KL"\npaper = "letter"\n')
    assert (chosen("examiner"), chosen("paper"), chosen("theme")) == ("KL", "letter", "")


def test_the_environment_comes_before_the_file(file, monkeypatch):
    written(file, 'sessions = "/file"\n')
    monkeypatch.setenv("EXAMWALK_SESSIONS", "/environment")
    assert chosen("sessions") == "/environment"
    monkeypatch.setenv("EXAMWALK_SESSIONS", "  ")
    assert chosen("sessions") == "/file"


def test_a_relative_path_counts_from_the_folder_of_the_file(file):
    written(file, 'sessions = "visits"\nprotocols = "~/protocols"\n')
    assert chosen_path("sessions") == file.parent / "visits"
    assert chosen_path("protocols") == Path.home() / "protocols"


def test_every_problem_is_told_with_its_line_and_what_would_be_right(file):
    written(file, '# ours\nexaminr = "KL"\n\npaper = "A5"\ntheme = 1\nprotocol = " "\n')
    with pytest.raises(UnusableFileError) as caught:
        read_settings(file)
    told = [(problem.line, problem.place, problem.message) for problem in caught.value.problems]
    assert [(line, place) for line, place, _ in told] == [
        (2, "examinr"),
        (4, "paper"),
        (5, "theme"),
        (6, "protocol"),
    ]
    assert "Did you mean “examiner”?" in told[0][2]
    assert "A4 or letter" in told[1][2]
    assert "a text in quotes" in told[2][2]
    assert "blank" in told[3][2]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('examiner = "\\u001b[2J"', "control character"),
        ('examiner = "a\\nb"', "control character"),
        ('examiner = "\\u202e"', "control character"),
        (f'examiner = "{"x" * 1001}"', "1001 characters"),
        ("examiner = " + "[" * 3000 + "]" * 3000, "nested too deeply"),
        ("examiner = KL", "not valid TOML"),
        ("x" * 30_000, "bytes"),
        ("[examiner]", "a text in quotes"),
        ('"\\u001b]0;x\\u0007" = "x"', "There is no setting"),
    ],
)
def test_hostile_or_broken_settings_are_refused_in_harmless_words(file, text, told):
    problem = the_problem_in(written(file, text + "\n"))
    assert told in problem
    assert problem.isprintable()


class TestWriting:
    def test_a_setting_is_written_for_this_user_alone(self, file):
        assert write_setting("examiner", "KL") == file
        assert chosen("examiner") == "KL"
        assert file.stat().st_mode & 0o077 == 0

    def test_comments_and_other_lines_stay_where_they_are(self, file):
        written(file, '# ours\npaper = "A4"   # the printer has nothing else\ntheme = "dark"\n')
        write_setting("theme", "light")
        write_setting("examiner", "KL")
        assert file.read_text("utf-8") == (
            '# ours\npaper = "A4"   # the printer has nothing else\ntheme = "light"\n'
            'examiner = "KL"\n'
        )

    def test_a_setting_is_taken_back_and_the_others_stay(self, file):
        written(file, '# ours\npaper = "A4"\ntheme = "dark"\n')
        write_setting("paper", None)
        assert file.read_text("utf-8") == '# ours\ntheme = "dark"\n'

    def test_taking_back_what_was_never_chosen_changes_nothing(self, file):
        written(file, 'theme = "dark"\n')
        write_setting("paper", None)
        assert file.read_text("utf-8") == 'theme = "dark"\n'

    @pytest.mark.parametrize(
        "text", ['examiner = """\nKL"""\npaper = "A4"\n', "'examiner' = 'KL'\npaper = 'A4'\n"]
    )
    def test_however_it_was_written_the_new_value_and_nothing_else_changes(self, file, text):
        written(file, text)
        write_setting("examiner", 'M "N" \\')
        assert read_settings(file) == {"examiner": 'M "N" \\', "paper": "A4"}

    def test_a_wrong_value_leaves_the_file_as_it_was(self, file):
        written(file, 'theme = "dark"\n')
        with pytest.raises(UnusableFileError, match="dark or light"):
            write_setting("theme", "pink")
        assert file.read_text("utf-8") == 'theme = "dark"\n'

    def test_a_broken_file_is_not_written_over(self, file):
        written(file, "theme = dark\n")
        with pytest.raises(UnusableFileError, match="not valid TOML"):
            write_setting("theme", "light")
        assert file.read_text("utf-8") == "theme = dark\n"

    def test_a_folder_in_the_way_is_told_in_a_sentence(self, file):
        file.parent.parent.joinpath("chosen").write_text("a file", "utf-8")
        with pytest.raises((SaveFailedError, OSError)):
            write_setting("theme", "light")
