"""Adds readings to the first source of the file named, and prints each id once it is acknowledged."""

import sys

from advisor.model import Reading
from advisor.store import Database, SetStore

MOST = 20_000
"""It is meant to be killed; if nobody does, it ends."""

if __name__ == "__main__":
    with Database(sys.argv[1]) as db:
        sets = SetStore(db)
        for number in range(MOST):
            print(sets.add_reading(1, Reading(cct=3000 + number % 1000, duv=0.0)), flush=True)
