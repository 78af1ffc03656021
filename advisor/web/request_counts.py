"""What the server did since it started: for the host's page."""

import threading
import time

from flask import Flask, Response


class Tally:
    """Requests answered, and those that the advisor itself got wrong (5xx)."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._began = time.monotonic()
        self.requests = 0
        self.errors = 0

    @property
    def uptime(self) -> float:
        """Since the start. [s]"""
        return time.monotonic() - self._began

    def count(self, response: Response) -> Response:
        """Count an answer."""
        with self._lock:
            self.requests += 1
            self.errors += response.status_code >= 500
        return response


def keep_tally(app: Flask) -> None:
    """Count what an application answers."""
    tally = app.extensions["tally"] = Tally()
    app.after_request(tally.count)
