"""Kill, break and damage visits at full length, and print what was tried.

``python -m tests.torture`` runs everything; ``python -m tests.torture kills --kills 20`` one part.
It ends with an error at the first answer that is lost and the first file that is misread.
"""

import argparse
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random

from small_protocol import small_protocol

from examwalk.session.storing import read_session, to_toml

from . import damage, faults

EXAMPLE = Path(__file__).parents[2] / "sessions" / "heel-pain-right.toml"
Parts = dict[str, Callable[[Path, argparse.Namespace], Iterator[str]]]


def kills(folder: Path, options: argparse.Namespace) -> Iterator[str]:
    """Kill the app in a real terminal at random moments."""
    from .kills import kill_at_random  # noqa: PLC0415 — only this part needs a terminal

    done = kill_at_random(folder, options.kills, Random(options.seed))
    yield (
        f"kills: {done.kills}, while {done.typed} answers were typed; {done.kept} were kept to "
        "the end, none that the screen had gone past was lost, none was there that was not given"
    )


def fault_injection(folder: Path, _options: argparse.Namespace) -> Iterator[str]:
    """Let each call into the operating system fail in turn, once and for good."""
    loaded = small_protocol(folder)
    for for_good in (False, True):
        count = faults.every_fault(
            folder, loaded, answers=4, faults=faults.FAULTS, for_good=for_good
        )
        yield f"injected faults, {'for good' if for_good else 'once'}: {count}, no answer lost"


def truncations(folder: Path, _options: argparse.Namespace) -> Iterator[str]:
    """Cut a visit short after each byte."""
    content = to_toml(read_session(EXAMPLE)).encode()
    yield _told("truncations", damage.truncations(content), content, folder)


def flips(folder: Path, options: argparse.Namespace) -> Iterator[str]:
    """Turn bits of a visit over at random."""
    content = to_toml(read_session(EXAMPLE)).encode()
    random = Random(options.seed)
    yield _told("bit flips", damage.flips(content, options.flips, random), content, folder)


def _told(name: str, contents: Iterator[bytes], content: bytes, folder: Path) -> str:
    counted = damage.outcomes(contents, content, folder / "visit.toml")
    assert not counted[damage.Outcome.SILENT], counted
    told = ", ".join(f"{count:,} {outcome.value}" for outcome, count in counted.items())
    return f"{name} of a visit of {len(content):,} bytes: {told}, none read as another visit"


PARTS: Parts = {
    "kills": kills,
    "faults": fault_injection,
    "truncations": truncations,
    "flips": flips,
}


def main() -> None:
    """Run the parts that are asked for."""
    parser = argparse.ArgumentParser(prog="python -m tests.torture", description=__doc__)
    parser.add_argument("parts", nargs="*", help=f"which of {', '.join(PARTS)}; all by default")
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--flips", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    unknown = set(options.parts) - set(PARTS)
    if unknown:
        parser.error(f"there is no part {', '.join(sorted(unknown))}; there are {', '.join(PARTS)}")
    for name in options.parts or PARTS:
        began = time.monotonic()
        with tempfile.TemporaryDirectory(prefix="examwalk-torture-") as folder:
            for line in PARTS[name](Path(folder), options):
                print(line, flush=True)
        print(f"  {time.monotonic() - began:.0f} s", file=sys.stderr, flush=True)


if __name__ == "__main__":
    main()
