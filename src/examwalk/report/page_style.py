"""How the written pages look, on screen and on paper: black on white, no colour needed."""

from examwalk.language import say
from examwalk.report.document import Page

_STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0; font: 11pt/1.35 sans-serif; color: #000; background: #fff; }
main { max-width: 60rem; margin: 0 auto; padding: 1rem; }
h1 { font-size: 1.5em; margin: 0 0 .3em; }
h2 { font-size: 1.15em; margin: 1.2em 0 .4em; border-bottom: 1px solid #000; }
p, ul { margin: .3em 0; }
.standing { display: inline-block; border: 2px solid #000; padding: .1em .6em;
  font-weight: bold; text-transform: uppercase; letter-spacing: .05em; }
.facts { display: grid; grid-template-columns: repeat(auto-fit, minmax(13rem, 1fr));
  gap: .2em 1.2em; margin: .6em 0; }
.facts dt { font-size: .85em; color: #444; }
.facts dd { margin: 0; font-weight: bold; }
p, dd, li, td, th { overflow-wrap: anywhere; }
.warns { border: 3px solid #000; padding: 0 .8em .4em; margin: .8em 0; }
.warns h2 { border: 0; margin-top: .4em; }
.strong { font-weight: bold; }
.quiet, .closing { color: #444; font-size: .9em; }
table { border-collapse: collapse; width: 100%; margin: .5em 0; table-layout: fixed; }
caption { text-align: left; font-weight: bold; padding: .3em 0; }
th, td { border: 1px solid #555; padding: .15em .45em; text-align: left; vertical-align: top; }
.unseen { position: absolute; width: 1px; height: 1px; padding: 0; overflow: hidden;
  clip-path: inset(50%); white-space: nowrap; }
thead th { border-bottom: 2px solid #000; }
tbody th { font-weight: normal; }
.columns-1 thead th:first-child { width: 45%; }
.columns-2 thead th:first-child { width: 34%; }
.long-names thead th:first-child { width: 60%; }
.short-names thead th:first-child { width: 18%; }
.numbered { list-style: none; padding-left: 0; }
figure { margin: .4em 0; }
figcaption { font-size: .9em; color: #444; }
figure svg { width: 100%; height: auto; max-width: 34rem; }
.pictured { display: flex; flex-wrap: wrap; gap: 0 1.4em; align-items: flex-start; }
.pictured figure { flex: 3 1 24rem; }
.pictured table { flex: 2 1 18rem; width: auto; }
.signing p { display: inline-block; margin: 2em 1.5em .3em 0; }
.rule { display: inline-block; min-width: 11em; border-bottom: 1px solid #000; }
@media (max-width: 32rem) { main { padding: .5rem; } body { font-size: 10pt; } }
@media print {
  main { max-width: none; padding: 0 1px; }
  body { font-size: 9.5pt; }
  th, td { padding: .08em .4em; }
  thead { display: table-header-group; }
  .pictured { display: block; }
  .pictured table { width: 100%; }
  .order .pictured { display: flex; }
  tr, figure, .warns li, .signing { break-inside: avoid; }
  h2, caption, thead { break-after: avoid; }
  tbody tr:first-child, tbody tr:nth-child(2) { break-before: avoid; }
  p { orphans: 3; widows: 3; }
}
"""
_RECORD = """
.record figure svg { max-width: 26rem; }
@media print {
  .record { font-size: 9pt; line-height: 1.16; }
  .record h1 { display: inline-block; font-size: 1.4em; margin: 0 1em 0 0; }
  .record h2 { font-size: 1.15em; margin: .5em 0 .15em; }
  .record .facts { grid-template-columns: repeat(4, 1fr); gap: .1em 1em; margin: .3em 0; }
  .record .facts dt, .record .quiet, .record .closing, .record figcaption { font-size: 1em; }
  .record p, .record ul { margin: .15em 0; }
  .record ul { padding-left: 1.2em; }
  .record .numbered { padding-left: 0; }
  .record .warns { border-width: 2px; margin: .5em 0; padding: 0 .6em .2em; }
  .record .warns h2 { margin-top: .2em; }
  .record table { margin: .2em 0; }
  .record caption { padding: .1em 0; }
  .record th, .record td { padding: 0 .35em; }
  .record .in-columns { columns: 2; column-gap: 5mm; }
  .record .in-columns .columns-2 thead th:first-child { width: 42%; }
  .record .in-columns .long-names thead th:first-child { width: 56%; }
  .record .in-columns .pictured { display: contents; }
  .record figure { margin: .2em 0; }
  .record figure svg { max-width: none; }
  .record .signing p { margin: 1.6em 1.2em .2em 0; }
}
"""
_ORDER = """
@media print {
  .order { font-size: 9pt; line-height: 1.14; }
  .order .facts dt, .order .quiet, .order .closing, .order figcaption { font-size: 1em; }
  .order h1 { font-size: 1.4em; margin: 0; }
  .order .standing, .order .standing + p { display: inline-block; margin: 0 .8em 0 0; }
  .order h2 { margin: .4em 0 .2em; }
  .order .warns { margin: .4em 0; padding: 0 .6em .1em; border-width: 2px; }
  .order .warns ul { columns: 1; }
  .order .columns-2 thead th:first-child { width: 45%; }
  .order .pictured figure { flex: 1 1 45%; }
  .order .pictured table { flex: 1 1 45%; }
  .order ul { columns: 2; column-gap: 2em; margin: .2em 0; padding-left: 1.4em; }
  .order .facts { grid-template-columns: repeat(4, 1fr); margin: .3em 0; }
  .order table { margin: .2em 0; }
  .order th, .order td { padding: 0 .4em; }
  .order .signing p { margin: .9em .9em 0 0; }
  .order .closing { margin: .3em 0 0; }
  .order .rule { min-width: 8em; }

}
"""
_PATIENT = """
.patient { font-size: 15pt; line-height: 1.5; }
.patient main { max-width: 36rem; }
.patient h1 { line-height: 1.2; }
.patient .standing { text-transform: none; letter-spacing: 0; }
.patient .facts { grid-template-columns: repeat(auto-fit, minmax(11rem, 1fr)); }
.patient .facts dt, .patient .closing { font-size: 1em; color: #000; }
.patient ul { padding-left: 1.2em; }
.patient li { margin: .4em 0; }
.patient table { table-layout: auto; }
.patient td, .patient th { padding: .2em .5em; overflow-wrap: normal; }
.patient .columns-2 thead th:first-child { width: auto; }
.patient .blank { margin: .9em 0; }
@media print {
  .patient { font-size: 14pt; line-height: 1.3; }
  .patient h2 { margin: .8em 0 .3em; }
  .patient td, .patient th { padding: .1em .5em; }
  .patient main { max-width: none; }
  .patient li { margin: .25em 0; }
  .patient li, .patient .blank { break-inside: avoid; }
  .patient .strong { break-after: avoid; }
  .patient .signing p { margin-top: 1em; }
  .patient .closing { break-before: avoid; }
}
"""
_OWN_STYLES = {"record": _RECORD, "order": _ORDER, "patient": _PATIENT}


def style_of(page: Page, paper: str) -> str:
    """Return the style of a page on a kind of paper, ``A4`` or ``letter``."""
    count = say("Page {number} of {count}", number="\ue000", count="\ue001")
    counted = _css_text(count)
    counted = counted.replace(_coded("\ue000"), '" counter(page) "')
    counted = counted.replace(_coded("\ue001"), '" counter(pages) "')
    small = "14pt" if page.kind == "patient" else "9pt"
    dense = page.kind in ("record", "order")
    margins = "10mm 12mm 10mm" if dense else "16mm 15mm 16mm"
    sheet = (
        f"\n@page {{ size: {paper}; margin: {margins};"
        f" @top-left {{ content: {_css_text(page.running)}; font: bold {small} sans-serif; }}"
        f" @top-right {{ content: {_css_text(page.standing)}; font: {small} sans-serif; }}"
        f" @bottom-right {{ content: {counted}; font: {small} sans-serif; }} }}\n"
    )
    return _STYLE + _OWN_STYLES.get(page.kind, "") + sheet


def _css_text(text: str) -> str:
    """Write a text for a style: all but letters and digits as their numbers, so none ends it."""
    return '"' + "".join(c if c.isascii() and c.isalnum() else _coded(c) for c in text) + '"'


def _coded(character: str) -> str:
    return f"\\{ord(character):06x}"
