"""What a user may rely on when a file that anyone may have written is read."""

import contextlib
import errno
import os
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from examwalk.problems import Problem, UnusableFileError
from examwalk.reading_files import decode, parse_toml, read_limited


def the_problem(error: pytest.ExceptionInfo[UnusableFileError]) -> Problem:
    (problem,) = error.value.problems
    return problem


class TestReading:
    def test_a_file_of_just_the_limit_is_read(self, tmp_path: Path):
        path = tmp_path / "a.toml"
        path.write_bytes(b"x" * 100)
        assert read_limited(path, 100) == b"x" * 100

    def test_a_larger_file_is_refused_with_both_sizes(self, tmp_path: Path):
        path = tmp_path / "a.toml"
        path.write_bytes(b"x" * 12_345)
        with pytest.raises(UnusableFileError) as error:
            read_limited(path, 12_000)
        problem = the_problem(error)
        assert "12,345 bytes" in problem.message
        assert "12,000 bytes" in problem.message
        assert problem.file == path

    def test_a_missing_file_a_folder_and_an_empty_file_are_told_apart(self, tmp_path: Path):
        (tmp_path / "folder").mkdir()
        (tmp_path / "empty").touch()
        (tmp_path / "text").write_text("x")
        told = {}
        for name in ("missing", "folder", "empty", "text/inside"):
            with pytest.raises(UnusableFileError) as error:
                read_limited(tmp_path / name, 100)
            told[name] = the_problem(error).message
        assert told == {
            "missing": "There is no such file.",
            "folder": "This is a folder; a file is needed here.",
            "empty": "The file is empty.",
            "text/inside": "There is no such file.",
        }

    def test_a_pipe_is_refused_and_never_waited_for(self, tmp_path: Path):
        os.mkfifo(tmp_path / "pipe")
        with pytest.raises(UnusableFileError, match="not an ordinary file"):
            read_limited(tmp_path / "pipe", 100)

    @pytest.mark.parametrize(
        ("number", "words"),
        [(errno.EACCES, "not permitted to read"), (errno.EIO, os.strerror(errno.EIO))],
    )
    def test_an_unreadable_file_is_refused_with_the_reason(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, words: str
    ):
        path = tmp_path / "a.toml"
        path.write_text("x")

        def fail(*_arguments: object) -> object:
            raise OSError(number, os.strerror(number))

        monkeypatch.setattr(Path, "open", fail)
        with pytest.raises(UnusableFileError, match=words):
            read_limited(path, 100)

    def test_a_name_with_a_zero_byte_is_refused_like_any_other(self):
        with pytest.raises(UnusableFileError, match="cannot be read"):
            read_limited(Path("a\0b"), 100)


class TestDecoding:
    PATH = Path("visit.toml")

    def refusal(self, data: bytes) -> Problem:
        with pytest.raises(UnusableFileError) as error:
            decode(self.PATH, data)
        return the_problem(error)

    @given(st.text(alphabet=st.characters(codec="utf-8", exclude_characters="\0")))
    def test_utf_8_is_read_as_it_stands(self, text: str):
        expected = text.removeprefix("\ufeff")
        assert decode(self.PATH, text.encode()) == expected

    def test_a_byte_order_mark_is_taken_off(self):
        assert decode(self.PATH, b"\xef\xbb\xbfformat = 1") == "format = 1"

    def test_latin_1_is_named_with_offset_and_line(self):
        problem = self.refusal("a = 1\nnote = 'Zehenbeuger gek\u00fcrzt'".encode("latin-1"))
        assert "Latin-1" in problem.message
        assert "byte 0xFC at byte offset 29" in problem.message
        assert problem.line == 2

    @pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
    def test_utf_16_is_named_with_or_without_its_mark(self, encoding: str):
        problem = self.refusal('format = 1\nabout = "a visit"\n'.encode(encoding))
        assert "UTF-16" in problem.message
        assert problem.line == 1

    def test_a_file_cut_off_inside_a_character_is_told_as_such(self):
        problem = self.refusal("note = 'gek\u00fc".encode()[:-1])
        assert "cut off in the middle of a character, at byte offset 11" in problem.message

    def test_other_bytes_are_refused_without_a_guess(self):
        problem = self.refusal(b"a\xc3\xff\xfe\xfd")
        assert "byte 0xC3 at byte offset 1" in problem.message
        assert "Latin-1" not in problem.message

    def test_zero_bytes_are_called_damage(self):
        problem = self.refusal(
            b"format = 1\nid = 'a'" + bytes(50) + b"\nmore text that is whole" * 9
        )
        assert "damaged" in problem.message
        assert "byte offset 19" in problem.message
        assert problem.line == 2


class TestToml:
    PATH = Path("protocol.toml")

    def test_tables_are_returned_as_they_stand(self):
        assert parse_toml(self.PATH, "[a]\nb = [1, 2.5]\n") == {"a": {"b": [1, 2.5]}}

    def test_a_mistake_keeps_the_parsers_line_and_column(self):
        with pytest.raises(UnusableFileError) as error:
            parse_toml(self.PATH, 'a = 1\nb = "x\nc = 3\n')
        problem = the_problem(error)
        assert problem.line == 2
        assert "at line 2, column 7" in problem.message
        assert str(problem).startswith("protocol.toml:2: ")

    def test_a_mistake_at_the_end_has_no_line(self):
        with pytest.raises(UnusableFileError) as error:
            parse_toml(self.PATH, "a = ")
        assert "not valid TOML" in the_problem(error).message

    @pytest.mark.parametrize(
        "text", ["a = " + "[" * 50_000, "a = " + "{a = " * 50_000, "a = " + "1" * 5_000]
    )
    def test_what_overruns_the_parser_is_refused_like_any_mistake(self, text: str):
        with pytest.raises(UnusableFileError):
            parse_toml(self.PATH, text)

    @pytest.mark.parametrize(
        "text",
        [
            "a." * 200_000 + "a = 1",
            "a . " * 200_000 + "a = 1",
            "['a'." + '"a".' * 200_000 + "a]",
            "x = {" + "a." * 200_000 + "a = 1}",
            "note = 'it''s'\n" + "a." * 200_000 + "a = 1",
        ],
    )
    def test_a_key_of_very_many_parts_is_refused_at_once(self, text: str):
        began = time.perf_counter()
        with pytest.raises(UnusableFileError, match="dots outside of texts"):
            parse_toml(self.PATH, text)
        assert time.perf_counter() - began < 1

    @pytest.mark.parametrize(
        ("before", "after"),
        [('"', '"'), ("'", "'"), ('"""\n', '"""'), ("'''\n", "'''"), ('"\\" ', '"')],
    )
    def test_a_text_may_have_any_number_of_dots(self, before: str, after: str):
        dots = "1.5 2.5 it's fine " * 200 if '"' in before else "1.5 2.5 " * 200
        text = f"# it's a drawing {'.' * 300}\nd = {before}{dots}{after}\nnext = 1\n"
        tables = parse_toml(self.PATH, text)
        assert dots in tables["d"]
        assert tables["next"] == 1

    def test_a_long_key_after_a_text_of_several_lines_is_found_on_its_line(self):
        text = f'd = """\na\nb\n"""\n{"a." * 200}a = 1\n'
        with pytest.raises(UnusableFileError) as error:
            parse_toml(self.PATH, text)
        assert the_problem(error).line == 5

    def test_the_message_cannot_drive_a_terminal(self):
        with pytest.raises(UnusableFileError) as error:
            parse_toml(self.PATH, "a = \x1b]2;x\x07")
        assert str(error.value).isprintable()

    @given(st.text())
    def test_any_text_gives_tables_or_a_problem(self, text: str):
        with contextlib.suppress(UnusableFileError):
            assert isinstance(parse_toml(self.PATH, text), dict)
