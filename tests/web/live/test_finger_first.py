"""Large requests begin while no small one is being answered, or after a moment; small ones wait for none."""

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from advisor.web.live.gives_way import GivesWay

MOST = 30.0
"""How long a test waits for what does come. [s]"""


class Held:
    """An application that answers once it is let, and keeps in which order requests began and ended."""

    def __init__(self):
        self.order, self.let, self.begun = [], threading.Event(), threading.Event()

    def __call__(self, environ, start_response):
        self.order.append(environ["PATH_INFO"])
        self.begun.set()
        if environ["PATH_INFO"] == "/small":
            assert self.let.wait(MOST)
            self.order.append("answered")
        return [b"yes"]


@pytest.fixture
def held():
    own = Held()
    yield own
    own.let.set()


def asks(app, path, size):
    return app({"PATH_INFO": path, "CONTENT_LENGTH": size}, None)


def test_a_large_request_begins_once_the_small_ones_are_answered(held):
    app = GivesWay(held, longest=MOST)
    with ThreadPoolExecutor(2) as threads:
        small = threads.submit(asks, app, "/small", "")
        assert held.begun.wait(MOST)
        large = threads.submit(asks, app, "/large", "50000")
        held.let.set()
        assert [small.result(MOST), large.result(MOST)] == [[b"yes"]] * 2
    assert held.order == ["/small", "answered", "/large"]


def test_it_waits_no_longer_than_a_moment(held):
    app = GivesWay(held, longest=0.01)
    with ThreadPoolExecutor(1) as threads:
        threads.submit(asks, app, "/small", "")
        assert held.begun.wait(MOST)
        assert asks(app, "/large", "50000") == [b"yes"]
        assert held.order == ["/small", "/large"]
        held.let.set()


@pytest.mark.parametrize("size", ["", "0", "no number", "-1", "49999"])
def test_a_small_one_waits_for_none(held, size):
    held.let.set()
    assert asks(GivesWay(held, longest=MOST), "/small", size) == [b"yes"]


def test_one_that_fails_is_no_longer_waited_for():
    def broken(environ, start_response):
        raise ValueError("broken")

    app = GivesWay(broken, longest=MOST)
    for size in ("0", "50000"):
        with pytest.raises(ValueError, match="broken"):
            asks(app, "/", size)
