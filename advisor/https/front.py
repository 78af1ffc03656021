"""HTTPS: takes TLS off in front of the server, which knows none.

The server's threads then still only ever see whole requests, whatever a slow or silent client does to the
TLS; a server that takes TLS in its own threads would give that up. What goes on behind is on loopback, at a
port that only this front may use: the server asks it who is at the other end.
"""

import asyncio
import logging
import socket
import ssl
import threading
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from typing import Any

_HANDSHAKE = 10.0
"""How long a client may take to begin. [s]"""
_SILENCE = 60.0
"""How long a connection may be there without a first request. [s]"""
_BLOCK = 65536
Application = Callable[[dict[str, Any], Callable[..., Any]], Iterable[bytes]]


class TlsFront:
    """Passes what comes over TLS on `sockets` to the server at 127.0.0.1:`inner`, from `start` to `stop`."""

    def __init__(self, sockets: Sequence[socket.socket], context: ssl.SSLContext, inner: int) -> None:
        self._sockets = sockets
        self._context = context
        self._inner = inner
        self._peers: dict[str, str] = {}
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._run, name="tls", daemon=True)
        self._begun = threading.Event()

    def start(self) -> None:
        """Take connections from now on."""
        self._thread.start()
        self._begun.wait()  # a loop that is told to stop before leaves its servers half made

    def stop(self) -> None:
        """Take no more connections, and end those that there are."""
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join()

    def before(self, app: Application) -> Application:
        """Return the application as it stands behind the front: it is told the client's address."""

        def behind(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
            peer = self._peers.get(environ.get("REMOTE_PORT", ""))
            if peer is None:
                # Somebody on this machine asks past the front; who it is cannot be told.
                start_response("400 Bad Request", [("Content-Type", "text/plain")])
                return [b"Use the https address that the advisor printed at its start.\n"]
            environ["REMOTE_ADDR"] = peer
            environ["wsgi.url_scheme"] = "https"
            return app(environ, start_response)

        return behind

    def _run(self) -> None:
        asyncio.set_event_loop(self._loop)
        self._loop.set_exception_handler(_tell)
        try:
            servers = [self._loop.run_until_complete(self._take(each)) for each in self._sockets]
        finally:
            self._begun.set()
        self._loop.run_forever()
        for server in servers:
            server.close()
        tasks = asyncio.all_tasks(self._loop)
        for task in tasks:
            task.cancel()
        self._loop.run_until_complete(asyncio.gather(*tasks, return_exceptions=True))
        self._loop.close()

    async def _take(self, each: socket.socket) -> asyncio.Server:
        each.setblocking(False)
        return await asyncio.start_server(
            self._serve, sock=each, ssl=self._context, ssl_handshake_timeout=_HANDSHAKE
        )

    async def _serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        with suppress(OSError):  # gone, or silent for too long
            try:
                # The server hears of a connection only once there is something to answer.
                first = await asyncio.wait_for(reader.read(_BLOCK), _SILENCE)
                if first:
                    await self._pass_on(first, reader, writer)
            finally:
                writer.close()

    async def _pass_on(
        self, first: bytes, reader: asyncio.StreamReader, writer: asyncio.StreamWriter
    ) -> None:
        from_server, to_server = await asyncio.open_connection("127.0.0.1", self._inner)
        port = str(to_server.get_extra_info("sockname")[1])
        self._peers[port] = str(writer.get_extra_info("peername")[0])
        try:
            to_server.write(first)
            ways = {
                asyncio.ensure_future(_pump(reader, to_server)),
                asyncio.ensure_future(_pump(from_server, writer)),
            }
            _, other = await asyncio.wait(ways, return_when=asyncio.FIRST_COMPLETED)
            for way in other:
                way.cancel()
        finally:
            del self._peers[port]
            to_server.close()


async def _pump(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    with suppress(OSError):
        while block := await reader.read(_BLOCK):
            writer.write(block)
            await writer.drain()


def _tell(loop: asyncio.AbstractEventLoop, context: dict[str, Any]) -> None:
    """Log a fault in one line; a client that does not trust the certificate, or goes away, is none."""
    error = context.get("exception")
    if error is not None and not isinstance(error, OSError):
        logging.getLogger(__name__).error("fault in TLS: %s", type(error).__name__)
