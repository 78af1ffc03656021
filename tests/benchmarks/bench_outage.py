"""Ten minutes of a Wi-Fi that drops, without the minutes: 1 000 random drops, each with its retry.

Run by hand: ``python tests/benchmarks/bench_outage.py [DROPS]``. Between phones and server stands a proxy
that cuts connections: before the request arrives, in the middle of it, after the server acted, or in the
middle of the answer. Phones send in order, each write under its key until it is answered, as the page's
script does. Afterwards every edit is to be in the file once: none lost, none doubled.
"""

import random
import socket
import sys
import tempfile
import threading
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.benchmarks.phones import Phone, kept, served
from tests.benchmarks.short import ARGUMENTS, pick

DROPS = pick(1000, 10)
PHONES = pick(8, 2)
SHARE = 0.5
"""Of the connections that are cut."""
WAYS = ("before", "within", "after", "within the answer")


class Proxy:
    """Stands on a port of its own before a server's, and cuts some of what passes while it is `poor`."""

    def __init__(self, port: int, most: int, *, seed: int = 7) -> None:
        self._to, self._most = port, most
        self._chance, self._lock = random.Random(seed), threading.Lock()
        self._listener = socket.create_server(("127.0.0.1", 0), backlog=64)
        self.port: int = self._listener.getsockname()[1]
        self.poor = False
        self.drops: Counter[str] = Counter()

    def run(self) -> None:
        """Serve until it is closed."""
        while True:
            try:
                inner, _ = self._listener.accept()
            except OSError:
                return
            threading.Thread(target=self._pass, args=(inner,), daemon=True).start()

    def close(self) -> None:
        """Stop taking connections."""
        self._listener.shutdown(socket.SHUT_RDWR)
        self._listener.close()

    def _way(self) -> str:
        with self._lock:
            if not self.poor or self.drops.total() >= self._most or self._chance.random() > SHARE:
                return ""
            way = self._chance.choice(WAYS)
            self.drops[way] += 1
            return way

    def _pass(self, inner: socket.socket) -> None:
        with inner, suppress(OSError):
            way, request = self._way(), _message(inner)
            if way == "before" or not request:
                return
            with socket.create_connection(("127.0.0.1", self._to)) as outer:
                outer.sendall(request[: len(request) // 2] if way == "within" else request)
                if way == "within":
                    return
                answer = _message(outer)
                if way != "after":
                    inner.sendall(answer[: len(answer) // 2] if way else answer)


def _message(link: socket.socket) -> bytes:
    """Return a whole request or answer of HTTP/1.1 with its length, or what there is of it at the end."""
    got = b""
    while True:
        head, found, body = got.partition(b"\r\n\r\n")
        if found:
            length = next(
                (
                    int(line.split(b":")[1])
                    for line in head.split(b"\r\n")
                    if line.lower().startswith(b"content-length:")
                ),
                0,
            )
            if len(body) >= length:
                return got
        more = link.recv(65536)
        if not more:
            return got
        got += more


@contextmanager
def dropping(port: int, most: int) -> Iterator[Proxy]:
    """Stand a proxy before a server's port."""
    proxy = Proxy(port, most)
    thread = threading.Thread(target=proxy.run)
    thread.start()
    try:
        yield proxy
    finally:
        proxy.close()
        thread.join()


def outage(port: int, drops: int) -> tuple[Counter[str], list[float], list[str]]:
    """Let phones write over a poor link until so many drops; return the drops, the edits and what went wrong.

    An edit is known by its illuminance.
    """
    edits: list[float] = []
    wrong: list[str] = []
    with dropping(port, drops) as proxy:

        def work(number: int) -> None:
            phone, n = Phone(proxy.port, f"Phone {number}", kept=False), 0
            phone.join()
            ready.wait()
            try:
                while proxy.drops.total() < drops:
                    lux, n = 10_000.0 + 1000 * number + n, n + 1
                    data = {"cct": 3200 + number, "duv": "0.001", "lux": lux}
                    edits.append(lux)
                    phone.send(f"/sources/{number % 6 + 1}/reading", data, f"bench-outage-{number:03}-{n:06}")
            except Exception as error:  # told with the figures
                wrong.append(repr(error))

        def begin() -> None:
            proxy.poor = True

        ready = threading.Barrier(PHONES, action=begin)
        threads = [threading.Thread(target=work, args=(number,)) for number in range(PHONES)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    return proxy.drops, edits, wrong


def lost_and_doubled(data: Path, edits: list[float]) -> tuple[int, int]:
    """Return how many edits are not in the file, and how many are there more than once."""
    found = Counter(reading.lux for reading in kept(data))
    return sum(found[lux] == 0 for lux in edits), sum(found[lux] > 1 for lux in edits)


def main() -> None:
    drops = int(ARGUMENTS[0]) if ARGUMENTS else DROPS
    with tempfile.TemporaryDirectory() as folder:
        with served(Path(folder)) as port:
            cut, edits, wrong = outage(port, drops)
        lost, doubled = lost_and_doubled(Path(folder), edits)
    print(f"{cut.total()} drops ({', '.join(f'{n} {way}' for way, n in sorted(cut.items()))})")
    print(f"{len(edits)} edits by {PHONES} phones: {lost} lost, {doubled} doubled")
    print(f"Errors: {len(wrong)} {wrong[:3]}")


if __name__ == "__main__":
    main()
