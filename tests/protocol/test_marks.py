"""A mark names a figure on a view, and only what its feature can be."""

from pathlib import Path

import pytest
from good_protocol import problems_of

HEAD = '[protocol]\nid = "clinic"\ntitle = "Our clinic"\nversion = "1"\nextends = "adult"\n'


def told(folder: Path, feature: str, mark: str) -> str:
    path = folder / "clinic.toml"
    path.write_text(f'{HEAD}[[feature]]\nid = "{feature}"\nmarks = [{{ {mark} }}]\n', "utf-8")
    return "\n".join(one.message for one in problems_of(path))


@pytest.mark.parametrize(
    ("feature", "mark", "says"),
    [
        ("heel-lift", 'figure = "order-heel-lyft", letter = [0, 0]', "order-heel-lift"),
        ("heel-lift", 'figure = "order-above", letter = [0, 0]', "must be “like” the view"),
        ("heel-lift", 'figure = "order-heel-lift", letter = [0]', "expected a list of 2"),
        ("heel-lift", 'figure = "order-heel-lift", letter = [0, 0], options = ["x"]', "no options"),
        ("first-ray", 'figure = "order-first-ray", letter = [0, 0], above = 0', "not an amount"),
        (
            "first-ray",
            'figure = "order-first-ray", letter = [0, 0], options = ["morton"]',
            "mortons",
        ),
    ],
)
def test_a_mark_that_cannot_be_drawn_is_named_with_what_is_wrong(feature, mark, says, tmp_path):
    assert says in told(tmp_path, feature, mark)


def test_a_clinic_can_move_a_mark(tmp_path):
    assert told(tmp_path, "heel-lift", 'figure = "order-heel-lift", letter = [60, 84]') == ""
