"""A certificate that follows the laptop: made anew when an address changes, and before it ends."""

import logging
import threading
from collections.abc import Callable, Iterable

from .authority import LaptopCertificate

EVERY = 15.0
"""How often the laptop's addresses are looked at. [s]"""
_log = logging.getLogger(__name__)


class Renewing:
    """Looks from `start` to `stop` whether a certificate still is for the names that `names` finds."""

    def __init__(self, shown: LaptopCertificate, names: Callable[[], Iterable[str]]) -> None:
        self._shown, self._names = shown, names
        self._end = threading.Event()
        self._thread = threading.Thread(target=self._run, name="certificate", daemon=True)

    def start(self) -> None:
        """Look from now on."""
        self._thread.start()

    def stop(self) -> None:
        """Look no more."""
        self._end.set()
        self._thread.join()

    def look(self) -> None:
        """Look once; a disk that takes nothing is logged, and looked at again later."""
        try:
            if self._shown.renew(self._names()):
                _log.info("the certificate was made anew: this laptop's addresses changed, or it ended soon")
        except OSError as error:
            _log.warning("the certificate cannot be made anew: %s", error)

    def _run(self) -> None:
        while not self._end.wait(EVERY):
            self.look()
