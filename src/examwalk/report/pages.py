"""The pages that leave the room, by their kinds and forms."""

from collections.abc import Callable, Mapping
from datetime import date

from examwalk.language import later
from examwalk.protocol.model import Protocol
from examwalk.reasoning.summary import summarise
from examwalk.report.anonymous import anonymous as without_names
from examwalk.report.document import Page
from examwalk.report.document_html import page_html
from examwalk.report.document_text import page_markdown, page_text
from examwalk.report.order_page import blanks_of, order_page
from examwalk.report.page_parts import Told
from examwalk.report.patient_page import patient_page
from examwalk.report.printing import pdf_of
from examwalk.report.record_page import record_page
from examwalk.session.model import Session

PAGES: Mapping[str, Callable[[Told], Page]] = {
    "record": record_page,
    "order": order_page,
    "patient": patient_page,
}
KIND_NAMES: Mapping[str, str] = {
    "record": later("Record"),
    "order": later("Order"),
    "patient": later("For the patient"),
}
FORM_NAMES: Mapping[str, str] = {
    "html": later("HTML"),
    "pdf": later("PDF"),
    "text": later("Text"),
    "markdown": later("Markdown"),
}
PAPER_NAMES: Mapping[str, str] = {"A4": later("A4"), "letter": later("Letter")}
SUFFIXES: Mapping[str, str] = {"html": ".html", "pdf": ".pdf", "text": ".txt", "markdown": ".md"}
"""The forms of a page, and what their files end in."""


def told_about(
    protocol: Protocol,
    session: Session,
    *,
    anonymous: bool = False,
    starts: date | None = None,
) -> Told:
    """Return what the pages of a visit are written from.

    Args:
        protocol: the protocol to read the visit under.
        session: the visit.
        anonymous: leave out what tells who the patient and the examiner are.
        starts: the day on which the patient begins to wear the device, where it is known.
    """
    if anonymous:
        protocol, session = without_names(protocol, session)
    summary = summarise(protocol, session)
    return Told(protocol, session, summary, anonymous=anonymous, starts=starts)


def order_blanks(told: Told) -> tuple[str, ...]:
    """Return the features that an order would leave open."""
    return blanks_of(told)


def written(told: Told, kind: str, form: str, paper: str = "A4") -> str:
    """Return a page of a kind of ``PAGES`` as ``html``, ``text`` or ``markdown``."""
    page = PAGES[kind](told)
    if form == "html":
        return page_html(page, paper)
    return page_text(page) if form == "text" else page_markdown(page)


def written_bytes(told: Told, kind: str, form: str, paper: str = "A4") -> bytes:
    """Return a page as its file holds it, in UTF-8 or printed as ``pdf``.

    Raises:
        CannotPrintError: a PDF was wanted, and no browser prints here.
    """
    if form == "pdf":
        return pdf_of(written(told, kind, "html", paper))
    return written(told, kind, form, paper).encode()
