"""Every mistake in a figure is named, with the figure and the part, and none hides another."""

import time

import pytest
from made_figures import BOX, LIMB, figure, path

from examwalk.drawing.checking import FigureProblem, find_problems
from examwalk.drawing.figure import (
    Bend,
    Figure,
    Following,
    Heads,
    Outline,
    Part,
    Stroke,
)

OUTLINES = {"limb": LIMB}
FOLLOWING = Following(((0, 0), (10, 5)))
GOOD = Part(outline="limb")
LINE = path("M0 0L1 1")


def problems(outlines=OUTLINES, **figures: Figure) -> tuple[FigureProblem, ...]:
    return find_problems(outlines, figures)


def only_problem(outlines=OUTLINES, **figures: Figure) -> FigureProblem:
    (problem,) = problems(outlines, **figures)
    return problem


class TestFigures:
    def test_a_good_figure_has_no_problem(self):
        good = figure(
            GOOD,
            Part(arrow=("limb.knee", (9, 9)), bulge=FOLLOWING, heads=Heads.BOTH),
            alt="The {side} limb at {value} degrees.",
            drawn_at=5,
        )
        assert problems(good=good, better=Figure(like="good", parts=(LINE,))) == ()

    @pytest.mark.parametrize(
        ("made", "path_end", "says"),
        [
            (figure(LINE, alt=""), ("alt",), "it has no “alt”"),
            (figure(LINE, alt="No full stop"), ("alt",), "one sentence on one line"),
            (figure(LINE, alt="Two\nlines."), ("alt",), "one sentence on one line"),
            (figure(LINE, alt="x" * 300 + "."), ("alt",), "at most 240 characters"),
            (figure(LINE, alt="The {foot}."), ("alt",), "{side} and {value}, not {foot}"),
            (figure(LINE, view_box=None), (), "it has no “view_box”"),
            (figure(LINE, view_box=(0, 0, 0, 0)), (), "its view box is 0 wide and 0 high"),
            (figure(), ("parts",), "it has no parts"),
            (figure(path("M0 0L1 1", move=(FOLLOWING, 0))), (), "“drawn_at” must say which"),
            (figure(LINE, like="godo"), (), "there is no figure “godo”. Did you mean “good”?"),
            (figure(LINE, like="made"), (), "it is like itself"),
            (figure(*[LINE] * 81), (), "it has 81 parts; at most 80"),
        ],
    )
    def test_what_is_wrong_with_a_figure_is_said(self, made, path_end, says):
        problem = only_problem(good=figure(LINE), made=made)
        assert problem.path == ("figures", "made", *path_end)
        assert problem.message.startswith("figure “made”: ")
        assert says in problem.message

    def test_figures_that_are_like_each_other_in_a_circle_are_each_named(self):
        found = problems(a=Figure(like="b"), b=Figure(like="c"), c=Figure(like="a"), d=figure(LINE))
        assert [problem.path for problem in found] == [("figures", name) for name in "abc"]

    def test_likeness_may_not_run_deep(self):
        deep = {f"f{n}": Figure(like=f"f{n - 1}") for n in range(1, 8)}
        found = problems(f0=figure(LINE), **deep)
        assert [problem.path[1] for problem in found] == ["f6", "f7"]
        assert all("more than 5 figures stand behind it" in p.message for p in found)


class TestParts:
    @pytest.mark.parametrize(
        ("part", "says"),
        [
            (Part(), "part 2: it needs exactly one of outline, d,"),
            (Part(id="x"), "part 2 (“x”): it needs exactly one of"),
            (Part(d="M0 0L1 1", line=((0, 0), (1, 1))), "part 2 (d): it needs exactly one of"),
            (Part(outline="limp"), "part 2 (“limp”): there is no outline “limp”. Did you mean"),
            (Part(outline="limb", without=("skin",)), "has no stroke “skin”"),
            (path("M0 0L"), "part 2 (d): its path cannot be read"),
            (Part(line=((0, 0), "limb.kne")), "part 2 (line): “limb.kne” is not a landmark"),
            (Part(line=((0, 0), (1, 1)), bends=(Bend("a", "b", 3),)), "“bends” means something"),
            (Part(ground=3, only=("front",)), "“only” means something only with outline"),
            (Part(ground=3, size=2), "“size” means something only with arrow or cross or circle"),
            (Part(cross=(1, 1), heads=Heads.BOTH), "“heads” means something only with arrow"),
            (
                Part(circle=(1, 1), size=Following(((5, 1), (5, 2)))),
                "the values of “follows” must rise",
            ),
            (path("M0 0L1 1", scale=Following(((0, 1), (9, -1)))), "its scale is -1 by -1"),
        ],
    )
    def test_what_is_wrong_with_a_part_is_said(self, part, says):
        found = problems(made=figure(GOOD, part, LINE, drawn_at=5))
        assert [problem.path for problem in found] == [("figures", "made", "parts", 1)] * len(found)
        assert found[0].message.startswith("figure “made”, part 2")
        assert any(says in problem.message for problem in found)

    def test_all_mistakes_are_named_at_once(self):
        found = problems(
            made=figure(path("M0"), GOOD, Part(outline="limp"), path("M1 1L"), alt="No stop")
        )
        assert [problem.path[2:] for problem in found] == [
            ("alt",),
            ("parts", 0),
            ("parts", 2),
            ("parts", 3),
        ]

    def test_a_fault_at_either_end_of_what_it_follows_is_found(self):
        far = Following(((0, 0), (1, 50), (40, 99999)))
        problem = only_problem(made=figure(path("M0 0L1 1", move=(far, 0)), drawn_at=0))
        assert "coordinates must be within" in problem.message

    def test_an_id_given_twice_is_named(self):
        twice = figure(path("M0 0L1 1", id="a"), path("M0 0L1 1", id="a"))
        found = problems(made=twice)
        assert len(found) == 2
        assert all("the id “a” is given to two parts" in problem.message for problem in found)

    def test_a_fault_of_an_inherited_part_is_told_where_it_stands(self):
        problem = only_problem(base=figure(path("M0")), made=Figure(like="base", parts=(LINE,)))
        assert problem.path == ("figures", "base", "parts", 0)

    def test_an_inherited_part_that_loses_its_landmark_is_told_where_it_was_lost(self):
        base = figure(Part(id="leg", outline="limb"), Part(line=((0, 0), "leg.knee")))
        made = Figure(like="base", parts=(Part(id="leg", line=((0, 0), (1, 1))),))
        problem = only_problem(base=base, made=made)
        assert problem.path == ("figures", "made", "like")
        assert "a part of “base” no longer fits here: “leg.knee”" in problem.message


class TestOutlines:
    @pytest.mark.parametrize(
        ("outline", "path_end", "says"),
        [
            (
                Outline((0, 0, 0, 9), {"a": Stroke(d="M0 0L1 1")}),
                ("view_box",),
                "both must be above 0",
            ),
            (Outline(BOX, {}), ("strokes",), "it has 0 strokes; 1 to 60"),
            (Outline(BOX, {"a": Stroke()}), ("strokes", "a"), "exactly one of d and through"),
            (
                Outline(BOX, {"a": Stroke(d="M0 0L1 1", through=((0, 0), (1, 1)))}),
                ("strokes", "a"),
                "exactly one of d and through",
            ),
            (
                Outline(BOX, {"a": Stroke(d="M0 0L1")}),
                ("strokes", "a"),
                "cannot be read from “L1”",
            ),
            (
                Outline(BOX, {"a": Stroke(through=("b", (1, 1)))}),
                ("strokes", "a"),
                "“b” is not a landmark",
            ),
            (
                Outline(BOX, {"a": Stroke(d="M0 0L1 1")}, {"far": (10**400, 0)}),
                ("landmarks",),
                "a number is beyond",
            ),
        ],
    )
    def test_what_is_wrong_with_an_outline_is_said(self, outline, path_end, says):
        problem = only_problem({"limb": outline})
        assert problem.path == ("outlines", "limb", *path_end)
        assert problem.message.startswith("outline “limb”")
        assert says in problem.message

    def test_a_stroke_may_run_through_the_landmarks_of_its_outline(self):
        outline = Outline(BOX, {"a": Stroke(through=("b", (1, 1)))}, {"b": (5, 5)})
        assert problems({"limb": outline}) == ()


class TestHostileFigures:
    def test_a_figure_of_a_million_points_is_refused_quickly(self):
        # A path may have 20,000 characters, a figure 80 parts: together a million pieces.
        curve = "M0 0" + "c9 9 9 9 0 0" * 1600
        outline = Outline(BOX, {f"s{n}": Stroke(d=curve) for n in range(60)})
        started = time.process_time()
        found = problems({"limb": outline}, made=figure(*[GOOD] * 80))
        assert time.process_time() - started < 5
        assert "more than 5000 points" in found[0].message

    def test_a_number_of_any_length_is_refused(self):
        huge = 10**400
        for part in (
            path("M0 0L1 1", turn_deg=huge),
            path("M0 0L1 1", scale=huge),
            path("M0 0L1 1", move=(huge, 0)),
            path("M0 0L1 1", move=(Following(((0, 0), (huge, 1))), 0)),
            Part(ground=huge),
            Part(circle=(1, 1), size=huge),
            Part(arrow=((0, 0), (1, 1)), bulge=huge),
            Part(outline="limb", bends=(Bend("knee", "hip", 1, over=huge),)),
        ):
            assert "a number is beyond" in only_problem(made=figure(part, drawn_at=0)).message
        assert "a number is beyond" in only_problem(made=figure(LINE, drawn_at=huge)).message
