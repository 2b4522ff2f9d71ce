"""Keys that come faster than the screen is painted, as over a slow line, keep their order."""

from examination import EXAMINER, PATIENT, Examination
from terminal import Terminals, wait_until


def test_figures_and_enter_in_one_burst_record_the_whole_number(examination: Examination):
    examination.answer_up_to("age")
    place = examination.here
    examination.terminal.wait_for(*examination.signs_of(place))
    examination.terminal.press("4", "5", "Enter")
    examination.wait_for_answer_at(place)
    assert examination.stored.answers[place] == 45


def test_the_form_of_a_new_visit_filled_in_one_burst_puts_each_word_in_its_field(
    terminals: Terminals,
):
    examination = Examination(terminals)
    examination.terminal = terminals.open()
    examination.terminal.wait_for("n new visit")
    examination.terminal.press("n")
    examination.terminal.wait_for("New visit")
    examination.terminal.press(*PATIENT, "Enter", *EXAMINER, "Enter", "Enter")
    wait_until(
        lambda: examination.path,
        lambda: f"no visit has begun:\n{examination.terminal.screen()}",
    )
    assert examination.stored.patient == PATIENT
    assert examination.stored.examiner == EXAMINER
