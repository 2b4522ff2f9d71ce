"""A browser draws our SVG as we draw our braille, dot for dot within one dot."""

import shutil
import struct
import subprocess
import zlib
from pathlib import Path

import pytest
from braille_dots import dots_in
from made_figures import drawn, path

from examwalk.drawing.braille import braille_of
from examwalk.drawing.figure import Bend, Fill, Part, Weight
from examwalk.drawing.svg import svg_of

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
DOT_PIXELS = 6
COLUMNS, ROWS = 60, 20
WIDTH, HEIGHT = 2 * COLUMNS, 4 * ROWS
# One unit is one dot, and the first and last dots lie in the middle of theirs.
BOX = (-0.5, -0.5, WIDTH, HEIGHT)
OURS = (0, 0, WIDTH - 1, HEIGHT - 1)

FIGURES = {
    "arcs": (
        path("M20 40A30 30 0 0 1 80 40A30 30 0 0 1 20 40"),
        path("M70 10A40 20 30 1 0 110 50a10 25-20 0 1-20 20"),
    ),
    "curves": (
        path("M5 70C20-30 60 110 115 8S90 60 60 75"),
        path("M5 5Q30 70 60 40T115 70"),
        Part(through=((5, 60), (20, 30), (50, 35), (70, 70), (110, 60))),
    ),
    "placed and bent": (
        Part(
            outline="limb",
            about="knee",
            to=(60, 38),
            turn_deg=-50,
            mirror=True,
            scale=(0.9, 0.8),
            bends=(Bend("knee", "ankle", 70, over=30),),
        ),
        Part(arrow=((100, 70), (20, 70)), bulge=-9),
    ),
    "covered": (
        path("M0 10L119 10M0 40L119 40M60 0L60 79"),
        Part(circle=(60, 40), size=22, fill=Fill.COVERS),
        Part(cross=(60, 40), size=10),
        path("M2 2H117V77H2Z", weight=Weight.BOLD),
    ),
}


@pytest.mark.skipif(BROWSER is None, reason="no chromium on this machine")
def test_a_browser_draws_the_same_picture(tmp_path: Path):
    page = tmp_path / "page.html"
    size = f'width="{WIDTH * DOT_PIXELS}" height="{HEIGHT * DOT_PIXELS}"'
    drawings = {name: drawn(*parts, view_box=BOX) for name, parts in FIGURES.items()}
    images = "".join(
        svg_of(drawing).replace("<svg ", f'<svg style="display:block" {size} ', 1)
        for drawing in drawings.values()
    )
    page.write_text(f'<!DOCTYPE html><body style="margin:0">{images}</body>')
    columns, rows, ink = screenshot(page, WIDTH * DOT_PIXELS, HEIGHT * DOT_PIXELS * len(FIGURES))
    assert (columns, rows) == (WIDTH * DOT_PIXELS, HEIGHT * DOT_PIXELS * len(FIGURES))
    for number, (name, parts) in enumerate(FIGURES.items()):
        ours = dots_in(braille_of(drawn(*parts, view_box=OURS), COLUMNS, ROWS).lines)
        theirs = inked_dots(ink, columns, top=number * HEIGHT * DOT_PIXELS)
        assert len(ours) > 100
        assert not far_from(ours, theirs), name
        assert not far_from(theirs, ours), name


def far_from(dots: set[tuple[int, int]], others: set[tuple[int, int]]) -> set[tuple[int, int]]:
    """Return the dots that have no other within one dot."""
    near = {(x + i, y + j) for x, y in others for i in (-1, 0, 1) for j in (-1, 0, 1)}
    return dots - near


def inked_dots(ink: bytes, columns: int, top: int) -> set[tuple[int, int]]:
    """Return the dots whose middle is dark."""
    half = DOT_PIXELS // 2
    return {
        (x, y)
        for x in range(WIDTH)
        for y in range(HEIGHT)
        if ink[(top + y * DOT_PIXELS + half) * columns + x * DOT_PIXELS + half] < 128
    }


def screenshot(page: Path, width: int, height: int) -> tuple[int, int, bytes]:
    """Let the browser paint a page; return its size and one byte of lightness for each pixel."""
    image = page.with_suffix(".png")
    command = [
        str(BROWSER),
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--hide-scrollbars",
        "--force-device-scale-factor=1",
        f"--user-data-dir={page.parent / 'profile'}",
        f"--window-size={width},{height}",
        f"--screenshot={image}",
        page.as_uri(),
    ]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    return png_lightness(image.read_bytes())


def png_lightness(data: bytes) -> tuple[int, int, bytes]:
    """Read an 8-bit RGB or RGBA image, not interlaced (PNG specification, 9.2)."""
    width, height, depth, colour = struct.unpack(">IIBB", data[16:26])
    assert depth == 8
    samples = {2: 3, 6: 4}[colour]
    packed, at = b"", 8
    while at < len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        if data[at + 4 : at + 8] == b"IDAT":
            packed += data[at + 8 : at + 8 + length]
        at += 12 + length
    raw = zlib.decompress(packed)
    stride = width * samples
    before, lightness = bytearray(stride), bytearray()
    for row in range(height):
        start = row * (stride + 1)
        line = bytearray(raw[start + 1 : start + 1 + stride])
        unfilter(raw[start], line, before, samples)
        lightness += line[::samples]
        before = line
    return width, height, bytes(lightness)


def unfilter(kind: int, line: bytearray, above: bytearray, samples: int) -> None:
    for n in range(len(line)):
        left = line[n - samples] if n >= samples else 0
        up, corner = above[n], above[n - samples] if n >= samples else 0
        if kind == 1:
            guess = left
        elif kind == 2:
            guess = up
        elif kind == 3:
            guess = (left + up) // 2
        elif kind == 4:
            meant = left + up - corner
            guess = min((left, up, corner), key=lambda number: abs(meant - number))
        else:
            return
        line[n] = (line[n] + guess) & 0xFF
