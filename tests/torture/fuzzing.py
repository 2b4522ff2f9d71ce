"""Bytes from a coverage-guided fuzzer for the readers of visits and of protocols.

``python -m tests.torture.fuzzing session --seconds 60`` needs the ``fuzz`` extra. It starts from
the example visits or the shipped protocols and keeps to 512 MiB and ten minutes an input, as a
busy or sleeping machine makes seconds long. It ends with the input that was answered with anything
but a visit, a protocol or problems in words.
"""

import argparse
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["examwalk", "tomllib"]):
    from examwalk.files import decode
    from examwalk.problems import UnusableFileError
    from examwalk.protocol.reading import read_protocol
    from examwalk.session.storing import from_toml, to_toml

ROOT = Path(__file__).parents[2]
SEEDS = {"session": ROOT / "sessions", "protocol": ROOT / "protocols"}
SMALLEST_SEEDS = 20
LONGEST_BYTES = 30_000


def read_as_session(data: bytes, folder: Path) -> None:
    """Read bytes as a visit; what is read must come back as it was when it is written."""
    path = folder / "visit.toml"
    try:
        session = from_toml(decode(path, data), path)
        again = from_toml(to_toml(session), path)
    except UnusableFileError:
        return
    assert again == session


def read_as_protocol(data: bytes, folder: Path) -> None:
    """Read bytes as a protocol."""
    path = folder / "protocol.toml"
    path.write_bytes(data)
    try:
        read_protocol(path)
    except UnusableFileError:
        return


TARGETS: dict[str, Callable[[bytes, Path], None]] = {
    "session": read_as_session,
    "protocol": read_as_protocol,
}


def main() -> None:
    """Fuzz one reader for some seconds."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.torture.fuzzing", description=__doc__.split("\n")[0]
    )
    parser.add_argument("reader", choices=TARGETS)
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    target = TARGETS[options.reader]
    with tempfile.TemporaryDirectory(prefix="examwalk-fuzz-") as name:
        folder = Path(name)
        corpus = folder / "corpus"
        corpus.mkdir()
        seeds = sorted(SEEDS[options.reader].rglob("*.toml"), key=lambda path: path.stat().st_size)
        for number, seed in enumerate(seeds[:SMALLEST_SEEDS]):
            (corpus / f"{number}.toml").write_bytes(seed.read_bytes()[:LONGEST_BYTES])
        flags = [
            f"-max_total_time={options.seconds}",
            f"-max_len={LONGEST_BYTES}",
            f"-seed={options.seed}",
            "-rss_limit_mb=512",
            "-timeout=600",
            "-print_final_stats=1",
        ]
        atheris.Setup([sys.argv[0], *flags, str(corpus)], lambda data: target(data, folder))
        atheris.Fuzz()


if __name__ == "__main__":
    main()
