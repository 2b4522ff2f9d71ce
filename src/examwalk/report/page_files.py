"""Where the file of a page goes, and what it may never replace."""

from pathlib import Path

from examwalk.language import say
from examwalk.report.pages import SUFFIXES


def page_file(visit: Path, kind: str, form: str, *, anonymous: bool = False) -> Path:
    """Return where a page is put unless another place is named: beside its visit.

    The name is the visit's, which holds a day and a chance number and nothing of the patient; an
    anonymous page leaves them out too.
    """
    stem = "anonymous" if anonymous else visit.stem
    return visit.with_name(f"{stem}-{kind}{SUFFIXES[form]}")


def in_the_way(target: Path, visit: Path) -> str:
    """Return a sentence on what stands where a page is to go, if it is what no page replaces."""
    if target.is_dir():
        return say("This is a folder; the page needs the name of a file.")
    if target.exists() and target.samefile(visit):
        return say("This is the visit itself; the page needs another name.")
    return ""
