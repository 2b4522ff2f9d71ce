"""A typed number is taken as it is meant, or not at all."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from examwalk.protocol.entry import LONGEST, limits_words, read_number, typed_after
from examwalk.protocol.exam_model import Kind, Test


def measure(**changes) -> Test:
    return Test(
        **{
            "id": "lunge-distance",
            "title": "Weight-bearing lunge distance",
            "short_title": "Lunge distance",
            "position": "effort",
            "kind": Kind.MEASURE,
            "basis": (),
            "unit": "cm",
            "step": 0.1,
            "hard": (0, 25),
            "usual": (2, 18),
            **changes,
        }
    )


CENTIMETRES = measure()
DEGREES = measure(
    title="Knee hyperextension", short_title="", unit="deg", step=1, hard=(-30, 40), usual=(-10, 20)
)
MILLIMETRES = measure(
    title="Block height", short_title="", unit="mm", step=1, hard=(0, 100), usual=(4, 30)
)
HEIGHT = measure(
    title="Height", short_title="", unit="cm", step=0.5, hard=(50, 250), usual=(140, 205)
)


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("12", 12.0),
        ("12.5", 12.5),
        ("12,5", 12.5),
        (" 7 ", 7.0),
        (".5", 0.5),
        ("0", 0.0),
        ("007", 7.0),
    ],
)
def test_a_plain_number_is_taken_with_a_point_or_a_comma(typed, value):
    entry = read_number(measure(usual=None), typed)
    assert (entry.value, entry.refusal, entry.doubt) == (value, "", "")


@pytest.mark.parametrize("typed", ["-5", "−5"])
def test_a_minus_sign_is_taken_where_the_limits_allow_it(typed):
    assert read_number(DEGREES, typed).value == -5


def test_minus_nothing_is_nothing():
    assert str(read_number(DEGREES, "-0").value) == "0"
    assert str(read_number(measure(hard=(-1, 1), usual=None), "-0.0").value) == "0.0"


def test_whole_steps_give_whole_numbers_and_fine_steps_give_decimals():
    assert isinstance(read_number(DEGREES, "5").value, int)
    assert isinstance(read_number(CENTIMETRES, "5").value, float)


@pytest.mark.parametrize("typed", ["1.2.3", "1,2,3", "1.2,3", "1,,2", "..", ".5."])
def test_two_decimal_signs_are_refused_and_never_read_as_another_number(typed):
    entry = read_number(CENTIMETRES, typed)
    assert entry.value is None
    assert "more than one decimal sign" in entry.refusal
    assert typed in entry.refusal


@pytest.mark.parametrize("typed", ["", "   "])
def test_nothing_typed_is_not_zero(typed):
    entry = read_number(CENTIMETRES, typed)
    assert entry.value is None
    assert entry.refusal == "Type a number first."


@pytest.mark.parametrize("typed", ["5.", "5,", "."])
def test_a_number_that_ends_with_its_decimal_sign_is_unfinished(typed):
    entry = read_number(CENTIMETRES, typed)
    assert entry.value is None
    assert "ends with the decimal sign" in entry.refusal


@pytest.mark.parametrize(
    "typed",
    ["-", "--5", "5-", "1-2", "1e1", "0x10", "nan", "inf", "twelve", "١٢", "5 5", "½", "+5"],
)
def test_what_is_not_a_number_is_refused(typed):
    entry = read_number(DEGREES, typed)
    assert entry.value is None
    assert "is not a number" in entry.refusal


def test_a_very_long_entry_is_refused():
    entry = read_number(DEGREES, "1" * (LONGEST + 1))
    assert entry.value is None
    assert "too long" in entry.refusal


@pytest.mark.parametrize("typed", ["12.55", "12.50", "0.01"])
def test_more_decimals_than_the_step_are_refused_not_rounded(typed):
    entry = read_number(CENTIMETRES, typed)
    assert entry.value is None
    assert entry.refusal == f"Lunge distance is recorded to 0.1 cm; {typed} is finer."


def test_decimals_in_a_whole_number_are_refused():
    entry = read_number(DEGREES, "4.5")
    assert entry.value is None
    assert entry.refusal.startswith("Knee hyperextension is recorded in whole numbers, not 4.5.")


@pytest.mark.parametrize(
    ("typed", "below", "above"), [("170.2", "170.0", "170.5"), ("170.9", "170.5", "171.0")]
)
def test_a_number_between_two_steps_is_refused_and_both_steps_are_named(typed, below, above):
    entry = read_number(HEIGHT, typed)
    assert entry.value is None
    assert entry.refusal == f"Height is recorded in steps of 0.5 cm: {below} or {above}?"


def test_between_two_steps_below_zero_the_lower_step_is_the_more_negative_one():
    entry = read_number(measure(step=0.5, hard=(-10, 10), usual=None), "-2.2")
    assert entry.refusal.endswith("−2.5 or −2.0?")


@pytest.mark.parametrize("step", [0.1, 0.5, 0.25, 0.01])
@given(steps=st.integers(-400, 400))
def test_every_number_on_the_step_is_taken_exactly(step, steps):
    number = Decimal(str(step)) * steps
    entry = read_number(measure(step=step, hard=(-10_000, 10_000), usual=None), str(number))
    assert entry.refusal == ""
    assert entry.value == float(number)


@pytest.mark.parametrize("typed", ["0", "25"])
def test_the_hard_limits_themselves_are_accepted(typed):
    assert read_number(CENTIMETRES, typed).value == float(typed)


@pytest.mark.parametrize("typed", ["25.1", "-0.1", "9999"])
def test_a_number_outside_the_hard_limits_is_refused_with_the_limits(typed):
    entry = read_number(CENTIMETRES, typed)
    assert entry.value is None
    assert "Lunge distance takes 0 to 25" in entry.refusal


@pytest.mark.parametrize(
    ("test", "typed", "hint"),
    [
        (CENTIMETRES, "125", "125 mm would be 12.5 cm."),
        (HEIGHT, "1.5", "1.5 m would be 150.0 cm."),
        (HEIGHT, "1700", "1700 mm would be 170.0 cm."),
        (DEGREES, "100", "A decimal sign left out of 10, or a 0 too many?"),
        (measure(unit="kg", hard=(3, 350), usual=(35, 150)), "725", "left out of 72.5"),
        (measure(unit="kg", hard=(30, 350), usual=(35, 150)), "7", "A 0 left out of 70.0?"),
        (measure(unit="deg", hard=(0, 90), usual=(10, 40)), "-20", "Was 20.0 meant"),
    ],
)
def test_a_refusal_names_the_slip_that_would_explain_the_number(test, typed, hint):
    entry = read_number(test, typed)
    assert entry.value is None
    assert hint in entry.refusal


def test_a_refusal_names_no_slip_where_none_would_explain_the_number():
    refusal = read_number(CENTIMETRES, "9999").refusal
    assert refusal == "9999.0 cm cannot be: Lunge distance takes 0 to 25."


def test_centimetres_typed_for_millimetres_are_recognised_by_their_decimals():
    entry = read_number(MILLIMETRES, "1.2")
    assert entry.value is None
    assert "1.2 cm would be 12 mm." in entry.refusal


def test_a_number_outside_the_usual_is_asked_about_and_can_be_kept():
    entry = read_number(CENTIMETRES, "1.5")
    assert entry.value == 1.5
    assert entry.refusal == ""
    assert entry.doubt.startswith("Surely 1.5 cm? Usual is 2 to 18.")
    assert entry.doubt.endswith("Enter again keeps it.")


@pytest.mark.parametrize("typed", ["2", "18", "9.9"])
def test_a_usual_number_raises_no_doubt(typed):
    assert read_number(CENTIMETRES, typed).doubt == ""


def test_without_limits_any_number_is_taken():
    free = measure(hard=None, usual=None, step=1)
    assert read_number(free, "123456").value == 123456


def test_a_doubt_names_the_slip_too():
    assert "2 cm would be 20 mm." in read_number(MILLIMETRES, "2").doubt


@given(typed=st.text(max_size=20))
def test_whatever_is_typed_is_either_a_number_within_the_limits_or_refused(typed):
    entry = read_number(CENTIMETRES, typed)
    if entry.value is None:
        assert entry.refusal
    else:
        assert 0 <= entry.value <= 25
        assert not entry.refusal
        assert float(typed.strip().replace(",", ".").replace("−", "-")) == entry.value


def test_keys_build_the_number_up_and_backspace_takes_the_last_one_away():
    typed = ""
    for key in ("1", "2", ".", "5"):
        typed = typed_after(typed, key)
    assert typed == "12.5"
    assert typed_after(typed, "backspace") == "12."
    assert typed_after("", "backspace") == ""


def test_the_minus_key_sets_the_sign_and_takes_it_away_again():
    assert typed_after("5", "-") == "−5"
    assert typed_after("−5", "-") == "5"
    assert read_number(DEGREES, typed_after("5", "-")).value == -5


def test_a_second_decimal_sign_stays_visible_so_that_it_is_refused():
    typed = typed_after("1.2", ",")
    assert typed == "1.2,"
    assert read_number(CENTIMETRES, typed).value is None


def test_the_field_stops_growing_at_its_longest():
    assert len(typed_after("1" * LONGEST, "2")) == LONGEST


def test_the_limits_are_written_in_words():
    assert limits_words(CENTIMETRES) == "0 to 25 cm, usually 2 to 18"
    assert limits_words(measure(hard=(0.5, 7.25), usual=None)) == "0.5 to 7.25 cm"
    assert limits_words(DEGREES) == "−30 to 40 deg, usually −10 to 20"
    assert limits_words(measure(hard=None, usual=None)) == ""
