"""The order draws on each foot what is made there, with the letter that stands in the table."""

import re
from datetime import UTC, datetime
from pathlib import Path

import html5lib
import pytest
from attrs import evolve

from adult_cases import ADULT
from examwalk.protocol.mark_model import Mark
from examwalk.report.order_marks import is_drawn, lettered, marked_of, marks_picture
from examwalk.report.pages import told_about, written
from examwalk.session.model import Decision, Session, Side
from examwalk.session.storing import read_session

SESSIONS = Path(__file__).parents[2] / "sessions"
EXAMPLES = {path.stem: read_session(path) for path in sorted(SESSIONS.glob("*.toml"))}
HEEL = EXAMPLES["heel-pain-right"]
NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


def drawn_on(session: Session) -> dict[Side, set[str]]:
    found: dict[Side, set[str]] = {Side.LEFT: set(), Side.RIGHT: set()}
    for one in marked_of(told_about(ADULT, session)):
        found[one.side].add(one.mark.figure)
    return found


def decided(feature: str, side: Side, value: str | float) -> Session:
    return HEEL.with_decision(Decision(feature, side, value, None, NOW, "tried"))


def picture_of(session: Session):
    told = told_about(ADULT, session)
    picture = marks_picture(ADULT, marked_of(told))
    assert picture is not None
    root = html5lib.HTMLParser(strict=False, namespaceHTMLElements=False).parseFragment(picture.svg)
    left, right = (
        one for one in root.iter() if str(one.tag).endswith("svg") and one.get("y") == "0"
    )
    return picture, left, right


def letters_in(panel) -> set[str]:
    words = {(one.text or "").strip() for one in panel.iter() if str(one.tag).endswith("text")}
    return {one for one in words if len(one) == 1}


def test_what_only_the_right_foot_gets_is_drawn_on_the_right_foot_alone():
    session = decided("medial-heel-skive", Side.RIGHT, 4.0)
    session = session.with_decision(Decision("medial-heel-skive", Side.LEFT, 0, None, NOW))
    found = drawn_on(session)
    assert "order-medial-skive" in found[Side.RIGHT]
    assert "order-medial-skive" not in found[Side.LEFT]
    _, left, right = picture_of(session)
    letter = next(
        one.letter
        for one in marked_of(told_about(ADULT, session))
        if one.feature.id == "medial-heel-skive"
    )
    assert letter in letters_in(right)
    assert letter not in letters_in(left)
    assert float(left.get("x")) < float(right.get("x"))


@pytest.mark.parametrize(
    ("value", "figure"), [(4.0, "order-post-medial"), (-3.0, "order-post-lateral"), (0, None)]
)
def test_a_post_is_drawn_on_the_side_that_its_sign_says_and_not_at_all_at_zero(value, figure):
    found = drawn_on(decided("rearfoot-post", Side.LEFT, value))[Side.LEFT]
    assert {one for one in found if one.startswith("order-post")} == ({figure} - {None})


def test_a_medial_post_is_thick_towards_the_other_foot_on_either_foot():
    session = decided("rearfoot-post", Side.LEFT, 8.0)
    session = session.with_decision(Decision("rearfoot-post", Side.RIGHT, 8.0, None, NOW, "tried"))
    _, left, right = picture_of(session)

    def thick_end(panel) -> float:
        paths = [one.get("d") for one in panel.iter() if str(one.tag).endswith("path")]
        # The wedge goes from 25 to 55 across the view, 76.5 down, and is deeper at one end.
        wedge = next(d for d in paths if "76.5" in d and "86.5" in d)
        points = re.findall(r"([\d.]+) ([\d.]+)", wedge)
        return float(max(points, key=lambda point: float(point[1]))[0])

    middle = 40
    assert thick_end(left) > middle
    assert thick_end(right) < middle


def test_every_letter_in_the_drawing_stands_by_the_name_in_the_table_and_the_other_way_round():
    for session in EXAMPLES.values():
        html = written(told_about(ADULT, session), "order", "html")
        _, left, right = picture_of(session)
        table = set(re.findall(r'<th scope="row">[^<]* – ([A-Z]): ', html))
        assert letters_in(left) | letters_in(right) == table
        assert table


def test_the_title_of_the_drawing_says_what_goes_on_which_foot_with_its_amount():
    picture, _, _ = picture_of(decided("heel-cup", Side.LEFT, 18.0))
    left, right = picture.words.split("Right: ")
    assert "Heel cup depth 18 mm" in left
    assert "Heel cup depth 18 mm" not in right


def test_the_order_leaves_lines_for_what_the_visit_does_not_know():
    text = written(told_about(ADULT, HEEL), "order", "text")
    for words in ("Cast or scan, number ____", "Shoe, size ____", "Clinic, telephone ____"):
        assert words in text


def test_bounds_of_a_mark_leave_out_the_bound_itself():
    above, below = Mark("f", (0, 0), above=0), Mark("f", (0, 0), below=0)
    assert [is_drawn(above, one) for one in (-1, 0, 1)] == [False, False, True]
    assert [is_drawn(below, one) for one in (-1, 0, 1)] == [True, False, False]
    assert is_drawn(Mark("f", (0, 0), options=("a",)), "a")
    assert not is_drawn(Mark("f", (0, 0), options=("a",)), "b")


def test_a_protocol_without_marks_has_an_order_without_a_drawing():
    bare = evolve(ADULT, features=tuple(evolve(one, marks=()) for one in ADULT.features))
    html = written(told_about(bare, HEEL), "order", "html")
    assert "<svg" not in html
    assert lettered(()) == {}


def test_what_is_not_made_on_either_foot_is_named_once_below_the_tables():
    text = " ".join(written(told_about(ADULT, HEEL), "order", "text").split())
    left_out = re.search(r"Nothing to make on either foot: (.*?\*)\. ", text)[1].split("; ")
    # Nothing in the visit asks for these; the right foot alone gets a skive and a groove.
    assert {"Inverted cast: none *", "Medial flange: none *", "Metatarsal dome: none *"} <= set(
        left_out
    )
    names = {one.split(": ")[0] for one in left_out}
    assert not names & {"Medial heel skive", "Plantar fascial groove"}
    # No degrees is an angle too.
    assert not names & {"Rearfoot post, extrinsic", "Arch height against the cast"}
    html = written(told_about(ADULT, HEEL), "order", "html")
    for name in names:
        assert f'<th scope="row">{name}' not in html
    heads = set(re.findall(r'<th scope="row">([^<]*?)(?: –[^<]*)?</th>', html))
    assert heads | names == {feature.title for feature in ADULT.features}


def test_what_one_foot_leaves_out_by_decision_and_the_other_by_advice_stays_in_the_table():
    html = written(told_about(ADULT, decided("medial-flange", Side.LEFT, 0)), "order", "html")
    assert re.search(r"Medial flange</th><td>none</td><td>none\W*\*</td>", html)


def test_the_drawing_says_from_where_it_is_seen():
    picture, _, _ = picture_of(HEEL)
    for view in ("from above", "from behind", "from its inner side", "mirror image"):
        assert view in picture.caption


def test_the_share_of_the_heel_lift_is_not_taken_for_a_second_lift():
    text = " ".join(written(told_about(ADULT, HEEL), "order", "text").split())
    # 4 mm for the calves are all of the 4 mm of each foot.
    assert "Share of the heel lift that is for short calves Both feet: 4 mm" in text
    assert "Heel lift in the shoe" in text
