"""The plan of a set is begun as soon as something was written there, before anybody asks for its pages."""

import threading
from contextlib import suppress
from functools import partial

from flask import Flask, Response, request

from ..state import state
from .kept import asked_of, planned

_NAMED = ("source_id", "set_id")
"""What the address of a write may name."""


class Ahead:
    """Plans ahead in a thread of its own, one set after another; several writes that wait are one.

    It is to be made before `app` answers anything. A plan that takes long is left to whoever asks for it.
    """

    def __init__(self, app: Flask) -> None:
        self._app = app
        self._asked: dict[tuple[str, int], None] = {}
        self._news = threading.Condition()
        self._over = False
        self._thread = threading.Thread(target=self._run, daemon=True, name="plans ahead")
        app.after_request(self._after)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self) -> None:
        """End, once the plan that is being made is there."""
        with self._news:
            self._over = True
            self._news.notify()
        self._thread.join()

    def _after(self, response: Response) -> Response:
        if request.method == "POST" and response.status_code < 400:
            for name in _NAMED:
                if (number := (request.view_args or {}).get(name)) is not None:
                    response.call_on_close(partial(self._ask, (name, int(number))))
                    break
        return response

    def _ask(self, what: tuple[str, int]) -> None:
        with self._news:
            self._asked[what] = None
            self._news.notify()

    def _run(self) -> None:
        while True:
            with self._news:
                self._news.wait_for(lambda: self._asked or self._over)
                if self._over:
                    return
                what = next(iter(self._asked))
                del self._asked[what]
            with self._app.app_context():
                _plan(*what)


def _plan(name: str, number: int) -> None:
    """Plan for a set, or for that of a source."""
    sets = state().sets
    # What is wrong is told by the page that asks for the same.
    with suppress(Exception):
        now = sets.get_set(number if name == "set_id" else sets.get_source(number).set_id)
        if not (asked := asked_of(now)).large:
            planned(asked)
