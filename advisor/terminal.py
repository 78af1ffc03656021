"""What only somebody who looks at a terminal can use."""

import sys

import segno


def show_qr(url: str) -> None:
    """Print a QR code (ISO/IEC 18004) where somebody looks at a terminal."""
    if sys.stdout.isatty():
        segno.make(url, error="m", micro=False).terminal(border=4, compact=True)
    sys.stdout.flush()
