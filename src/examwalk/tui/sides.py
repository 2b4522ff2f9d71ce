"""The sides in words, as every screen says them."""

from examwalk.report.sides import side_heading, side_word, with_both_sides, with_side

__all__ = ["side_heading", "side_word", "with_both_sides", "with_side"]
