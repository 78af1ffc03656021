"""Advices to requests made at random from a number, to see whether another process answers the same.

Run by hand: ``python -m tests.same_again COUNT [reverse]``. Prints a line for each as soon as it is there:
its number, and the SHA-256 of the answer's JSON, or of the refusal. With ``reverse`` the last is asked first,
so that what is kept of one request is there before another.
"""

import hashlib
import random
import sys
from typing import Any

from advisor.advice.answer.advise import advise
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import Refused
from advisor.model.advice import AdviceRequest

TABLE = shipped_gels().rows
KINDS = ("tungsten", "daylight", "led-white", "led-mix", "discharge", "fluorescent", "unknown")
ONCE_OTHER: dict[str, Any] = {
    "target": {"cct": 25000, "locus": "planckian", "duv_offset": -0.030},
    "sources": [
        {
            "name": "S",
            "kind": "tungsten",
            "reading": {"cct": 4996, "duv": 0.005, "dial": {"cct": 6770, "green": 14.6}},
            "reach": {
                "cct_from": 2000,
                "cct_to": 10000,
                "cct_step": 10,
                "green_from": -20,
                "green_to": 20,
                "green_step": 0.1,
            },
        }
    ],
    "max_layers": 2,
}
"""A request whose answer once was another one after a restart."""


def asked(number: int) -> dict[str, Any]:
    """Make a request from a number; 0 is `ONCE_OTHER`."""
    if number == 0:
        return ONCE_OTHER
    chance = random.Random(number)
    white = chance.choice([3200, 4300, 5600, 6500, 25000, round(chance.uniform(2000, 25000))])
    locus = chance.choice(["daylight", "planckian"]) if white > 4000 else "planckian"
    request: dict[str, Any] = {
        "target": {"cct": white, "locus": locus},
        "sources": [_source(chance, i) for i in range(chance.choice([1, 1, 2, 3]))],
        "max_layers": chance.choice([1, 2, 2, 3, 3, 4]),
        "tolerance_steps": chance.choice([1, 3, 5]),
        "share_stock": chance.random() < 0.1,
    }
    if chance.random() < 0.3:
        request["target"]["duv_offset"] = round(chance.uniform(-0.03, 0.03), 3)
    return request


def _source(chance: random.Random, place: int) -> dict[str, Any]:
    cct, duv = round(chance.uniform(2200, 9500)), round(chance.gauss(0.0, 0.006), 4)
    source: dict[str, Any] = {"name": f"S{place}", "kind": chance.choice(KINDS)}
    source["reading"] = {"cct": cct, "duv": duv, "lux": chance.choice([None, 500, 2400])}
    if chance.random() < 0.1:  # one with dials takes ten times as long as one without
        step, low, high = chance.choice([10, 50, 100]), 2700, chance.choice([6500, 10000])
        source["reach"] = {"cct_from": low, "cct_to": high, "cct_step": step}
        source["reach"] |= {"green_from": -10, "green_to": 10, "green_step": chance.choice([0.1, 1])}
        at = low + step * chance.randrange((high - low) // step)
        source["reading"]["dial"] = {"cct": at, "green": chance.randrange(-10, 11)}
    if chance.random() < 0.2:
        read = {"cct": max(1800, cct + chance.randrange(-400, 400)), "duv": duv}
        source["readings"] = [{**read, "gels": [chance.choice(TABLE).name]}]
    return source


def answer(number: int) -> str:
    """Return the answer to a request as JSON, or why there is none."""
    try:
        return advise(AdviceRequest.model_validate(asked(number)), TABLE).model_dump_json()
    except Refused as no:
        return f"refused: {no.problems}"


def told(number: int) -> str:
    """Return the line about a request."""
    return f"{number} {hashlib.sha256(answer(number).encode()).hexdigest()}"


if __name__ == "__main__":
    numbers = range(int(sys.argv[1]))
    for number in reversed(numbers) if "reverse" in sys.argv else numbers:
        print(told(number), flush=True)
