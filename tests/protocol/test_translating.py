"""A protocol is read in another language: words only, merged by id, level by level."""

import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, get_args, get_origin

import attrs
import pytest
from good_protocol import FILES, HERE, line_of, write_files

from examwalk.cli import main
from examwalk.problems import Problem, UnusableFileError
from examwalk.protocol.condition_model import Condition
from examwalk.protocol.exam_model import Option
from examwalk.protocol.library import shipped_protocols, translations_of
from examwalk.protocol.model import Protocol
from examwalk.protocol.reading import LoadedProtocol, read_protocol
from examwalk.protocol.structuring import keys_of
from examwalk.protocol.word_places import WORD_KEYS
from examwalk.session.folder import keep_protocol, keep_translation

HEAD = '[protocol]\nid = "clinic"\ntitle = "Our clinic"\nversion = "1"\nextends = "good"\n'
FIGURE = """
[figures.lunge]
alt = "The {side} knee at the wall, {value} cm."
view_box = [0, 0, 10, 10]
[[figures.lunge.parts]]
ground = 5
[figures.nobody]
alt = "No test shows this one."
like = "lunge"
"""
NOTHING = "# Nothing yet.\n"
BASE = {**FILES, "figures.toml": FIGURE}


def good(folder: Path, german: str | None) -> Path:
    """Write the good protocol with a German translation beside its files."""
    path = write_files(folder / "good", BASE)
    if german is not None:
        write_files(path / "translations", {"de.toml": german})
    return path


def in_german(folder: Path, german: str) -> LoadedProtocol:
    return read_protocol(good(folder, german), "de")


def clinic(folder: Path, text: str, german: str | None = None) -> Path:
    path = folder / "clinic.toml"
    path.write_text(HEAD + text, encoding="utf-8")
    if german is not None:
        write_files(folder / "translations", {"clinic.de.toml": german})
    return path


def untranslated(loaded: LoadedProtocol) -> set[str]:
    return {problem.place for problem in loaded.untranslated}


class TestWordsAreMergedById:
    def test_each_kind_of_table_takes_its_words(self, tmp_path: Path) -> None:
        german = """
        [protocol]
        title = "Eine kleine Untersuchung"
        [scales.effort.labels]
        easy = "leicht"
        [option_sets.yes-no]
        yes = { label = "Ja", looks = "Es ist so." }
        [not_done_reasons]
        pain = "Zu schmerzhaft"
        [urgencies]
        emergency = "Notfall, sofort"
        [[position]]
        id = "seated"
        instruction = "Die Person sitzt."
        [[test]]
        id = "lunge"
        title = "Ausfallschritt"
        unit = "Zentimeter"
        bands = { short = "kurz", long = "lang" }
        [[test]]
        id = "resistance"
        mistakes = ["Die Person hilft mit."]
        grades = { hard = { looks = "Es braucht beide Hände." } }
        reliability = [{ statistic = "Gewichtetes Kappa" }]
        [[derived]]
        id = "load-score"
        points = [{}, { because = "viel Kraft" }]
        [[derived]]
        id = "dose"
        rows = [{ because = "viel Last" }, {}]
        [[crosscheck]]
        id = "weak-but-hard"
        says = "Schwach und doch schwer anzuheben."
        [[caution]]
        id = "hot"
        refer_to = "die Fußambulanz"
        [[feature]]
        id = "device"
        options = { shell = { label = "eine Schale" } }
        [[rule]]
        id = "shell-when-loaded"
        because = "Viel Last verlangt eine Schale."
        [[exclusion]]
        features = ["lift", "cup"]
        because = "Beide kippen die Ferse."
        [[advice]]
        id = "stretch"
        kind = "Übung"
        [sources.common-practice]
        note = "Nichts gefunden."
        [figures.lunge]
        alt = "Das Knie {side} an der Wand, {value} cm."
        """
        mine = in_german(tmp_path, german).protocol
        lunge, resistance = mine.tests_by_id["lunge"], mine.tests_by_id["resistance"]
        assert mine.identity.title == "Eine kleine Untersuchung"
        assert mine.scales["effort"].label("easy") == "leicht"
        assert mine.option_sets["yes-no"]["yes"] == Option("Ja", "Es ist so.")
        assert mine.not_done_reasons["pain"] == "Zu schmerzhaft"
        assert mine.urgencies["emergency"] == "Notfall, sofort"
        assert mine.position("seated").instruction == "Die Person sitzt."
        assert (lunge.title, lunge.unit) == ("Ausfallschritt", "Zentimeter")
        assert [band.label for band in lunge.bands] == ["kurz", "ordinary", "lang"]
        assert resistance.mistakes == ("Die Person hilft mit.",)
        assert resistance.grades["hard"].looks == "Es braucht beide Hände."
        assert resistance.reliability[0].statistic == "Gewichtetes Kappa"
        assert [one.because for one in mine.derived_by_id["load-score"].points] == [
            "it resists",
            "viel Kraft",
        ]
        assert [one.because for one in mine.derived_by_id["dose"].rows] == [
            "viel Last",
            "little load",
        ]
        assert mine.crosschecks[0].says == "Schwach und doch schwer anzuheben."
        assert mine.cautions_by_id["hot"].refer_to == "die Fußambulanz"
        assert mine.features_by_id["device"].options["shell"].label == "eine Schale"
        assert mine.rules[0].because == "Viel Last verlangt eine Schale."
        assert mine.exclusions[0].because == "Beide kippen die Ferse."
        assert mine.advice[0].kind == "Übung"
        assert mine.sources["common-practice"].note == "Nichts gefunden."
        assert mine.figures["lunge"].alt == "Das Knie {side} an der Wand, {value} cm."

    def test_nothing_but_the_words_is_changed(self, tmp_path: Path) -> None:
        german = '[[test]]\nid = "lunge"\ntitle = "Ausfallschritt"\n'
        mine = in_german(tmp_path, german).protocol
        base = read_protocol(tmp_path / "good").protocol
        back = [
            attrs.evolve(test, title="Lunge distance") if test.id == "lunge" else test
            for test in mine.tests
        ]
        assert tuple(back) == base.tests
        assert attrs.evolve(mine, tests=base.tests) == base

    def test_the_fingerprint_and_the_kept_text_are_those_of_the_protocol(
        self, tmp_path: Path
    ) -> None:
        mine = in_german(tmp_path, '[[test]]\nid = "lunge"\ntitle = "Ausfallschritt"\n')
        base = read_protocol(tmp_path / "good")
        assert mine.protocol != base.protocol
        assert (mine.fingerprint, mine.text) == (base.fingerprint, base.text)

    def test_a_grade_that_has_only_its_id_can_be_worded(self, tmp_path: Path) -> None:
        """The scale “strength” gives no labels; the word of a grade is then its id."""
        german = '[scales.strength.labels]\nnone = "keine"\n'
        mine = in_german(tmp_path, german)
        assert mine.protocol.scales["strength"].label("none") == "keine"
        assert "scales, strength, grades" not in untranslated(mine)
        assert "scales, strength, labels, weak" in untranslated(mine)

    def test_the_word_for_an_amount_of_nothing_can_be_worded_where_none_is_given(
        self, tmp_path: Path
    ) -> None:
        mine = in_german(tmp_path, '[[feature]]\nid = "cup"\nzero = "keine"\n')
        assert mine.protocol.features_by_id["cup"].zero == "keine"

    def test_a_note_on_the_change_that_matters_can_be_worded(self, tmp_path: Path) -> None:
        german = '[[test]]\nid = "lunge"\nimportant_change = { note = "Erdacht." }\n'
        loaded = in_german(tmp_path, german)
        change = loaded.protocol.tests_by_id["lunge"].important_change
        assert change is not None
        assert (change.note, change.change) == ("Erdacht.", 2)
        assert 'test "lunge", important_change, note' not in untranslated(loaded)
        assert "Erdacht." in str(loaded.translation_text)

    def test_a_folder_of_files_is_one_translation(self, tmp_path: Path) -> None:
        path = good(tmp_path, None)
        (path / "translations").mkdir()
        parts = {
            "a.toml": '[[test]]\nid = "lunge"\ntitle = "Ausfallschritt"\n',
            "b.toml": '[[test]]\nid = "height"\ntitle = "Größe"\n',
        }
        write_files(path / "translations" / "de", parts)
        tests = read_protocol(path, "de").protocol.tests_by_id
        assert (tests["lunge"].title, tests["height"].title) == ("Ausfallschritt", "Größe")

    def test_a_language_without_a_translation_leaves_the_words_as_they_are(
        self, tmp_path: Path
    ) -> None:
        path = good(tmp_path, None)
        assert read_protocol(path, "de").protocol == read_protocol(path).protocol


class TestLevels:
    GERMAN = """
    [[test]]
    id = "resistance"
    title = "Supinationswiderstand"
    how = ["Hinter der Person stehen.", "Mit zwei Fingerkuppen anheben."]
    [[test]]
    id = "lunge"
    bands = { short = "kurz", ordinary = "gewöhnlich", long = "lang" }
    """
    REWORDED = """
    [[test]]
    id = "resistance"
    how = ["Stand behind the patient.", "Lift with one thumb."]
    """

    def test_what_is_inherited_is_inherited_in_german(self, tmp_path: Path) -> None:
        good(tmp_path, self.GERMAN)
        test = read_protocol(clinic(tmp_path, ""), "de").protocol.tests_by_id["resistance"]
        assert test.title == "Supinationswiderstand"

    def test_a_step_reworded_by_a_clinic_wins_over_the_translation_of_the_old_one(
        self, tmp_path: Path
    ) -> None:
        good(tmp_path, self.GERMAN)
        loaded = read_protocol(clinic(tmp_path, self.REWORDED), "de")
        test = loaded.protocol.tests_by_id["resistance"]
        assert test.how == ("Hinter der Person stehen.", "Lift with one thumb.")
        (place,) = [problem for problem in loaded.untranslated if "one thumb" in problem.message]
        assert (place.file, place.line) == (tmp_path / "clinic.toml", 9)

    def test_the_clinics_own_translation_is_read_last(self, tmp_path: Path) -> None:
        good(tmp_path, self.GERMAN)
        german = """
        [[test]]
        id = "resistance"
        title = "Widerstand"
        how = ["Hinter der Person stehen.", "Mit einem Daumen anheben."]
        """
        path = clinic(tmp_path, self.REWORDED, german)
        test = read_protocol(path, "de").protocol.tests_by_id["resistance"]
        assert test.title == "Widerstand"
        assert test.how[1] == "Mit einem Daumen anheben."

    def test_a_band_moved_by_a_clinic_keeps_the_words_of_its_label(self, tmp_path: Path) -> None:
        good(tmp_path, self.GERMAN)
        text = """
        [[test]]
        id = "lunge"
        bands = [{ label = "short", below = 5 }, { label = "enough", at_least = 5 }]
        """
        test = read_protocol(clinic(tmp_path, text), "de").protocol.tests_by_id["lunge"]
        assert [band.label for band in test.bands] == ["kurz", "enough"]

    def test_a_band_with_words_for_the_patient_is_translated_as_a_table(
        self, tmp_path: Path
    ) -> None:
        good(tmp_path, None)
        text = """
        [[test]]
        id = "lunge"
        bands = [{ label = "short", below = 5, for_patient = "It is stiff." }]
        """
        german = """
        [[test]]
        id = "lunge"
        [test.bands]
        short = { label = "kurz", for_patient = "Es ist steif." }
        """
        loaded = read_protocol(clinic(tmp_path, text, german), "de")
        (band,) = loaded.protocol.tests_by_id["lunge"].bands
        assert (band.label, band.for_patient) == ("kurz", "Es ist steif.")
        assert loaded.translation_text is not None
        assert tomllib.loads(loaded.translation_text)["test"] == [
            {
                "id": "lunge",
                "bands": {"short": {"label": "kurz", "for_patient": "Es ist steif."}},
            }
        ]

    def test_a_clinic_that_writes_german_needs_no_translation_of_its_own(
        self, tmp_path: Path
    ) -> None:
        good(tmp_path, self.GERMAN)
        text = """language = "de"
        [[test]]
        id = "lunge"
        title = "Ausfallschritt zur Wand"
        """
        loaded = read_protocol(clinic(tmp_path, text), "de")
        tests = loaded.protocol.tests_by_id
        assert tests["lunge"].title == "Ausfallschritt zur Wand"
        assert tests["resistance"].title == "Supinationswiderstand"
        assert 'test "lunge", title' not in untranslated(loaded)
        assert 'test "height", title' in untranslated(loaded)

    def test_what_is_removed_asks_for_no_translation(self, tmp_path: Path) -> None:
        good(tmp_path, NOTHING)
        path = clinic(tmp_path, '[remove]\nadvice = ["stretch"]\n')
        places = untranslated(read_protocol(path, "de"))
        assert 'advice "review", says' in places
        assert 'advice "stretch", says' not in places


class TestWhatIsNotTranslated:
    def test_it_is_named_with_file_and_line(self, tmp_path: Path) -> None:
        loaded = in_german(tmp_path, NOTHING)
        line = line_of('title = "Lunge distance"', FILES["exam.toml"])
        (problem,) = [one for one in loaded.untranslated if one.place == 'test "lunge", title']
        assert (problem.file, problem.line) == (tmp_path / "good" / "exam.toml", line)
        assert "“Lunge distance”" in problem.message

    def test_neither_a_citation_nor_a_figure_that_nothing_shows_is_asked_for(
        self, tmp_path: Path
    ) -> None:
        places = untranslated(in_german(tmp_path, NOTHING))
        assert "figures, lunge, alt" in places
        assert "figures, nobody, alt" not in places
        assert not any("cite" in place for place in places)

    def test_the_command_counts_it_and_finds_no_fault(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        path = good(tmp_path, '[[test]]\nid = "lunge"\ntitle = "Ausfallschritt"\n')
        assert main(["protocol", "check", str(path), "--language", "de"]) == 0
        out, err = capsys.readouterr()
        count = len(out.splitlines())
        assert f"{count} texts are not translated into “de” yet" in err
        assert all(line.startswith("untranslated: ") for line in out.splitlines())
        assert not any("Lunge distance" in line for line in out.splitlines())

    def test_a_protocol_written_in_the_language_lacks_nothing(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert main(["protocol", "check", str(good(tmp_path, None)), "--language", "en"]) == 0
        out, err = capsys.readouterr()
        assert out == ""
        assert "all of it is written in “en”" in err


def problems_in(folder: Path, german: str) -> tuple[Problem, ...]:
    try:
        in_german(folder, german)
    except UnusableFileError as error:
        return error.problems
    return ()


@pytest.mark.parametrize(
    ("german", "words"),
    [
        ('[[test]]\nid = "lunge"\nhard = [0, 30] #!', ("“hard” is no word", "title")),
        ('[[test]]\nid = "lunge"\ntittle = "A" #!', ("not known here", "Did you mean “title”?")),
        ('[[test]]\nid = "lunges" #!', ("no “lunges” among its test", "Did you mean “lunge”?")),
        ('[[test]] #!\ntitle = "A"', ("names no id",)),
        ('[[test]]\nid = "lunge"\ntitle = "  " #!', ("is empty",)),
        ('[[test]]\nid = "lunge"\ntitle = 5 #!', ("expected text in quotes, found 5",)),
        ('[[test]]\nid = "lunge"\ntitle = "a\\u202eb" #!', ("U+202E",)),
        ('[[test]]\nid = "lunge"\n[[test]] #!\nid = "lunge"', ("translated twice",)),
        ('[[test]]\nid = "lunge"\nhow = ["A"] #!', ("says no “how” here",)),
        ('[[test]]\nid = "resistance"\nhow = ["A"] #!', ("has 2 items here", "1;")),
        ('[[test]]\nid = "resistance"\nhow = "A" #!', ("expected a list",)),
        ('[[test]]\nid = "resistance"\ngrades = { harsh = { looks = "A" } } #!', ("“hard”",)),
        ('[[test]]\nid = "lunge"\nbands = { shorts = "kurz" } #!', ("“shorts”", "“short”")),
        ('[[test]]\nid = "lunge"\nbands = [{ label = "kurz" }] #!', ('bands = { "short"',)),
        ('[[test]]\nid = "hot-foot"\noptions = { yes = { label = "Ja" } } #!', ("no “options”",)),
        ('[[derived]]\nid = "dose"\nrows = [{ because = "A" }] #!', ("has 2 items",)),
        ('[scales.effort]\ngrades = ["a", "b", "c"] #!', ("“grades” is no word",)),
        ('[scales.effort.labels]\neasier = "A" #!', ("Did you mean “easy”?",)),
        ('[option_sets.yes-no]\nmaybe = { label = "A" } #!', ("no “maybe”",)),
        ('[option_sets.yes-or-no.yes] #!\nlabel = "Ja"', ("Did you mean “yes-no”?",)),
        ('[urgencies]\nroutines = "A" #!', ("Did you mean “routine”?",)),
        ('[sources.convention]\ncite = "A" #!', ("“cite” is no word",)),
        ("[figures.lunge]\nview_box = [0, 0, 1, 1] #!", ("“view_box” is no word", "alt")),
        ('[[exclusion]]\nfeatures = ["lift", "cover"] #!\nbecause = "A"', ("lift and cover",)),
        ('[protocol]\nid = "klein" #!', ("“id” is no word",)),
        ('[[rules]] #!\nid = "shell-when-loaded"', ("Did you mean “rule”?",)),
        ('[remove] #!\ntests = ["lunge"]', ("not known here",)),
        ('[test] #!\nid = "lunge"', ("[[test]]", "found a table")),
        ('figures = "A" #!', ("expected a table",)),
        ("outlines = {} #!", ("“outlines” is no word",)),
    ],
)
def test_a_mistake_is_told_on_its_line(tmp_path: Path, german: str, words: tuple) -> None:
    problems = problems_in(tmp_path, german + "\n")
    told = "\n".join(map(str, problems))
    assert len(problems) == 1, told or "nothing was reported"
    (problem,) = problems
    assert (problem.file.name, problem.line) == ("de.toml", line_of(HERE, german)), told
    for word in words:
        assert word in problem.message, told


def test_every_mistake_is_told_at_once(tmp_path: Path) -> None:
    german = '[[test]]\nid = "lunges"\n[[test]]\nid = "height"\nstep = 2\n[urgencies]\nnow = "A"\n'
    assert [problem.line for problem in problems_in(tmp_path, german)] == [2, 5, 7]


def test_a_misshapen_protocol_is_told_and_its_translation_breaks_nothing(tmp_path: Path) -> None:
    path = good(tmp_path, '[[test]]\nid = "lunge"\nbands = { short = "kurz" }\n[scales.effort]\n')
    exam = FILES["exam.toml"].replace('id = "lunge"', 'id = "lunge"\noptions = 5')
    exam = exam.replace("[scales.effort]", "[scales]\neffort = 3\n[other]", 1)
    (path / "exam.toml").write_text(exam, encoding="utf-8")
    with pytest.raises(UnusableFileError) as caught:
        read_protocol(path, "de")
    assert {problem.file.name for problem in caught.value.problems} >= {"exam.toml"}


def test_the_check_reads_every_translation_beside_the_protocol(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = good(tmp_path, '[[test]]\nid = "lunges"\n')
    assert main(["protocol", "check", str(path)]) == 1
    out, _ = capsys.readouterr()
    assert "de.toml:2: " in out
    assert "“lunges”" in out


@pytest.mark.parametrize("name", ["clinic.toml", "de.toml", "clinic.german!.toml"])
def test_a_translation_that_nothing_reads_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    good(tmp_path, None)
    path = clinic(tmp_path, "")
    write_files(tmp_path / "translations", {name: NOTHING, "clinic.de.toml": NOTHING})
    assert main(["protocol", "check", str(path)]) == 0
    told = [line for line in capsys.readouterr().out.splitlines() if "nothing reads" in line]
    assert len(told) == 1
    assert name in told[0]
    assert "clinic.<language>.toml" in told[0]


def test_a_folder_of_translations_is_no_protocol(tmp_path: Path, monkeypatch) -> None:
    good(tmp_path, None)
    clinic(tmp_path, "", '[protocol]\ntitle = "Unsere Praxis"\n')
    monkeypatch.setattr("examwalk.protocol.library.shipped_folder", lambda: tmp_path)
    assert [path.stem for path in shipped_protocols()] == ["clinic", "good"]


def test_the_language_of_a_file_is_what_stands_after_its_own_name(tmp_path: Path) -> None:
    good(tmp_path, None)
    path = clinic(tmp_path, "", "")
    write_files(tmp_path / "translations", {"clinic-two.de.toml": "", "clinic.pt-br.toml": ""})
    assert sorted(translations_of(path)) == ["de", "pt-br"]


def test_kept_words_come_back_as_they_were(tmp_path: Path) -> None:
    """Beside the copy that a visit keeps, the words of all levels are one translation of it."""
    good(tmp_path, TestLevels.GERMAN)
    german = '[[test]]\nid = "lunge"\ntitle = "Zur Wand"\n[[derived]]\nid = "load-score"\n'
    german += 'points = [{}, { because = "viel Kraft" }]\n[[exclusion]]\n'
    german += 'features = ["lift", "cup"]\nbecause = "Beide kippen."\n[option_sets.yes-no]\n'
    german += 'yes = { label = "Ja" }\n[scales.strength.labels]\nnone = "keine"\n'
    mine = read_protocol(clinic(tmp_path, TestLevels.REWORDED, german), "de")
    assert mine.translation_text is not None
    copy = keep_protocol(tmp_path / "visits", mine.fingerprint, mine.text)
    keep_translation(tmp_path / "visits", mine.fingerprint, "de", mine.translation_text)
    kept = read_protocol(copy, "de")
    assert kept.fingerprint == mine.fingerprint
    assert kept.protocol == mine.protocol
    assert kept.protocol != read_protocol(copy).protocol


def tables_in(kind: Any) -> Iterator[type]:
    """Return the classes of all tables, at any depth, that a value of this type may hold."""
    if attrs.has(kind) and kind is not Condition:
        yield kind
        for _, held, _ in keys_of(kind).values():
            yield from tables_in(held)
    for part in get_args(kind):
        yield from tables_in(part)


def texts_of_the_model() -> Iterator[tuple[type, str]]:
    """Return each key of the model that holds text or texts, with its class."""
    for cls in dict.fromkeys(tables_in(Protocol)):
        for key, (_, kind, _) in keys_of(cls).items():
            values = get_args(kind)[1:] if get_origin(kind) is Mapping else get_args(kind)
            if str in (kind, *values):
                yield cls, key


STEERING: Mapping[str, frozenset[str]] = {
    "Protocol": frozenset(),
    "Identity": frozenset({"id", "version", "language", "extends", "complaint", "age", "sex"}),
    "Scale": frozenset({"grades"}),
    "Reliability": frozenset({"value", "source"}),
    "Norm": frozenset({"source", "sex"}),
    "Test": frozenset(
        {"figure_side", "position", "basis", "figure", "scale", "option_set", "alone"}
    ),
    "Derived": frozenset({"calculation", "inputs", "basis"}),
    "Crosscheck": frozenset({"recheck", "basis"}),
    "Caution": frozenset({"urgency", "basis"}),
    "Feature": frozenset({"basis", "start", "cautious", "needs"}),
    "Effect": frozenset(
        {"feature", "start", "add", "at_least", "at_most", "prefer", "require", "rule_out"}
    ),
    "Rule": frozenset({"basis"}),
    "Exclusion": frozenset({"features", "basis"}),
    "Advice": frozenset({"basis"}),
    "Source": frozenset({"cite", "identifier"}),
    "Figure": frozenset({"like"}),
    "Part": frozenset({"outline", "d", "cross", "circle", "without", "about", "to"}),
    "Stroke": frozenset({"d"}),
    "Bend": frozenset({"at", "towards"}),
    "AssumedAgreement": frozenset({"basis", "except_in"}),
    "ImportantChange": frozenset({"source"}),
    "Chart": frozenset({"of", "result"}),
    "Mark": frozenset({"options"}),
    "Shell": frozenset({"stiffness", "thickness_feature", "material_feature", "basis"}),
    "ShellMaterial": frozenset({"basis"}),
    "LookedUp": frozenset({"derived", "feature"}),
}
"""The keys that hold text and are no words: ids, references, citations, what the code reads."""


def test_each_text_of_the_model_is_either_a_word_or_steers() -> None:
    """A key that is added to the model must be decided about."""
    undecided = [
        f"{cls.__name__}.{key}"
        for cls, key in texts_of_the_model()
        if key not in WORD_KEYS.get(cls, ())
        and key not in STEERING.get(cls.__name__, ())
        and key not in ("id", "figure")
    ]
    assert undecided == []


def test_each_word_key_is_a_key_of_its_table() -> None:
    assert [
        f"{cls.__name__}.{key}"
        for cls, keys in WORD_KEYS.items()
        for key in keys
        if key not in keys_of(cls)
    ] == []


def test_a_condition_that_is_given_anew_replaces_the_old_one_whole(tmp_path: Path) -> None:
    good(tmp_path, None)
    text = """
    [[derived]]
    id = "limb-lift"
    [derived.conditions]
    linked-symptom = { all = [{ test = "hot-foot", is = "yes" }] }
    """
    conditions: Any = read_protocol(clinic(tmp_path, text)).protocol.derived_by_id["limb-lift"]
    new = conditions.conditions["linked-symptom"]
    assert (new.test, new.answered) == (None, None)
    assert new.all[0].test == "hot-foot"
    assert conditions.conditions["this-side-is-shorter"].test == "shorter"


def test_the_text_of_a_kept_translation_holds_words_only(tmp_path: Path) -> None:
    mine = in_german(tmp_path, TestLevels.GERMAN)
    assert mine.translation_text is not None
    assert tomllib.loads(mine.translation_text) == {
        "test": [
            {
                "id": "resistance",
                "title": "Supinationswiderstand",
                "how": ["Hinter der Person stehen.", "Mit zwei Fingerkuppen anheben."],
            },
            {"id": "lunge", "bands": {"short": "kurz", "ordinary": "gewöhnlich", "long": "lang"}},
        ]
    }
