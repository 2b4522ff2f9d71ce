"""What a broken session file is answered with: every problem, each named at its place."""

import contextlib
import tomllib
from datetime import date
from pathlib import Path

import pytest
import tomli_w
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st
from sample_visit import GOOD, PATH, VISIT, problems_in, the_problem_in

from examwalk.problems import UnusableFileError
from examwalk.session.storing import from_toml, read_session, to_toml
from examwalk.session.tables import TEXT_LIMIT


def every_key(tables: dict[str, object]) -> list[tuple[str | int, ...]]:
    """Return the path to each key of the tables, to inner ones too."""
    paths: list[tuple[str | int, ...]] = []
    for key, value in tables.items():
        paths.append((key,))
        if isinstance(value, dict):
            paths += [(key, *path) for path in every_key(value)]
        elif isinstance(value, list):
            for number, entry in enumerate(value):
                if isinstance(entry, dict):
                    paths += [(key, number, *path) for path in every_key(entry)]
    return paths


def place_of(path: tuple[str | int, ...]) -> str:
    """Return how a problem at this path is placed, without the names in brackets."""
    if len(path) > 1 and isinstance(path[1], int):
        return ", ".join([f"{path[0]} {path[1] + 1}", *map(str, path[2:])])
    return ", ".join(map(str, path))


def broken(path: tuple[str | int, ...], change) -> list[str]:
    tables = tomllib.loads(GOOD)
    inner = tables
    for step in path[:-1]:
        inner = inner[step]
    change(inner, path[-1])
    problems = problems_in(tomli_w.dumps(tables))
    return [without_names(problem) for problem in problems]


def without_names(problem: str) -> str:
    start = problem.find(" (")
    return problem if not 0 < start < 12 else problem[:start] + problem[problem.index(")") + 1 :]


KEYS = every_key(tomllib.loads(GOOD))
OPTIONAL = {
    "invented",
    "about",
    "here",
    "fingerprint",
    "side",
    "note",
    "recommended",
    "because",
    "finding",
    "decision",
    "reply",
}
"""Keys that a file may lack without a problem."""
ANSWER_BESIDE_A_NOTE = ("finding", 1, "answer")
"""Without it the note stands alone, which is allowed."""


class TestBrokenFiles:
    @pytest.mark.parametrize("path", KEYS, ids=place_of)
    def test_a_misspelt_key_is_named(self, path):
        def misspell(table, key):
            table[f"{key}x"] = table.pop(key)

        problems = broken(path, misspell)
        expected = f"{place_of(path)}x: This key is not known here. Did you mean “{path[-1]}”?"
        assert expected in problems

    @pytest.mark.parametrize(
        "path",
        [path for path in KEYS if path[-1] not in OPTIONAL and path != ANSWER_BESIDE_A_NOTE],
        ids=place_of,
    )
    def test_a_missing_key_is_named(self, path):
        (problem,) = broken(path, lambda table, key: table.pop(key))
        if path[-1] in {"answer", "not_done"}:
            assert problem == (
                f"{place_of(path[:-1])}: A finding needs an answer, a reason not_done or a note."
            )
        else:
            assert problem.startswith(f"{place_of(path)}: This key is missing; it should be ")

    @pytest.mark.parametrize("path", KEYS, ids=place_of)
    def test_a_value_of_the_wrong_kind_is_named(self, path):
        def spoil(table, key):
            table[key] = date(2026, 1, 1)

        (problem,) = broken(path, spoil)
        assert problem.startswith(f"{place_of(path)}: This should be ")
        if path != ("format",):
            assert problem.endswith("not a date (2026-01-01).")

    @pytest.mark.parametrize(
        "path", [path for path in KEYS if path[-1] not in {"format", "invented", "value"}]
    )
    @pytest.mark.parametrize("value", [True, {"a": 1}], ids=["true", "table"])
    def test_nothing_is_coerced(self, path, value):
        def spoil(table, key):
            table[key] = value

        assert any(problem.startswith(place_of(path)) for problem in broken(path, spoil))

    def test_all_problems_are_told_at_once(self):
        text = GOOD.replace('code = "P-0042"', "code = 42").replace('"high"', "true")
        text = text.replace("value = 4", "value = nan").replace("[[reply]]", "[[replies]]")
        assert problems_in(text) == [
            "patient, code: This should be a text in quotes, not a whole number (42).",
            (
                "finding 2 (supination-resistance, left), answer: This should be a text in quotes, "
                "a number or a list of texts, not true or false (true)."
            ),
            (
                "decision 1 (heel-lift, left), value: This should be a text in quotes or a number, "
                "not a decimal number (nan)."
            ),
            "replies: This key is not known here. Did you mean “reply”?",
        ]

    @pytest.mark.parametrize(
        ("old", "new", "expected"),
        [
            (
                "09:12:04+00:00\nexaminer",
                "09:12:04\nexaminer",
                (
                    "session, started: The time 2026-11-25T09:12:04 does not say its offset from "
                    "UTC; add it at the end, such as 2026-11-25T09:20:11+00:00."
                ),
            ),
            (
                'state = "finished"',
                'state = "finishd"',
                (
                    "session, state: This should be “open” or “finished”, not a text (“finishd”). "
                    "Did you mean “finished”?"
                ),
            ),
            (
                'side = "right"\nnot_done',
                'side = "Right"\nnot_done',
                (
                    "finding 3 (supination-resistance, Right), side: This should be “left” or "
                    "“right”, not a text (“Right”). Did you mean “right”?"
                ),
            ),
            (
                'answer = "sore heel"',
                'answer = " "',
                "finding 1 (complaint), answer: This is blank.",
            ),
            (
                "answer = 9.5",
                "answer = inf",
                (
                    "finding 4 (lunge-distance, left), answer: This should be a text in quotes, a "
                    "number or a list of texts, not a decimal number (inf)."
                ),
            ),
            (
                "answer = 9.5",
                "answer = 0x" + "f" * 5_000,
                (
                    "finding 4 (lunge-distance, left), answer: This should be a text in quotes, a "
                    "number or a list of texts, not a whole number (too large to be one)."
                ),
            ),
            (
                '"sandals"',
                '"boots"',
                "finding 5 (shoes), answer: This list names “boots” twice.",
            ),
            (
                '"boots",\n    "sandals",',
                "",
                (
                    "finding 5 (shoes), answer: This list is empty; "
                    "leave the key out where nothing was chosen."
                ),
            ),
            (
                'not_done = "pain"',
                'not_done = "pain"\nanswer = 1',
                (
                    "finding 3 (supination-resistance, right): "
                    "A finding has an answer or a reason not_done, never both."
                ),
            ),
            (
                'side = "right"\nnot_done',
                'side = "left"\nnot_done',
                (
                    "finding 3 (supination-resistance, left): "
                    "There is a finding for this place before; keep one of the two."
                ),
            ),
            (
                'feature = "shell"',
                'feature = "heel-lift"\nside = "left"',
                (
                    "decision 2 (heel-lift, left): "
                    "There is a decision on this feature before; keep one of the two."
                ),
            ),
            (
                'code = "P-0042"',
                'code = " P-0042"',
                "patient, code: This may not begin or end with a space.",
            ),
            (
                'id = "adult"',
                f'id = "{"a" * 201}"',
                "protocol, id: This has 201 characters; at most 200 can be.",
            ),
            (
                "A made-up visit.",
                "a" * (TEXT_LIMIT + 1),
                "session, about: This has 20,001 characters; at most 20,000 can be.",
            ),
            (
                "format = 1",
                "format = 2",
                (
                    "format: This file has the format 2 and needs a later examwalk; "
                    "this is examwalk 0.1.0, which reads format 1."
                ),
            ),
            ("format = 1", "format = 0", "format: This should be the number 1."),
            ("format = 1", 'format = "1"', "format: This should be the number 1."),
            ("format = 1", "format = true", "format: This should be the number 1."),
            ("format = 1", "", "format: This key is missing; it should be 1."),
        ],
    )
    def test_the_sentence_says_what_is_wrong_and_what_would_be_right(self, old, new, expected):
        assert old in GOOD
        assert the_problem_in(GOOD.replace(old, new, 1)) == expected

    def test_a_second_reply_to_one_crosscheck_is_refused(self):
        reply = GOOD[GOOD.index("[[reply]]") :]
        assert the_problem_in(GOOD + reply) == (
            "reply 2 (arch-rises, right): "
            "There is a reply to this cross-check before; keep one of the two."
        )

    def test_an_open_visit_has_not_been_finished(self):
        text = GOOD.replace('state = "finished"', 'state = "open"')
        assert the_problem_in(text) == (
            "session, finished: Only a session with state “finished” has this key."
        )

    @pytest.mark.parametrize("session_id", ["../x", "A b", "con"])
    def test_an_id_that_cannot_name_a_file_is_refused(self, session_id: str):
        problem = the_problem_in(GOOD.replace("20261125-0912-k7f3", session_id))
        assert problem.startswith("session, id: A session")

    def test_a_syntax_error_keeps_line_and_column(self):
        with pytest.raises(UnusableFileError) as error:
            from_toml(GOOD.replace('code = "P-0042"', "code = P-0042"), PATH)
        assert str(error.value).startswith("visit.toml:14: This is not valid TOML: ")
        assert "(at line 14, column 8)" in str(error.value)

    def test_too_many_findings_are_refused_without_reading_them(self):
        text = GOOD + '[[decision]]\nfeature = ""\n' * 20_000
        assert the_problem_in(text) == (
            "decision: There are 20,002 of these; at most 20,000 can be."
        )

    def test_a_flood_of_problems_is_counted_rather_than_listed(self):
        problems = problems_in(GOOD + "[[reply]]\n" * 2_000)
        assert len(problems) == 1_001
        assert problems[-1] == ": There are 5,000 more problems."

    def test_a_file_of_more_than_five_megabytes_is_not_read(self, tmp_path: Path):
        path = tmp_path / "visit.toml"
        path.write_bytes(GOOD.encode() + b"#" * 5_000_000)
        with pytest.raises(UnusableFileError, match="at most 5,000,000 bytes"):
            read_session(path)

    def test_a_file_cut_off_anywhere_is_refused_or_lacks_its_end_and_nothing_else(self):
        whole = VISIT
        for length in range(len(GOOD)):
            try:
                cut = from_toml(GOOD[:length], PATH)
            except UnusableFileError:
                continue
            assert cut.findings == whole.findings[: len(cut.findings)]
            assert cut.decisions == whole.decisions[: len(cut.decisions)]
            assert cut.replies == whole.replies[: len(cut.replies)]
            same = evolve(cut, findings=(), decisions=(), replies=())
            assert evolve(same, protocol=whole.protocol) == evolve(
                whole, findings=(), decisions=(), replies=()
            )

    @given(st.binary(max_size=200))
    def test_any_bytes_in_the_middle_give_a_visit_or_problems(self, tmp_path_factory, junk: bytes):
        path = tmp_path_factory.getbasetemp() / "junk.toml"
        data = GOOD.encode()
        path.write_bytes(data[:400] + junk + data[400:])
        with contextlib.suppress(UnusableFileError):
            visit = read_session(path)
            assert from_toml(to_toml(visit), path) == visit
