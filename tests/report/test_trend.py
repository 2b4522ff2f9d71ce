"""A few numbers over time, drawn small."""

from examwalk.report.trend import trend_lines


def test_plain_characters_show_the_points_where_they_lie():
    # Time 0, 1 and 4 of 4 on 9 columns: columns 0, 2 and 8; values 0, 2, 1 of 2 on 3 rows.
    lines = trend_lines([(0, 0), (1, 2), (4, 1)], 9, 3, in_braille=False)
    assert [line[0:1] for line in lines] == [" ", " ", "o"]
    assert lines[0][2] == "o"
    assert lines[1][8] == "o"
    assert sum(line.count("o") for line in lines) == 3


def test_the_order_in_which_points_are_given_does_not_matter():
    points = [(0.0, 1.0), (3.0, 4.0), (9.0, 2.0)]
    assert trend_lines(points, 20, 4, in_braille=True) == trend_lines(
        points[::-1], 20, 4, in_braille=True
    )


def test_braille_sets_the_dots_of_a_rising_line_from_corner_to_corner():
    # 2 x 4 dots in one cell; the line runs from the lower left (dot 7) to the upper right (dot 4).
    (line,) = trend_lines([(0, 0), (1, 1)], 1, 1, in_braille=True)
    bits = ord(line) - 0x2800
    assert bits & 0x40
    assert bits & 0x08
    assert not bits & 0x01
    assert not bits & 0x80


def test_equal_values_run_level_and_one_time_stands_in_the_middle():
    lines = trend_lines([(0, 3), (5, 3)], 6, 3, in_braille=False)
    assert lines == ["", "o....o", ""]
    assert trend_lines([(2, 3)], 5, 1, in_braille=False) == ["  o"]
