"""Signing, amending, and telling what was done to a signed visit behind its back."""

import re
from datetime import timedelta

import pytest
from attrs import evolve
from sample_visit import LATER, PATH, RESISTANCE_LEFT, RESISTANCE_RIGHT, VISIT, problems_in

from examwalk.session.amending import amendments_at
from examwalk.session.model import AmendmentKind, Ordered, Place, Side, State
from examwalk.session.signing import (
    Grounds,
    RecordRefusedError,
    Weight,
    amend,
    seal,
    sign,
    verify,
)
from examwalk.session.storing import from_toml, to_toml

SHELL = Ordered("shell", Side.WHOLE)
LUNGE_LEFT = Place("lunge-distance", Side.LEFT)
LUNGE_RIGHT = Place("lunge-distance", Side.RIGHT)
SIGNED = sign(VISIT, "CD", LATER)


def on_day(day: int, because: str = "typed on the wrong line") -> Grounds:
    return Grounds("EF", LATER + timedelta(days=day), because)


AMENDED = SIGNED
for _day, (_path, _new) in enumerate(
    [(RESISTANCE_LEFT, "medium"), (SHELL, "soft"), (LUNGE_RIGHT, 7), (LUNGE_LEFT, None)], 1
):
    AMENDED = amend(AMENDED, _path, _new, on_day(_day))


def without_checksum(text: str) -> str:
    return re.sub(r'^checksum = "[0-9a-f]{64}"\n', "", text, flags=re.MULTILINE)


def head_and_amendments(text: str) -> tuple[str, list[str]]:
    head, *amendments = without_checksum(text).split("[[amendment]]\n")
    return head, [part.rstrip("\n") + "\n\n" for part in amendments]


def told_of(head: str, amendments: list[str]) -> str:
    text = head + "".join(f"[[amendment]]\n{part}" for part in amendments)
    faults = verify(from_toml(text, PATH))
    return " ".join(fault.says for fault in faults if fault.weight is Weight.WRONG)


class TestSigning:
    def test_a_finished_visit_is_signed_with_who_and_when(self):
        assert SIGNED.signature is not None
        assert (SIGNED.signature.by, SIGNED.signature.at) == ("CD", LATER)
        assert verify(SIGNED) == ()

    def test_an_unsigned_visit_has_nothing_to_verify(self):
        assert verify(VISIT) == ()
        assert seal(VISIT) == ""

    def test_an_open_visit_is_not_signed(self):
        still_open = evolve(VISIT, state=State.OPEN, finished=None)
        with pytest.raises(RecordRefusedError, match="still open"):
            sign(still_open, "CD", LATER)

    def test_a_visit_is_signed_once(self):
        with pytest.raises(RecordRefusedError, match="signed already, by CD on 25 Nov 2026, 10:30"):
            sign(SIGNED, "EF", LATER)

    def test_nobody_signs_without_initials(self):
        with pytest.raises(RecordRefusedError, match="initials"):
            sign(VISIT, "  ", LATER)

    def test_where_the_exam_was_left_is_no_part_of_what_is_signed(self):
        assert verify(evolve(SIGNED, here=RESISTANCE_RIGHT)) == ()

    @pytest.mark.parametrize("session", [SIGNED, AMENDED], ids=["signed", "amended"])
    def test_the_file_gives_the_signed_visit_back(self, session):
        read = from_toml(to_toml(session), PATH)
        assert read == session
        assert verify(read) == ()
        assert to_toml(read) == to_toml(session)

    def test_the_same_content_signed_by_another_or_later_has_another_seal(self):
        seals = {seal(SIGNED), seal(sign(VISIT, "EF", LATER))}
        seals.add(seal(sign(VISIT, "CD", LATER + timedelta(seconds=1))))
        assert len(seals) == 3


class TestAmending:
    def test_what_stands_is_what_the_amendments_made_of_it(self):
        assert AMENDED.answers[RESISTANCE_LEFT] == "medium"
        assert AMENDED.answers[LUNGE_RIGHT] == 7
        assert LUNGE_LEFT not in AMENDED.answers
        assert {order.feature: order.value for order in AMENDED.decisions}["shell"] == "soft"

    def test_what_was_signed_stays_in_the_file_as_it_was(self):
        findings_then = to_toml(SIGNED).split("[[finding]]", 1)[1]
        findings_now = to_toml(AMENDED).split("[[finding]]", 1)[1]
        assert findings_now.startswith(findings_then)
        assert AMENDED.as_signed is not None
        assert AMENDED.as_signed.answers == VISIT.answers

    def test_each_amendment_keeps_old_new_who_when_and_why(self):
        (one,) = amendments_at(AMENDED, RESISTANCE_LEFT)
        assert (one.kind, one.old, one.new) == (AmendmentKind.CORRECTION, "high", "medium")
        assert (one.by, one.at, one.because) == (
            "EF",
            LATER + timedelta(days=1),
            "typed on the wrong line",
        )

    def test_the_kind_follows_from_what_stood_there(self):
        assert [one.kind for one in AMENDED.amendments] == [
            AmendmentKind.CORRECTION,
            AmendmentKind.CORRECTION,
            AmendmentKind.LATE_ENTRY,
            AmendmentKind.RETRACTION,
        ]
        unknown_then = evolve(on_day(1), was_known=False)
        (one,) = amend(SIGNED, LUNGE_RIGHT, 7, unknown_then).amendments
        assert one.kind is AmendmentKind.ADDENDUM

    def test_a_test_that_was_not_done_can_be_entered_late_and_its_reason_stays(self):
        (one,) = amend(SIGNED, RESISTANCE_RIGHT, "low", on_day(1)).amendments
        assert (one.kind, one.old, one.old_not_done) == (AmendmentKind.LATE_ENTRY, None, "pain")

    def test_a_correction_can_be_corrected(self):
        twice = amend(AMENDED, RESISTANCE_LEFT, "high", on_day(9))
        assert twice.answers[RESISTANCE_LEFT] == "high"
        assert [one.old for one in amendments_at(twice, RESISTANCE_LEFT)] == ["high", "medium"]
        assert verify(twice) == ()

    def test_a_note_stays_when_its_answer_is_taken_back(self):
        taken = amend(SIGNED, RESISTANCE_LEFT, None, on_day(1))
        finding = taken.finding(RESISTANCE_LEFT)
        assert finding is not None
        assert (finding.answer, finding.note) == (None, "two\nlines")

    @pytest.mark.parametrize(
        ("session", "path", "new", "grounds", "why"),
        [
            (VISIT, RESISTANCE_LEFT, "low", on_day(1), "not signed"),
            (SIGNED, RESISTANCE_LEFT, "high", on_day(1), "stands there already"),
            (SIGNED, LUNGE_RIGHT, None, on_day(1), "Nothing stands there"),
            (SIGNED, RESISTANCE_LEFT, "low", on_day(1, because=" \n"), "reason"),
            (SIGNED, RESISTANCE_LEFT, "low", evolve(on_day(1), by=" "), "initials"),
        ],
    )
    def test_an_amendment_that_is_none_is_refused(self, session, path, new, grounds, why):
        with pytest.raises(RecordRefusedError, match=why):
            amend(session, path, new, grounds)

    def test_a_signed_visit_that_was_changed_past_its_amendments_is_not_written(self):
        changed = AMENDED.without_finding(RESISTANCE_LEFT)
        with pytest.raises(ValueError, match="not among the amendments"):
            to_toml(changed)


class TestTampering:
    @pytest.mark.parametrize(
        ("true", "false"),
        [
            ('answer = "high"', 'answer = "low"'),
            ("answer = 9.5", "answer = 9.6"),
            ('not_done = "pain"', 'not_done = "time"'),
            ('note = "limps"', 'note = "limps not"'),
            ('says = "repeated, the same"', 'says = "repeated, another"'),
            ("value = 4", "value = 6"),
            ('code = "P-0042"', 'code = "P-0043"'),
            ('version = "1.0.0"', 'version = "1.0.1"'),
            ('by = "CD"', 'by = "XY"'),
            ('examiner = "AB"', 'examiner = "XY"'),
        ],
    )
    def test_a_change_of_what_was_signed_is_told(self, true, false):
        text = without_checksum(to_toml(SIGNED))
        assert text.count(true) == 1
        (fault,) = verify(from_toml(text.replace(true, false), PATH))
        assert "The visit is not what" in fault.says

    def test_a_finding_removed_is_told(self):
        text = without_checksum(to_toml(SIGNED))
        removed = text.replace(
            '[[finding]]\ntest = "gait"\nnote = "limps"\nat = 2026-11-25T09:12:04+00:00\n\n', ""
        )
        assert len(removed) < len(text)
        assert "The visit is not what CD signed" in told_of(removed, [])

    def test_a_changed_amendment_is_told_by_its_number(self):
        head, amendments = head_and_amendments(to_toml(AMENDED))
        amendments[1] = amendments[1].replace('new = "soft"', 'new = "firm"')
        assert "Amendment 2 is not as it was made" in told_of(head, amendments)

    @pytest.mark.parametrize("gone", [0, 1, 2])
    def test_a_removed_amendment_is_told(self, gone):
        head, amendments = head_and_amendments(to_toml(AMENDED))
        del amendments[gone]
        told = told_of(head, amendments)
        assert "4 amendments were made, and 3 are there" in told
        assert f"Amendment {gone + 1} does not follow" in told

    def test_a_removed_amendment_is_told_also_where_the_count_was_made_to_fit(self):
        head, amendments = head_and_amendments(to_toml(AMENDED))
        del amendments[1]
        told = told_of(head.replace("amendments = 4", "amendments = 3"), amendments)
        assert "Amendment 2 does not follow" in told

    def test_amendments_cut_off_at_the_end_are_told(self):
        head, amendments = head_and_amendments(to_toml(AMENDED))
        assert told_of(head, amendments[:2]) == (
            "4 amendments were made, and 2 are there: some were removed or put in."
        )

    def test_a_cut_made_to_fit_shows_in_the_seal_that_was_printed_before(self):
        head, amendments = head_and_amendments(to_toml(AMENDED))
        fitted = head.replace("amendments = 4", "amendments = 2")
        text = fitted + "".join(f"[[amendment]]\n{part}" for part in amendments[:2])
        cut = from_toml(text, PATH)
        assert verify(cut) == ()
        assert seal(cut).startswith("2-")
        assert seal(AMENDED).startswith("4-")

    def test_swapped_amendments_are_told(self):
        head, amendments = head_and_amendments(to_toml(AMENDED))
        amendments[1], amendments[2] = amendments[2], amendments[1]
        assert "the order of the amendments was changed" in told_of(head, amendments)

    def test_an_amendment_put_in_is_told(self):
        head, amendments = head_and_amendments(to_toml(AMENDED))
        forged = amend(
            amend(SIGNED, RESISTANCE_LEFT, "medium", on_day(1)), SHELL, "hard", on_day(2)
        )
        _, forgeries = head_and_amendments(to_toml(forged))
        amendments.insert(1, forgeries[1])
        told = told_of(head.replace("amendments = 4", "amendments = 5"), amendments)
        assert "Amendment 3 follows on an earlier one" in told

    def test_an_old_value_made_up_is_told_even_where_all_hashes_were_made_anew(self):
        lying = evolve(VISIT).with_finding(evolve(VISIT.findings[1], answer="very high"))
        text = to_toml(amend(sign(lying, "CD", LATER), RESISTANCE_LEFT, "low", on_day(1)))
        _, amendments = head_and_amendments(text)
        head, _ = head_and_amendments(to_toml(amend(SIGNED, RESISTANCE_LEFT, "low", on_day(1))))
        told = told_of(head, amendments)
        assert "another earlier value of supination-resistance (left)" in told

    def test_a_signature_taken_away_from_under_its_amendments_is_told(self):
        text = re.sub(r"\[signature\]\n(?:\w.*\n)+", "", without_checksum(to_toml(AMENDED)))
        assert told_of(text, []) == "There are amendments but no signature: it was taken away."

    def test_a_clock_that_was_set_back_is_odd_and_not_wrong(self):
        back = amend(amend(SIGNED, SHELL, "soft", on_day(5)), LUNGE_RIGHT, 7, on_day(2))
        (fault,) = verify(back)
        assert fault.weight is Weight.ODD
        assert "Amendment 2 is dated before" in fault.says


class TestReading:
    @pytest.mark.parametrize(
        ("true", "false", "problem"),
        [
            ('kind = "correction"\ntest', 'kind = "corection"\ntest', "amendment 1"),
            ('previous = "', 'previous = "Z', "amendment 1"),
            ('because = "typed on the wrong line"', 'because = " "', "amendment 1"),
            ('new = "medium"\n', "", "only a retraction does not"),
            ("amendments = 4", "amendments = -1", "signature, amendments"),
            ("[signature]\n", "[signature]\nplace = 1\n", "signature, place"),
            ('test = "supination-resistance"\nside = "left"\nold', "old", "test: This key is miss"),
        ],
    )
    def test_a_malformed_record_is_refused_at_its_place(self, true, false, problem):
        text = without_checksum(to_toml(AMENDED))
        assert true in text
        assert problem in " ".join(problems_in(text.replace(true, false, 1)))
