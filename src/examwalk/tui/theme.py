"""The light and the dark theme; screens are styled by these variables only.

Beside Textual's own names a stylesheet may use ``$dim`` (what stands back), ``$rule`` (lines),
``$here`` (the one accent colour: where the cursor is), ``$warn`` and ``$stop``. Every colour of
text keeps a contrast of at least 4.5 to 1 on ``$background`` and on ``$sheet``.
"""

import os
from collections.abc import Mapping

from textual.theme import Theme

DARK = Theme(
    name="examwalk-dark",
    dark=True,
    primary="#7cc7b5",
    accent="#7cc7b5",
    secondary="#9aa7ad",
    warning="#e3b768",
    error="#f39a8b",
    success="#7cc7b5",
    foreground="#dde2e3",
    background="#15191b",
    surface="#1c2124",
    panel="#1c2124",
    variables={
        "dim": "#98a4a9",
        "rule": "#465158",
        "here": "#7cc7b5",
        "warn": "#e3b768",
        "stop": "#f39a8b",
        "sheet": "#1e2427",
        "block-cursor-background": "#29423d",
        "block-cursor-foreground": "#e8f4f1",
        "block-cursor-text-style": "bold",
        "block-cursor-blurred-background": "#232a2d",
        "block-cursor-blurred-foreground": "#dde2e3",
        "input-cursor-background": "#7cc7b5",
        "input-cursor-foreground": "#15191b",
        "input-selection-background": "#29423d",
        "scrollbar": "#465158",
        "scrollbar-hover": "#5d6a71",
        "scrollbar-active": "#7cc7b5",
        "scrollbar-background": "#15191b",
        "scrollbar-corner-color": "#15191b",
    },
)

LIGHT = Theme(
    name="examwalk-light",
    dark=False,
    primary="#0a675a",
    accent="#0a675a",
    secondary="#576166",
    warning="#7a5200",
    error="#a3261b",
    success="#0a675a",
    foreground="#23292c",
    background="#f8f7f3",
    surface="#efeee9",
    panel="#efeee9",
    variables={
        "dim": "#5a6468",
        "rule": "#b6bbb9",
        "here": "#0a675a",
        "warn": "#7a5200",
        "stop": "#a3261b",
        "sheet": "#eeede7",
        "block-cursor-background": "#cfe4df",
        "block-cursor-foreground": "#12332d",
        "block-cursor-text-style": "bold",
        "block-cursor-blurred-background": "#e4e4de",
        "block-cursor-blurred-foreground": "#23292c",
        "input-cursor-background": "#0a675a",
        "input-cursor-foreground": "#f8f7f3",
        "input-selection-background": "#cfe4df",
        "scrollbar": "#b6bbb9",
        "scrollbar-hover": "#8f9694",
        "scrollbar-active": "#0a675a",
        "scrollbar-background": "#f8f7f3",
        "scrollbar-corner-color": "#f8f7f3",
    },
)

THEMES = (DARK, LIGHT)


def first_theme(environment: Mapping[str, str] = os.environ, wanted: str = "") -> str:
    """Choose the theme to start with.

    ``TEXTUAL_THEME`` names one; else what is wanted, ``dark`` or ``light``; else the background
    that the terminal tells in ``COLORFGBG`` decides; else it is the dark one.
    """
    named = environment.get("TEXTUAL_THEME", "")
    if named:
        return named
    if wanted:
        return LIGHT.name if wanted == "light" else DARK.name
    background = environment.get("COLORFGBG", "").rpartition(";")[2]
    return LIGHT.name if background in ("7", "15") else DARK.name
