"""How the time to read a paste grows with it, and what the worst lines cost.

Run by hand: ``python tests/benchmarks/bench_pastes.py``. Prints the time of each text against that of a plain
table with as many rows, how time grows when a text grows four times, and how long texts of the largest size
take that are made to hurt. Times are of the processor.
"""

import contextlib
import time
from collections.abc import Callable

from short import pick

from advisor.imports import read_readings
from advisor.imports.text.decode import LIMIT
from advisor.model import Refused

ROWS = pick(480, 40)
ROUNDS = pick(5, 1)
LONGEST = pick(LIMIT, LIMIT // 50)
"""Of the texts that are made to hurt. [character]"""
GOAL = 0.5
"""Of 2 000 rows. [s]"""


def table(rows: int) -> str:
    return "name,CCT,Duv,lux\n" + "".join(f"Key {i},{5000 + i},0.00{i % 9},{800 + i}\n" for i in range(rows))


TEXTS: dict[str, Callable[[int], str]] = {
    "table": table,
    "decimal commas": lambda n: (
        "name,CCT,Duv\n" + "".join(f"K{i},{5000 + i},0,00{1 + i % 8}\n" for i in range(n))
    ),
    "unknown headings": lambda n: (
        "wer;warm;ab\n" + "".join(f"K{i};{5000 + i};0,00{1 + i % 8}\n" for i in range(n))
    ),
    "messages": lambda n: "".join(f"Key {i} {5000 + i} +.00{i % 9} {800 + i}\n" for i in range(n)),
    "two a line": lambda n: "".join(
        f"a{i} {5000 + i} +.004 / b{i} {3000 + i} -.001\n" for i in range(n // 2)
    ),
    "numbers alone": lambda n: "".join(f"{5000 + i} 0.00{i % 9} {800 + i} 12 {i}\n" for i in range(n)),
    "what is unclear": lambda n: "".join(f"Key {i} {5000 + i} and 12 and 13\n" for i in range(n)),
    "turned": lambda n: "\n".join(
        [
            ";".join(["name", *(f"Key {i}" for i in range(n))]),
            ";".join(["CCT", *(str(5000 + i) for i in range(n))]),
            ";".join(["Duv", *(f"0.00{i % 9}" for i in range(n))]),
        ]
    ),
    "JSON": lambda n: (
        "[" + ",\n".join(f'{{"name": "K{i}", "cct": {5000 + i}, "duv": 0.001}}' for i in range(n)) + "]"
    ),
    "web page": lambda n: (
        "<table><tr><td>name<td>CCT<td>Duv</tr>\n"
        + "".join(f"<tr><td>K{i}<td>{5000 + i}<td>0.001</tr>\n" for i in range(n))
    ),
}
HURTING = {
    "one line of numbers": "5480 .004 " * (LONGEST // 10),
    "lines of numbers": ("5480 .004/" * 45 + "\n") * (LONGEST // 460),
    "commas": ("1,2,3,4,5 " * 40 + "\n") * (LONGEST // 410),
    "words": ("key five 5480 " * 35 + "\n") * (LONGEST // 500),
    "tags without end": "<table><tr><td>" + "<a " * (LONGEST // 4),
    "comments without end": "<table><tr><td>" + "<!--" * (LONGEST // 5),
    "brackets": "[" * (LONGEST - 1),
    "quotes in JSON": '["' + '\\"' * (LONGEST // 2 - 9),
    "other words": "".join(f"alpha{i} beta{i} gamma{i}\n" for i in range(LONGEST // 51)),
    "five times too long": "key 5480 .004 " * (5 * LONGEST // 14),
}


def main() -> None:
    base = timed(table(ROWS))
    print(
        f"A table of {ROWS} rows: {1000 * base:.0f} ms; 2 000 rows at that pace {base * 2000 / ROWS:.2f} s,"
    )
    print(f"  goal {GOAL} s: {'reached' if base * 2000 / ROWS <= GOAL else 'missed'}.")
    for name, make in TEXTS.items():
        whole, part = timed(make(ROWS)), timed(make(ROWS // 4))
        print(f"  {name}: {whole / base:.2f} of it; four times the rows take {whole / part:.1f} x as long")
    for name, text in HURTING.items():
        print(f"  {name} ({len(text):,} characters): {timed(text) / base:.1f} of it")


def timed(text: str) -> float:
    """Return the shortest of some times to read a text. [s]"""
    times = []
    for _ in range(ROUNDS):
        began = time.process_time()
        with contextlib.suppress(Refused):
            read_readings(text)
        times.append(time.process_time() - began)
    return min(times)


if __name__ == "__main__":
    main()
