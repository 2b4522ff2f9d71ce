"""The audit names what is legal and yet useless or unsafe, with findings that show it."""

from pathlib import Path

import pytest
from attrs import evolve

from examwalk.protocol.caution_model import Caution, CheckSeverity, Crosscheck
from examwalk.protocol.condition_model import Condition, DeviceEffect, SideScope
from examwalk.protocol.exam_model import Band, Position
from examwalk.protocol.feature_model import Effect, RuleClass
from examwalk.protocol.key_types import Sides
from examwalk.protocol.library import shipped_protocols
from examwalk.protocol.model import Protocol, Source
from examwalk.protocol.shipped import read_shipped
from examwalk.reasoning.auditing import audit
from examwalk.reasoning.remarks import Weight
from made_protocols import FRAME, amount, choice, is_yes, made, measured, rule

NEVER = Condition(all=(is_yes("a"), Condition(test="a", is_="no")))
ALWAYS = Condition(any=(is_yes("a"), Condition(test="a", is_="no")))


def caution(when: Condition) -> Caution:
    return Caution("hot", "Hot", when, "urgent", DeviceEffect.STOP, "Stop.", ("practice",))


def crosscheck(when: Condition) -> Crosscheck:
    return Crosscheck("odd", CheckSeverity.UNLIKELY, when, "Odd.", ("a",), ("practice",))


def said(protocol: Protocol, about: str) -> list[tuple[Weight, str]]:
    return [(one.weight, one.says) for one in audit(protocol) if about in one.says]


def test_a_caution_that_can_never_hold_is_unsafe() -> None:
    ((weight, says),) = said(made(cautions=(caution(NEVER),)), "“hot”")
    assert weight is Weight.UNSAFE
    assert "never hold" in says


@pytest.mark.parametrize(("when", "words"), [(NEVER, "never hold"), (ALWAYS, "always holds")])
def test_a_crosscheck_that_never_or_always_fires_is_useless(when: Condition, words: str) -> None:
    ((weight, says),) = said(made(crosschecks=(crosscheck(when),)), "“odd”")
    assert (weight, words in says) == (Weight.USELESS, True)


@pytest.mark.parametrize("answered", [True, False])
def test_a_crosscheck_on_whether_a_test_is_answered_can_hold_and_can_fail(answered: bool) -> None:
    when = Condition(test="a", answered=answered)
    assert said(made(crosschecks=(crosscheck(when),)), "“odd”") == []


def test_a_test_cannot_be_answered_and_left_open_at_once() -> None:
    when = Condition(all=(is_yes("a"), Condition(test="a", answered=False)))
    ((_, says),) = said(made(crosschecks=(crosscheck(when),)), "“odd”")
    assert "never hold" in says


def test_a_rule_that_can_fire_and_can_fail_is_not_remarked_upon() -> None:
    one = rule("sometimes", Effect("lift", add=2), when="a")
    assert said(made(features=(amount(),), rules=(one,)), "“sometimes”") == []


def colliding(first: RuleClass, second: RuleClass) -> Protocol:
    return made(
        features=(amount(),),
        rules=(
            rule("more", Effect("lift", at_least=6), when="a", class_=first),
            rule("less", Effect("lift", at_most=2), when="b", class_=second),
        ),
    )


def test_rules_of_one_class_that_can_collide_are_named_with_such_findings() -> None:
    ((_, says),) = said(colliding(RuleClass.FUNCTION, RuleClass.FUNCTION), "collide")
    assert "“more” and “less”" in says
    assert "a, left: Yes; b, left: Yes" in says


def test_rules_of_two_classes_do_not_collide_since_the_stronger_wins() -> None:
    assert said(colliding(RuleClass.FUNCTION, RuleClass.SAFETY), "collide") == []


def test_rules_that_cannot_both_hold_do_not_collide() -> None:
    protocol = colliding(RuleClass.FUNCTION, RuleClass.FUNCTION)
    more, less = protocol.rules
    apart = evolve(less, when=Condition(test="a", is_="no"))
    assert said(evolve(protocol, rules=(more, apart)), "collide") == []


def shadowed(stronger_when: Condition) -> list[tuple[Weight, str]]:
    protocol = made(
        features=(amount(),),
        rules=(
            rule("mild", Effect("lift", at_most=4), when=Condition(all=(is_yes("a"), is_yes("b")))),
            rule("strict", Effect("lift", at_most=2), when=stronger_when, class_=RuleClass.SAFETY),
        ),
    )
    return said(protocol, "never matters")


def test_a_rule_that_a_stronger_one_always_outdoes_never_matters() -> None:
    ((weight, says),) = shadowed(is_yes("a"))
    assert weight is Weight.USELESS
    assert "“mild”" in says
    assert "“strict”" in says


def test_a_rule_that_a_stronger_one_sometimes_leaves_alone_matters() -> None:
    assert shadowed(is_yes("c")) == []


def test_a_feature_that_no_rule_reaches_is_named() -> None:
    assert said(made(features=(amount(),)), "no rule reaches")


def test_an_option_that_no_rule_leads_to_is_named() -> None:
    one = rule("firm", Effect("shell", prefer="firm"), when="a")
    found = said(made(features=(choice(),), rules=(one,)), "no rule leads to")
    assert [says for _, says in found if "“medium”" in says]
    assert not [says for _, says in found if "“firm”" in says or "“soft”" in says]


def test_a_test_that_a_caution_needs_and_that_may_not_be_asked_is_named() -> None:
    found = said(made(cautions=(caution(Condition(test="depth", at_least=3)),)), "“depth”")
    assert any("is not asked with these findings: skin, left" in says for _, says in found)


def test_a_test_that_a_caution_needs_and_whose_position_may_be_left_out_is_named() -> None:
    dry = Condition(not_=Condition(test="skin", side=SideScope.EITHER, includes="wound"))
    positions = (*FRAME.positions, Position("standing", "Standing", ask_when=dry))
    tests = (*FRAME.tests, evolve(measured("lunge", sides=Sides.ONCE), position="standing"))
    cautions = (caution(Condition(test="lunge", at_least=3)),)
    found = said(made(positions=positions, tests=tests, cautions=cautions), "“lunge”")
    assert any("is not asked with these findings: skin, " in says for _, says in found)


def test_tests_that_one_caution_needs_are_named_in_the_order_of_the_protocol() -> None:
    skin = Condition(test="skin", includes="wound")
    names = [f"deep-{letter}" for letter in "sbrda"]
    tests = (*FRAME.tests, *(measured(name, ask_when=skin) for name in names))
    when = Condition(any=tuple(Condition(test=name, at_least=3) for name in reversed(names)))
    found = said(made(tests=tests, cautions=(caution(when),)), "“hot” looks at")
    assert [says.split("“")[2].split("”")[0] for _, says in found] == names


def test_a_test_from_which_nothing_follows_is_named() -> None:
    found = said(made(crosschecks=(crosscheck(is_yes("a")),)), "recorded only")
    assert not [says for _, says in found if "“a”" in says]
    assert [says for _, says in found if "“b”" in says]


def test_grades_without_words_are_named() -> None:
    ((_, says),) = said(FRAME, "does not say what these grades look like")
    assert says == "“arch” does not say what these grades look like: low, medium, high."


@pytest.mark.parametrize(
    ("bands", "words"),
    [
        ((Band("low", at_most=4), Band("high", at_least=6)), "5 lies in no band"),
        ((Band("low", at_most=5), Band("high", at_least=5)), "5 lies in two bands"),
        ((Band("low", below=5), Band("high", at_least=5)), ""),
    ],
)
def test_a_gap_or_an_overlap_between_bands_is_named_with_a_number(
    bands: tuple[Band, ...], words: str
) -> None:
    tests = tuple(evolve(test, bands=bands) if test.id == "reach" else test for test in FRAME.tests)
    found = said(made(tests=tests), "“reach”: ")
    assert bool(found) is bool(words)
    assert all(words in says for _, says in found)


def test_a_source_that_is_never_cited_is_named() -> None:
    sources = {**FRAME.sources, "spare": Source("Never used")}
    assert said(made(sources=sources), "“spare” is never cited")


@pytest.mark.parametrize("path", shipped_protocols(), ids=lambda path: path.stem)
def test_no_shipped_protocol_holds_anything_unsafe_or_useless(path: Path) -> None:
    remarks = audit(read_shipped(path).protocol)
    assert [one.says for one in remarks if one.weight is not Weight.NOTE] == []
