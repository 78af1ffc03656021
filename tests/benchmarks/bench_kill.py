"""Kill -9 after a random number of writes while three threads write: what was acknowledged, and is there.

Run by hand: ``python tests/benchmarks/bench_kill.py [KILLS]``, 1 000 unless said. After each kill the file
is opened as at any start, checked by SQLite's own check, and every acknowledged write is looked for.
"""

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.benchmarks.short import ARGUMENTS, pick
from tests.store.kills import kill


def main() -> int:
    kills = int(ARGUMENTS[0]) if ARGUMENTS else pick(1000, 5)
    with tempfile.TemporaryDirectory() as folder:
        seen = kill(Path(folder), kills, seed=2)
    print(
        f"{seen.kills} kills, {seen.in_wal} with commits in the -wal file; "
        f"{seen.acknowledged} writes acknowledged ({seen.acknowledged / seen.kills:.1f} a kill); "
        f"{len(seen.faults)} lost, doubled or damaged"
    )
    for fault in seen.faults:
        print(fault)
    return 1 if seen.faults else 0


if __name__ == "__main__":
    raise SystemExit(main())
