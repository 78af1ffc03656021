"""What a crew feels while one phone imports a record with 100 000 lines of history, again and again.

Run by hand: ``python tests/benchmarks/bench_record.py [LINES]``. The server is the command itself, in a
process of its own, over loopback; the phone that imports has one too. Two phones poll, open pages and take
readings meanwhile. Prints the longest answer to each, and the memory of the server afterwards (Linux).
"""

import html
import json
import re
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from urllib.parse import urlencode

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.benchmarks.bench_neighbour import Felt, memory
from tests.benchmarks.phones import Phone, served
from tests.benchmarks.short import ARGUMENTS, pick

LINES, TIMES = pick(100_000, 200), pick(4, 1)
GOAL = 1000
"""For the longest answer to anybody. [ms]"""
_APART = "between-the-parts-of-a-form"
_FIELD = re.compile(r'<input type="hidden" name="([^"]*)" value="([^"]*)"')


def record(phone: Phone, lines: int) -> str:
    """Return the record of the set as a file, with so many lines of history."""
    whole = json.loads(phone.ask("GET", "/sets/1/export.json")[2])
    at = "2026-11-20T10:00:00.000000Z"
    whole["history"] = [{"at": at, "who": "Noor", "what": f"read Window, {k} K"} for k in range(lines)]
    return json.dumps(whole)


def form(text: str) -> tuple[str, str]:
    """Return a form that brings a file, and its kind."""
    parts = (("copy", "", "yes"), ("file", '; filename="set.json"', text))
    body = "".join(
        f'--{_APART}\r\nContent-Disposition: form-data; name="{name}"{more}\r\n\r\n{value}\r\n'
        for name, more, value in parts
    )
    return f"{body}--{_APART}--\r\n", f"multipart/form-data; boundary={_APART}"


def imported(port: int, lines: int) -> tuple[float, float]:
    """Import the record some times; return the longest answer, and the longest until it was there. [ms]"""
    phone = Phone(port, "Imports", kept=False).join()
    text, longest, whole = record(phone, lines), 0.0, 0.0
    for _ in range(TIMES):
        body, kind = form(text)
        began, status = time.perf_counter(), 503
        while status == 503:  # it is being read: its page sends it again
            at = time.perf_counter()
            status, _, page = phone.ask("POST", "/sets/import", body, **{"Content-Type": kind})
            longest = max(longest, time.perf_counter() - at)
            fields = {name: html.unescape(value) for name, value in _FIELD.findall(page.decode())}
            body, kind = urlencode(fields), "application/x-www-form-urlencoded"
        assert status == 302, (status, page[:300])
        whole = max(whole, time.perf_counter() - began)
    return 1000 * longest, 1000 * whole


def main() -> None:
    lines = int(ARGUMENTS[0]) if ARGUMENTS else LINES
    with (
        ProcessPoolExecutor(1, get_context("spawn")) as apart,
        tempfile.TemporaryDirectory() as folder,
        served(Path(folder)) as port,
    ):
        felt = Felt()
        crew = felt.crew(port)
        for thread in crew:
            thread.start()
        try:
            longest, whole = apart.submit(imported, port, lines).result()
        finally:
            felt.over.set()
            for thread in crew:
                thread.join()
        every = {"import": longest, **{what: max(times) for what, times in felt.times.items()}}
        for what, most in every.items():
            over = "" if most <= GOAL else f"  OVER THE GOAL of {GOAL} ms"
            print(f"{what}: every answer within {most:.0f} ms{over}")
        print(f"The server holds {memory(folder)[0]} MB")
        print(f"{lines} lines imported within {whole:.0f} ms; errors of others: {len(felt.wrong)}")


if __name__ == "__main__":
    main()
