"""The server: the application behind waitress, until it is told to stop."""

import logging
import sys
import threading
from pathlib import Path

from waitress.server import create_server

from .advice.target import white_of
from .model import Target
from .store.faults import StoreFault
from .web.app import MOST_BODY, create_app


def serve(data: Path, port: int) -> int:
    """Serve pages and API on 127.0.0.1 until it is told to stop."""
    logging.basicConfig(level=logging.INFO, format="%(levelname)s %(message)s")
    try:
        app = create_app(data)
        server = create_server(
            app,
            host="127.0.0.1",
            port=port,
            threads=8,
            connection_limit=1000,
            asyncore_use_poll=True,
            channel_timeout=60,
            max_request_body_size=MOST_BODY,
            ident=None,
        )
    except StoreFault as fault:
        print(f"advisor: {fault}", file=sys.stderr)
        return 1
    except OSError as error:
        print(
            f"advisor: cannot listen on port {port}: {error.strerror}. Try --port {port + 1}.",
            file=sys.stderr,
        )
        return 1
    print(f"The advisor is at http://127.0.0.1:{server.effective_port}/  (stop it with Ctrl+C)", flush=True)
    threading.Thread(target=_warm, daemon=True).start()
    try:
        server.run()
    except KeyboardInterrupt:
        server.close()
    return 0


def _warm() -> None:
    """Load the published spectra while the first page is being read."""
    white_of(Target(cct=5600), [])
