"""Every kind of page of every example visit, and of a visit full of words that could do harm."""

from pathlib import Path

from attrs import evolve

from adult_cases import ADULT
from examwalk.report.pages import PAGES, told_about, written
from examwalk.session.storing import read_session

SESSIONS = Path(__file__).parents[2] / "sessions"
HOSTILE = (
    "</style><script>alert(1)</script><img src=x>\" onload='x' & "
    "\u202e\u0645\u0631\u062d\u0628\u0627 🦶"
)


def example_pages() -> dict[str, str]:
    """Return the HTML of each page by its name."""
    visits = {path.stem: read_session(path) for path in sorted(SESSIONS.glob("*.toml"))}
    heel = visits["heel-pain-right"]
    noted = heel.with_finding(evolve(heel.findings[0], note=HOSTILE * 60))
    visits["hostile"] = evolve(noted, patient="P", examiner="AB", about=HOSTILE)
    return {
        f"{name}-{kind}": written(told_about(ADULT, visit), kind, "html")
        for name, visit in visits.items()
        for kind in PAGES
    }
