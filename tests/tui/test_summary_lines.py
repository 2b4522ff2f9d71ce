"""Rows and paragraphs laid out to a width."""

import pytest
from textual.content import Content

from examwalk.session.model import Side
from examwalk.tui.text import phrase
from examwalk.tui.widgets.lines import Line, Pointer, Row, flow, row_lines, wrap

NOWHERE = Pointer()
PAIR = Row(phrase("Heel lift"), key="lift", left=phrase("4 mm"), right=phrase("none"))


def drawn(row, width, pointer=NOWHERE):
    return [line.plain for line in row_lines(row, width, pointer)]


def test_left_stands_left_of_right_in_columns_of_the_same_width():
    (line,) = drawn(PAIR, 76)
    other = Row(phrase("Post"), key="post", left=phrase("none"), right=phrase("2°"))
    (second,) = drawn(other, 76)
    assert line.index("4 mm") < line.index("none")
    assert line.index("4 mm") == second.index("none")
    assert line.index("none") == second.index("2°")


@pytest.mark.parametrize(("side", "before"), [(Side.LEFT, "4 mm"), (Side.RIGHT, "none")])
def test_the_pointer_is_a_sign_before_the_side_it_stands_on(side, before):
    (line,) = drawn(PAIR, 76, Pointer("lift", side))
    assert line.count("▸") == 1
    assert f"▸ {before}" in line


def test_a_row_without_a_key_never_shows_the_pointer():
    assert "▸" not in "".join(drawn(Row(phrase("Heading")), 40, NOWHERE))


def test_a_cell_that_is_too_long_goes_on_in_its_own_column():
    long = Row(
        phrase("Cover"),
        key="cover",
        left=phrase("soft cover over a firm one"),
        right=phrase("firm"),
    )
    first, *rest = drawn(long, 60)
    start = first.index("soft")
    assert rest
    assert all(line[:start].strip() == "" for line in rest)
    right = first.rindex("firm")
    in_left = [first[start:right], *rest]
    assert " ".join(in_left).split() == ["soft", "cover", "over", "a", "firm", "one"]


@pytest.mark.parametrize("width", [8, 20, 76, 140])
def test_no_line_is_wider_than_its_room(width):
    text = phrase("A paragraph with " + "many ordinary words " * 9 + "and averyverylongwordindeed")
    for indent, hang in ((0, 0), (3, 0), (2, 2), (0, 5)):
        lines = wrap(Line(text, indent, hang), width)
        assert all(line.cell_length <= width for line in lines)


@pytest.mark.parametrize("hang", [0, 2, 5])
def test_breaking_a_paragraph_loses_no_word(hang):
    words = [f"word{number}" for number in range(60)]
    lines = wrap(Line(phrase(" ".join(words)), 1, hang), 23)
    assert " ".join(line.plain for line in lines).split() == words


def test_wide_characters_count_as_two_cells():
    lines = wrap(Line(phrase("足" * 30), 0, 2), 21)
    assert all(line.cell_length <= 21 for line in lines)
    assert "".join(line.plain.strip() for line in lines) == "足" * 30


def test_an_empty_paragraph_is_an_empty_line():
    assert [line.plain for line in flow([Line(), Line(Content("a"))], 10)] == ["", "a"]
