"""The files of a protocol are read as one, and every file that cannot be is named."""

import tomllib
from pathlib import Path

import pytest
from good_protocol import EXAM, REASONING, problems_of, read_good, write_files

from examwalk.problems import UnusableFileError
from examwalk.protocol.documents import (
    LARGEST_FILE_BYTES,
    MOST_FILES,
    MOST_NESTED,
    read_document,
)


def problem_of(path: Path):
    """Read a document that must be refused with one problem, and return it."""
    with pytest.raises(UnusableFileError) as caught:
        read_document(path)
    (problem,) = caught.value.problems
    return problem


class TestAFolder:
    def test_is_merged_in_the_order_of_the_names_of_its_files(self, tmp_path):
        files = {
            "b.toml": '[[test]]\nid = "second"\n[scales.b]\ngrades = []\n',
            "a.toml": '[[test]]\nid = "first"\n[scales.a]\ngrades = []\n',
            "c.toml": '[[test]]\nid = "third"\n[[test]]\nid = "fourth"\n',
        }
        data = read_document(write_files(tmp_path / "p", files)).data
        assert [test["id"] for test in data["test"]] == ["first", "second", "third", "fourth"]
        assert list(data["scales"]) == ["a", "b"]

    def test_names_each_key_by_the_file_and_line_that_it_came_from(self, tmp_path):
        files = {
            "a.toml": '\n[[test]]\nid = "first"\n[scales.a]\ngrades = ["x"]\n',
            "b.toml": '\n\n[scales.b]\ngrades = [\n  "x",\n]\n[[test]]\nid = "second"\n',
        }
        folder = write_files(tmp_path / "p", files)
        document = read_document(folder)
        for path, place in {
            ("test", 0, "id"): ("a.toml", 3),
            ("test", 1, "id"): ("b.toml", 8),
            ("test", 1, "not given"): ("b.toml", 7),
            ("scales", "a", "grades"): ("a.toml", 5),
            ("scales", "b", "grades", 0): ("b.toml", 5),
            ("scales",): ("a.toml", 4),
        }.items():
            file, line = document.place(path)
            assert (file.name, line) == place, path
        assert document.place(("protocol",)) == (folder, None)

    def test_takes_only_its_own_toml_files_that_are_not_hidden(self, tmp_path):
        folder = write_files(
            tmp_path / "p",
            {"a.toml": "a = 1\n", ".b.toml": "b = 1\n", "c.txt": "c = 1\n", "d.toml.previous": "!"},
        )
        write_files(folder / "inner", {"e.toml": "e = 1\n"})
        assert read_document(folder).data == {"a": 1}

    def test_without_toml_files_says_that_it_needs_one(self, tmp_path):
        problem = problem_of(write_files(tmp_path / "p", {"notes.txt": "x"}))
        assert problem.file == tmp_path / "p"
        assert "no .toml file" in problem.message

    def test_of_too_many_files_is_refused(self, tmp_path):
        files = {f"{number:03}.toml": f"k{number} = 1\n" for number in range(MOST_FILES + 1)}
        problem = problem_of(write_files(tmp_path / "p", files))
        assert "101 .toml files; at most 100" in problem.message

    def test_reports_every_broken_file_at_once_each_with_its_line(self, tmp_path):
        folder = write_files(
            tmp_path / "p",
            {"a.toml": "a = 1\nb = \n", "b.toml": "c = 1\n", "c.toml": "", "d.toml": "\n\n[x\n"},
        )
        (folder / "e.toml").write_bytes(b"a = 1\nb = '\xe4'\n")
        (folder / "f.toml").mkdir()
        (folder / "g.toml").symlink_to(folder / "nowhere")
        with pytest.raises(UnusableFileError) as caught:
            read_document(folder)
        problems = caught.value.problems
        assert [(problem.file.name, problem.line) for problem in problems] == [
            ("a.toml", 2),
            ("c.toml", None),
            ("d.toml", 3),
            ("e.toml", 2),
            ("f.toml", None),
            ("g.toml", None),
        ]
        for problem, words in zip(
            problems,
            ("valid TOML", "empty", "valid TOML", "not UTF-8", "folder", "no such file"),
            strict=True,
        ):
            assert words in problem.message


class TestAKeyGivenTwice:
    @pytest.mark.parametrize(
        ("first", "second", "name", "lines"),
        [
            ('[protocol]\nid = "a"\n', '\n[protocol]\nid = "b"\n', "[protocol]", (1, 2)),
            ("[scales.a]\n", "\n\n[scales.b]\n[scales.a]\n", "[scales.a]", (1, 4)),
            ("[scales]\na = {}\n", "scales.a = {}\n", "[scales.a]", (2, 1)),
            ("\ntest = 1\n", "[[test]]\n", "[test]", (2, 1)),
            ("[[test]]\n", "[test]\n", "[test]", (1, 1)),
            ("[test]\n", "[[test]]\n", "[test]", (1, 1)),
            ("[[test]]\n", "\n\n\ntest = []\n", "[test]", (1, 4)),
        ],
    )
    def test_in_two_files_names_both_places(self, tmp_path, first, second, name, lines):
        folder = write_files(tmp_path / "p", {"one.toml": first, "two.toml": second})
        problem = problem_of(folder)
        assert (problem.file.name, problem.line) == ("two.toml", lines[1])
        assert f"{name} is already given in one.toml, line {lines[0]}" in problem.message

    def test_each_time_is_told(self, tmp_path):
        text = "[sources.a]\n[sources.b]\n"
        folder = write_files(tmp_path / "p", {"one.toml": text, "two.toml": text, "xx.toml": text})
        assert [(problem.file.name, problem.line) for problem in problems_of(folder)] == [
            ("two.toml", 1),
            ("two.toml", 2),
            ("xx.toml", 1),
            ("xx.toml", 2),
        ]

    def test_in_one_file_is_told_with_the_line_of_the_second(self, tmp_path):
        path = tmp_path / "p.toml"
        path.write_text("[scales.a]\nx = 1\n\nx = 2\n")
        problem = problem_of(path)
        assert (problem.file, problem.line) == (path, 4)


class TestAFile:
    @pytest.mark.parametrize(
        ("content", "words", "line"),
        [
            (b"", "The file is empty", None),
            (b"a = 1\nb = [1, 2\nc = 3\n", "not valid TOML", 3),
            (b'a = 1\n\nb = "never closed\n', "not valid TOML", 3),
            ("a = 1\ntitle = 'für'\n".encode("latin-1"), "not UTF-8", 2),
            ("a = 1\n".encode("utf-16"), "UTF-16", 1),
            (b"a = 1\nb = '\0'\n", "zero bytes", 2),
            (b"\x1f\x8b\x08\x00binary", "", 1),
        ],
    )
    def test_that_is_no_text_of_toml_is_told_with_its_line(self, tmp_path, content, words, line):
        path = tmp_path / "p.toml"
        path.write_bytes(content)
        problem = problem_of(path)
        assert (problem.file, problem.line) == (path, line)
        assert words in problem.message

    def test_of_nothing_but_comments_lacks_what_a_protocol_needs(self, tmp_path):
        path = tmp_path / "p.toml"
        path.write_text("# nothing yet\n")
        told = [problem.message for problem in problems_of(path)]
        assert told == [
            "the key “protocol” is missing.",
            "the key “position” is missing.",
            "the key “test” is missing.",
        ]

    def test_that_is_missing_is_told(self, tmp_path):
        assert "no such file" in problem_of(tmp_path / "p.toml").message

    def test_of_a_name_that_no_disk_can_hold_is_told(self, tmp_path):
        assert "cannot be read" in problem_of(tmp_path / ("x" * 5000)).message

    def test_that_is_huge_is_refused_before_it_is_parsed(self, tmp_path):
        path = tmp_path / "p.toml"
        path.write_bytes(b"#" * (LARGEST_FILE_BYTES + 1))
        assert "at most 2,000,000 bytes" in problem_of(path).message

    def test_with_a_byte_order_mark_is_read(self, tmp_path):
        path = tmp_path / "p.toml"
        path.write_bytes(b"\xef\xbb\xbfa = 1\n")
        assert read_document(path).data == {"a": 1}

    def test_with_windows_line_ends_is_placed_by_its_lines(self, tmp_path):
        path = tmp_path / "p.toml"
        path.write_bytes(b"a = 1\r\n\r\n[b]\r\nc = 2\r\n")
        assert read_document(path).place(("b", "c")) == (path, 4)

    @pytest.mark.parametrize(
        ("opening", "closing"), [("[", "]"), ("{ a = ", "}"), ("[\n{ a.b.c = ", "}]")]
    )
    @pytest.mark.parametrize("depth", [MOST_NESTED + 1, 300, 5000])
    def test_nested_beyond_all_use_is_refused(self, tmp_path, opening, closing, depth):
        path = tmp_path / "p.toml"
        path.write_text(f"a = 1\nb = {opening * depth}1{closing * depth}\n")
        problem = problem_of(path)
        assert problem.file == path
        assert "nested" in problem.message
        assert problem.line in (None, *range(2, 40))

    def test_nested_as_deep_as_allowed_is_read(self, tmp_path):
        path = tmp_path / "p.toml"
        path.write_text(f"b = {'[' * MOST_NESTED}1{']' * MOST_NESTED}\n")
        assert read_document(path).text

    def test_nested_by_keys_of_many_parts_is_refused_at_its_line(self, tmp_path):
        path = tmp_path / "p.toml"
        inner = ".".join("k" * 90)
        path.write_text(f"\n\n{inner} = [\n{{ {inner} = [\n{{ {inner} = 1 }}] }}]\n")
        problem = problem_of(path)
        assert problem.line == 3
        assert "more than 32 levels" in problem.message

    def test_with_conditions_nested_as_deep_as_allowed_is_checked(self, tmp_path):
        levels = MOST_NESTED - 4
        when = "{ not = " * levels + '{ test = "hot-foot", is = "yes" }' + " }" * levels
        text = REASONING.replace('when = { test = "hot-foot", is = "yes" }', f"when = {when}")
        files = {"exam.toml": EXAM, "reasoning.toml": text}
        assert problems_of(write_files(tmp_path / "p", files)) == ()


class TestTheFingerprint:
    def test_is_the_same_for_a_folder_and_its_copy_in_one_file(self, tmp_path):
        loaded = read_good(tmp_path)
        copy = tmp_path / "copy.toml"
        copy.write_text(loaded.text, encoding="utf-8")
        again = read_document(copy)
        assert again.fingerprint == loaded.fingerprint
        assert again.text == loaded.text

    def test_is_the_same_wherever_short_and_long_lists_of_tables_stand(self, tmp_path):
        # The writer puts a short list of tables on one line before all tables, a long one after.
        text = (
            '[a.z]\nx = 1\n[a.b]\ny = 2\n[[a.long]]\nk = "' + "w" * 200 + '"\n'
            "[[a.short]]\nv = 1\n[a.c]\nz = 3\n"
        )
        path = tmp_path / "p.toml"
        path.write_text(text)
        first = read_document(path)
        path.write_text(first.text)
        second = read_document(path)
        assert tomllib.loads(first.text) == tomllib.loads(text)
        assert first.text.index("short") < first.text.index("long")
        assert second.fingerprint == first.fingerprint

    @pytest.mark.parametrize(
        "same",
        [
            lambda text: "# by the clinic\n" + text.replace("\n\n", "\n\n# a note\n\n"),
            lambda text: text.replace("minutes = 5", "minutes   =   5 # or so"),
            lambda text: text.replace("\n", "\r\n"),
            lambda text: text.replace('"Seated"', "'Seated'"),
            lambda text: text.replace('no = { label = "No" }', 'no.label = "No"'),
        ],
        ids=["comments", "spaces", "line ends", "quotes", "dotted keys"],
    )
    def test_does_not_change_with_layout(self, tmp_path, same):
        good = read_good(tmp_path)
        files = {"exam.toml": same(EXAM), "reasoning.toml": REASONING}
        assert files["exam.toml"] != EXAM
        changed = read_document(write_files(tmp_path / "same", files))
        assert changed.fingerprint == good.fingerprint

    @pytest.mark.parametrize(
        ("old", "new"),
        [
            (
                'shallow = { label = "Shallow" }\ndeep = { label = "Deep" }\n',
                'deep = { label = "Deep" }\nshallow = { label = "Shallow" }\n',
            ),
            (
                'emergency = "Emergency, at once"\nroutine = "Routine"\n',
                'routine = "Routine"\nemergency = "Emergency, at once"\n',
            ),
            ('grades = ["none", "weak", "full"]', 'grades = ["weak", "none", "full"]'),
            ("hard = [0, 25]", "hard = [0, 26]"),
            ('label = "Deep"', 'label = "deep"'),
        ],
        ids=["order of options", "order of urgencies", "order of grades", "a limit", "a word"],
    )
    def test_changes_with_order_and_content(self, tmp_path, old, new):
        good = read_good(tmp_path)
        assert EXAM.count(old) == 1
        files = {"exam.toml": EXAM.replace(old, new), "reasoning.toml": REASONING}
        changed = read_document(write_files(tmp_path / "other", files))
        assert changed.fingerprint != good.fingerprint

    def test_changes_with_the_order_of_tests(self, tmp_path):
        path = tmp_path / "p.toml"
        path.write_text('[[test]]\nid = "a"\n[[test]]\nid = "b"\n')
        first = read_document(path).fingerprint
        path.write_text('[[test]]\nid = "b"\n[[test]]\nid = "a"\n')
        assert read_document(path).fingerprint != first

    def test_is_a_sha_256_in_hex(self, tmp_path):
        fingerprint = read_good(tmp_path).fingerprint
        assert len(fingerprint) == 64
        assert set(fingerprint) <= set("0123456789abcdef")
