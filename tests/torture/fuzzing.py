"""Bytes from a coverage-guided fuzzer for the readers of visits and of protocols.

``python -m tests.torture.fuzzing protocol --seconds 60`` needs the ``fuzz`` extra. It starts from
``corpus``, keeps to 512 MiB and ten minutes an input, as a busy or sleeping machine makes seconds
long, and says once a minute what it did. It ends with an error at the first input that is answered
with anything but a visit, a protocol or problems in words; that input is left in a file.
"""

import argparse
import os
import re
import resource
import shutil
import sys
import tempfile
import time
from pathlib import Path
from random import Random

import atheris
from attrs import define, field

with atheris.instrument_imports(include=["examwalk", "tomllib"]):
    from .readers import CORPUS, READERS

from .mutating import by_lines, gently, values_in

ROOT = Path(__file__).parents[2]
EXAMPLES = {"session": ROOT / "sessions", "protocol": ROOT / "tests" / "protocol" / "good"}
"""Files whose keys and short values the fuzzer may put together anew."""
LONGEST_BYTES = {"session": 30_000, "protocol": 10_000}
MOST_MIB = 512
SLOWEST_SECONDS = 600
TELL_EVERY_SECONDS = 60
BY_BYTES = 0.3
"""Share of changes that know nothing of TOML."""
GENTLY = 0.3
"""Share of changes that begin with a whole file and may leave it whole."""
PARTS_OF_TOML = re.compile(r"^\[+[^\]\n]+\]+|[\w-]+ = |\"[^\"\\\n]{1,20}\"", re.MULTILINE)


@define
class Tally:
    """What was done so far, in the processor time of this process."""

    limit_seconds: float
    executions: int = 0
    understood: int = 0
    """Inputs that were a visit or a protocol."""
    _told: float = field(factory=time.monotonic)

    def count(self, *, understood: bool) -> bool:
        """Count one execution, say now and then how far it is; whether all time is used up."""
        self.executions += 1
        self.understood += understood
        now = time.monotonic()
        if now - self._told >= TELL_EVERY_SECONDS:
            self._told = now
            self.tell()
        return time.process_time() >= self.limit_seconds

    def tell(self) -> None:
        """Say it on stderr, where the fuzzer writes too."""
        peak_mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(
            f"so far: {self.executions:,} executions, {self.understood:,} of them understood, in"
            f" {time.process_time():.0f} seconds of processor time, at most {peak_mib:.0f} MiB",
            file=sys.stderr,
            flush=True,
        )


def fuzz(reader: str, seconds: int, seed: int, folder: Path, found: Path) -> None:
    """Fuzz one reader until the processor time is used up, then end this process."""
    tally = Tally(seconds)

    def once(data: bytes) -> None:
        if tally.count(understood=READERS[reader](data, folder)):
            tally.tell()
            shutil.rmtree(folder, ignore_errors=True)
            os._exit(0)  # libFuzzer never returns, and knows no limit but one by the clock

    values = values_in(EXAMPLES[reader])
    whole = [path.read_bytes() for path in sorted((CORPUS / reader).glob("*.toml"))]

    def mutated(data: bytes, most_bytes: int, seed: int) -> bytes:
        random = Random(seed)
        kind = random.random()
        if kind < BY_BYTES:
            return atheris.Mutate(data, most_bytes)
        if kind < BY_BYTES + GENTLY:
            return gently(random.choice(whole), random)[:most_bytes]
        return by_lines(data, values, random)[:most_bytes]

    flags = [
        f"-max_len={LONGEST_BYTES[reader]}",
        f"-seed={seed}",
        f"-rss_limit_mb={MOST_MIB}",
        f"-timeout={SLOWEST_SECONDS}",
        "-mutate_depth=2",  # of five changes at once, one would always break the syntax
        f"-dict={_dictionary(reader, folder)}",
    ]
    atheris.Setup(
        [sys.argv[0], *flags, str(found), str(CORPUS / reader)], once, custom_mutator=mutated
    )
    atheris.Fuzz()


def _dictionary(reader: str, folder: Path) -> Path:
    """Write the keys, tables and short values of the examples as libFuzzer reads them."""
    texts = (path.read_text("utf-8") for path in sorted(EXAMPLES[reader].glob("*.toml")))
    parts = {part for text in texts for part in PARTS_OF_TOML.findall(text) if part.isascii()}
    path = folder / "dictionary"
    quoted = (part.replace("\\", "\\\\").replace('"', '\\"') for part in sorted(parts))
    path.write_text("".join(f'"{part}"\n' for part in quoted), encoding="ascii")
    return path


def main() -> None:
    """Fuzz one reader for so much processor time."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.torture.fuzzing", description=__doc__.split("\n")[0]
    )
    parser.add_argument("reader", choices=READERS)
    parser.add_argument("--seconds", type=int, default=60, help="of processor time, not of clock")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--found", type=Path, help="a folder for inputs that reach something new; none is kept"
    )
    options = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="examwalk-fuzz-"))
    found = options.found or folder / "found"
    found.mkdir(parents=True, exist_ok=True)
    fuzz(options.reader, options.seconds, options.seed, folder, found)


if __name__ == "__main__":
    main()
