"""The page in which a browser shows the app: a terminal of its own, nothing from elsewhere."""

from html import escape
from typing import Final

from examwalk.language import chosen_language, say

STYLE = """
@font-face { font-family: "Roboto Mono"; font-weight: 100 700;
  src: url("static/fonts/RobotoMono-VariableFont_wght.ttf"); }
html, body { margin: 0; height: 100%; overflow: hidden;
  background: #000; color: #fff; font-family: sans-serif; }
/* The script measures the font once the page has loaded, so the page must have asked for it. */
body::before { content: "x"; position: absolute; visibility: hidden; font-family: "Roboto Mono"; }
#terminal { position: absolute; inset: 0; }
.ended { display: none; position: absolute; inset: 0; z-index: 20; padding: 2em;
  background: #000; font-size: 1.2em; }
.-closed .ended { display: block; }
.read-out { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
"""
SCRIPT = """"use strict";
// Keys reach the app without a click once it has drawn itself, and its end is read out.
new MutationObserver(() => {
  const now = document.body.classList;
  const place = now.contains("-closed") ? ".ended" : now.contains("-first-byte") && "textarea";
  if (place) document.querySelector(place).focus();
}).observe(document.body, { attributes: true, attributeFilter: ["class"] });
"""
HEADERS: Final = {
    # The terminal in the page writes its own styles.
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; font-src 'self';"
    " img-src 'self' data:; style-src 'self' 'unsafe-inline'; connect-src 'self';"
    " base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
    "X-Content-Type-Options": "nosniff",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
"""What every answer of the server carries: nothing is fetched from anywhere else."""


def page(socket_address: str) -> str:
    """Return the page.

    Args:
        socket_address: where its script finds the app, a ``ws:`` address.
    """
    ended = say("examwalk has ended here. Every answer is saved. Load this page anew to go on.")
    drawn = say(
        "What stands here is drawn, and a screen reader cannot read it. The same exam in lines of"
        " text is the command examwalk plain, in a terminal."
    )
    return (
        f'<!DOCTYPE html>\n<html lang="{escape(chosen_language())}">\n<head>\n'
        '<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<title>examwalk</title>\n<link rel="icon" href="data:,">\n'
        '<link rel="stylesheet" href="static/css/xterm.css">\n'
        '<link rel="stylesheet" href="page.css">\n'
        '<script src="static/js/textual.js"></script>\n</head>\n<body>\n'
        f'<main><h1 class="read-out">examwalk</h1><p class="read-out">{escape(drawn)}</p>\n'
        f'<p class="ended" tabindex="-1">{escape(ended)}</p>\n'
        '<div id="terminal" class="textual-terminal"'
        f' data-session-websocket-url="{escape(socket_address)}"'
        ' data-font-size="16"></div></main>\n<script src="page.js"></script>\n'
        "</body>\n</html>\n"
    )
