"""Draw the mark as PNG, for phones that take no SVG onto their home screen.

``python tests/browser/icons.py`` writes `static/icon-180.png` and its larger ones. The mark is the end of a
light path: two patches that touch, the left one a warm lamp that becomes the target downwards, so that the
edge between them vanishes. `static/icon.svg` says the same in the same numbers.
"""

import struct
import zlib
from pathlib import Path

import numpy as np

SIZES = (180, 192, 512)
STATIC = Path(__file__).parents[2] / "static"
GROUND = (0x16, 0x16, 0x16)
LAMP = (0xFF, 0x9A, 0x3C)
TARGET = (0xF4, 0xF1, 0xEA)
EDGE = 4 / 32
"""From the rim to the patches, as a share of the side."""
FROM, TO = 0.1, 0.9
"""Where the left patch begins to change, and where it is the target; as shares of its height."""


def mark(size: int) -> np.ndarray:
    """Return the mark as `size` rows of `size` pixels of red, green and blue; of 8 bits each."""
    at = (np.arange(size) + 0.5) / size
    inside = (at > EDGE) & (at < 1 - EDGE)
    along = np.clip(((at - EDGE) / (1 - 2 * EDGE) - FROM) / (TO - FROM), 0, 1)[:, None]
    left = (1 - along) * LAMP + along * TARGET
    pixels = np.empty((size, size, 3))
    pixels[:] = GROUND
    pixels[np.ix_(inside, inside & (at < 0.5))] = left[inside][:, None, :]
    pixels[np.ix_(inside, inside & (at >= 0.5))] = TARGET
    return pixels.round().astype(np.uint8)


def png(pixels: np.ndarray) -> bytes:
    """Write pixels as a PNG of 8 bits a colour (ISO/IEC 15948: the signature, IHDR, IDAT, IEND)."""
    height, width, _ = pixels.shape
    rows = b"".join(b"\0" + row.tobytes() for row in pixels)
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(rows, 9)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(kind, data) for kind, data in chunks)


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


if __name__ == "__main__":
    for size in SIZES:
        (STATIC / f"icon-{size}.png").write_bytes(png(mark(size)))
