"""Reports and refusals in German: every word of the program's own, and nothing but words."""

import json
import re
from collections.abc import Iterator
from html import unescape
from itertools import pairwise
from pathlib import Path

import pytest
from attrs import evolve

from adult_cases import ADULT
from examwalk import language
from examwalk.catalogues import choose_language, read_catalogue
from examwalk.files import SaveFailedError
from examwalk.problems import UnusableFileError
from examwalk.protocol.condition_model import Condition
from examwalk.protocol.feature_model import AcrossPair, Effect
from examwalk.protocol.library import find_protocol
from examwalk.protocol.reading import read_protocol
from examwalk.protocol.shipped import read_shipped
from examwalk.protocol.word_places import words_in
from examwalk.reasoning.fitting import case_of, misfits
from examwalk.reasoning.robustness import robustness_of
from examwalk.reasoning.summary import summarise
from examwalk.report.data import summary_data
from examwalk.report.fhir_bundle import fhir_bundle
from examwalk.report.pages import told_about, written
from examwalk.report.protocol_text import protocol_text
from examwalk.report.text import summary_text
from examwalk.session.folder import code_doubts
from examwalk.session.model import Finding, Place, Session, Side
from examwalk.session.storing import from_toml, read_session
from german import TELLING, OnlyKnown, english_on
from made_protocols import amount, made, rule

ROOT = Path(__file__).parents[2]
EXAMPLES = {path.stem: read_session(path) for path in (ROOT / "sessions").glob("*.toml")}
WORDS = read_catalogue("de")
OF_THE_PROTOCOL = " ".join(
    " ".join(path.read_text(encoding="utf-8").split())
    for path in (ROOT / "protocols" / "adult").glob("*.toml")
)


@pytest.fixture(autouse=True)
def _in_german():
    choose_language("de")


def page(session: Session) -> str:
    return summary_text(ADULT, session, summarise(ADULT, session))


def unfinished(session: Session) -> Session:
    """Leave every third finding out, so that much is open."""
    kept = [finding for number, finding in enumerate(session.findings) if number % 3]
    return evolve(session, findings=tuple(kept), decisions=())


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_english_word_of_its_own_is_left_in_a_summary(name, monkeypatch):
    known = OnlyKnown(WORDS)
    monkeypatch.setattr(language._Chosen, "words", known)
    for session in (EXAMPLES[name], unfinished(EXAMPLES[name])):
        spoken = " ".join([OF_THE_PROTOCOL, session.about])
        assert english_on(page(session), WORDS, spoken) == []
    assert len(known.asked) > 25
    assert known.asked - set(known) == set()


def test_english_words_would_be_found():
    choose_language("en")
    session = unfinished(EXAMPLES["heel-pain-right"])
    assert len(english_on(page(session), WORDS, OF_THE_PROTOCOL)) > 5


def test_the_parts_of_a_summary_have_german_headings():
    lines = page(EXAMPLES["heel-pain-right"]).splitlines()
    assert lines[0] == "Besuch heel-pain-right"
    headings = [above for above, line in pairwise(lines) if set(line) == {"-"}]
    assert headings[0] == "Überweisung und Warnungen"
    assert {"Für das Paar", "Linker Fuß", "Rechter Fuß", "Beratung und Kontrolle"} <= set(headings)


def test_what_a_rule_did_and_what_a_pair_shares_is_said_in_german():
    protocol = made(
        features=(amount(across_pair=AcrossPair.HIGHER),),
        rules=(rule("raise", Effect("lift", at_least=6), when=Condition(test="reach", above=3)),),
    )
    reached = tuple(
        Finding(Place("reach", side), EXAMPLES["heel-pain-right"].started, answer=number)
        for side, number in ((Side.LEFT, 6), (Side.RIGHT, 1))
    )
    session = evolve(EXAMPLES["heel-pain-right"], findings=reached, decisions=())
    summary = summarise(protocol, session)
    left, right = (summary.feature("lift", side) for side in (Side.LEFT, Side.RIGHT))
    assert [step.did for step in left.trace] == ["mindestens 6 mm"]
    assert right.trace[-1].did == "an den linken Fuß angeglichen (6 mm)"
    assert right.trace[-1].because == "In diesem Merkmal müssen beide Füße übereinstimmen."


def differing(english: object, german: object, key: str = "") -> Iterator[tuple[str, object]]:
    """Yield the key of each value that differs between two outputs of one shape."""
    assert type(english) is type(german)
    if isinstance(english, dict):
        assert list(english) == list(german)
        for name, value in english.items():
            yield from differing(value, german[name], name)
    elif isinstance(english, list):
        assert len(english) == len(german)
        for one, other in zip(english, german, strict=True):
            yield from differing(one, other, key)
    elif english != german:
        yield key, german


@pytest.mark.parametrize("name", EXAMPLES)
def test_as_data_only_words_are_in_another_language(name):
    session = EXAMPLES[name]
    german = summary_data(ADULT, session, summarise(ADULT, session))
    choose_language("en")
    english = summary_data(ADULT, session, summarise(ADULT, session))
    changed = list(differing(english, german))
    words = {"did", "words", "because", "says", "before", "after"}
    assert {key for key, _ in changed} <= words
    assert ("words", WORDS["not applicable"]) in changed


def test_a_protocol_in_words_has_german_labels():
    text = protocol_text(ADULT)
    assert english_on(text, WORDS, OF_THE_PROTOCOL) == []
    assert "\nPlausibilitätsprüfungen: " in text
    assert "je Seite)" in text


def test_a_damaged_visit_is_refused_in_german():
    text = (ROOT / "sessions" / "heel-pain-right.toml").read_text(encoding="utf-8")
    broken = text.replace("format = 1", 'format = "eins"').replace(
        "invented = true", "invented = 3"
    )
    with pytest.raises(UnusableFileError) as caught:
        from_toml(broken, Path("besuch.toml"))
    says = str(caught.value)
    assert "besuch.toml: format: Hier sollte die Zahl 1 stehen." in says
    assert "invented: Hier sollte true oder false stehen, nicht eine ganze Zahl (3)." in says
    assert english_on(says, WORDS, "") == []


def test_a_line_that_is_no_toml_is_explained_in_german():
    with pytest.raises(UnusableFileError) as caught:
        from_toml("format = ja\n", Path("besuch.toml"))
    assert "besuch.toml:1: Dies ist kein gültiges TOML: " in str(caught.value)
    assert "Wahrscheinlich: ein Text steht in Anführungszeichen" in str(caught.value)


def test_an_answer_that_cannot_be_is_refused_in_german():
    place = Place("age", Side.WHOLE)
    at = EXAMPLES["heel-pain-right"].started
    session = EXAMPLES["heel-pain-right"].with_finding(Finding(place, at, answer=460))
    assert [one.says.split(": ")[1] for one in misfits(ADULT, session)] == [
        "460 liegt außerhalb von 0 bis 115 years."
    ]


@pytest.mark.parametrize(
    ("code", "says"),
    [
        ("", "Ein Patientencode ist nötig, zum Beispiel P-0042."),
        ("Erika Mustermann", "„Erika Mustermann“ sieht aus wie ein Name."),
        ("3. März 1961", "„3. März 1961“ sieht aus wie ein Geburtsdatum."),
        ("12 Dez 61", "„12 Dez 61“ sieht aus wie ein Geburtsdatum."),
    ],
)
def test_a_doubtful_code_is_doubted_in_german(code, says):
    doubt = code_doubts(code)
    assert doubt is not None
    assert doubt.sentence.startswith(says)


@pytest.mark.parametrize("code", ["Fall 12", "Beispiel 3", "Praxis-7"])
def test_an_ordinary_german_word_in_a_code_is_no_name(code):
    assert code_doubts(code) is None


def test_a_full_disk_is_told_in_german_with_what_helps():
    error = SaveFailedError(Path("/a/b.toml"), OSError(28, "No space left on device"))
    assert str(error) == (
        "/a/b.toml ließ sich nicht speichern: der Datenträger ist voll. Bereits Gespeichertes "
        "ist nicht verloren. Speicherplatz freigeben, dann erneut speichern."
    )


def test_large_numbers_are_written_as_in_german():
    assert language.say_number(5_000_000) == "5.000.000"


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_decimal_of_a_summary_has_a_comma_and_none_of_its_tables_and_bundles(name):
    session = EXAMPLES[name]
    german = read_protocol(find_protocol("adult"), "de").protocol
    robustness = robustness_of(case_of(german, session))
    said = summary_text(german, session, summarise(german, session), robustness)
    said = said.replace(german.identity.version, "").replace(session.about, "")
    assert re.findall(r"(?<![\d.])\d+\.\d+(?![\d.])", said) == []
    assert re.search(r"\d,\d", said)
    bundle = json.dumps(fhir_bundle(ADULT, session, summarise(ADULT, session)))
    choose_language("en")
    assert numbers_in(json.loads(bundle)) == numbers_in(
        fhir_bundle(ADULT, session, summarise(ADULT, session))
    )


def numbers_in(value: object) -> list[float]:
    """Return every number of a nest of tables and lists, in its order."""
    if isinstance(value, dict):
        return [number for part in value.values() for number in numbers_in(part)]
    if isinstance(value, list):
        return [number for part in value for number in numbers_in(part)]
    return [value] if isinstance(value, int | float) else []


SHORT = read_shipped(find_protocol("short"), "de").protocol
SAME_IN_BOTH = r"Shore A [\d–]+|Hallux valgus"
OF_THE_SHORT = " ".join(
    " ".join(path.read_text(encoding="utf-8").split())
    for folder in ("adult", "short")
    for path in (ROOT / "protocols" / folder / "translations").rglob("*.toml")
)
ENGLISH_OF_SHORT = {
    one.text
    for one in words_in(read_shipped(find_protocol("short")).document.data)
    if len(one.text) > TELLING and not re.fullmatch(SAME_IN_BOTH, one.text)
}


def short_visit(name: str) -> Session:
    """Return what the short examination would have found of an example's patient."""
    found = (one for one in EXAMPLES[name].findings if one.place.test in SHORT.tests_by_id)
    return evolve(EXAMPLES[name], findings=tuple(found), about="", decisions=())


@pytest.mark.parametrize("kind", ["record", "order", "patient"])
@pytest.mark.parametrize("name", EXAMPLES)
def test_no_page_of_a_short_examination_has_an_english_word_or_a_decimal_point(name, kind):
    text = " ".join(written(told_about(SHORT, short_visit(name)), kind, "html").split())
    text = unescape(re.sub("<style>.*?</style>|<meta[^>]*>|<[^>]*>", " ", text))
    text = " ".join(text.replace(SHORT.identity.version, "").split())
    assert english_on(text, WORDS, OF_THE_SHORT) == []
    text = text.rpartition(" Quellen ")[0] or text  # what is cited keeps its own language
    assert [one for one in ENGLISH_OF_SHORT if one in text] == []
    assert re.findall(r"(?<![\d.])\d+\.\d+(?![\d.])", text) == []
    assert kind == "patient" or re.search(r"\d,\d", text)


def test_english_words_of_the_short_protocol_would_be_found():
    short = read_shipped(find_protocol("short")).protocol
    text = " ".join(
        written(told_about(short, short_visit("insensate-feet")), "order", "text").split()
    )
    assert len([one for one in ENGLISH_OF_SHORT if one in text]) > 5


def test_where_a_statement_comes_from_is_marked_in_german():
    text = " ".join(
        written(told_about(SHORT, short_visit("insensate-feet")), "record", "text").split()
    )
    sources = text[text.index("Quellen ---") :]
    assert "veröffentlicht: Redmond, 2008" in sources
    assert re.search(r"\] Festlegung dieses Protokolls -", sources)
    assert re.search(r"\] aus dem Gedächtnis -", sources)
