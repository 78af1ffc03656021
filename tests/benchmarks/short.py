"""One short round in place of a whole run, by which a test sees that a benchmark still works.

A script that is started with ``--short`` prints all its lines, but its figures mean nothing.
"""

import sys
from typing import TypeVar

T = TypeVar("T")
SHORT = "--short" in sys.argv
ARGUMENTS = [word for word in sys.argv[1:] if word != "--short"]


def pick(whole: T, short: T) -> T:
    """Return what a whole run takes, or what a short round does."""
    return short if SHORT else whole
