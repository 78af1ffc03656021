"""The server: the application behind waitress, until it is told to stop."""

import gc
import logging
import signal
import socket
import ssl
import sys
import threading
from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from flask import Flask
from waitress.server import create_server

from .advice.readings.target import white_of
from .https.authority import LaptopCertificate, authority_in
from .https.front import TlsFront
from .https.renewing import Renewing
from .https.way_in import by_port
from .listening import EVERYWHERE, HERE, certificate, listen, refuse_foreign
from .model import Refused, Target
from .store.crew import answers
from .store.file import left_over
from .store.file.backup import FOLDER, Rolling
from .store.file.database import FILE_NAME, Database
from .store.file.faults import StoreFault
from .store.file.lock import FolderLock
from .terminal import show_qr
from .web.access.lan import Lan, own_addresses
from .web.access.signing import Codes
from .web.access.trust import Trust
from .web.app import MOST_BODY, create_app
from .web.live.aside import PROCESSES
from .web.live.gives_way import GivesWay
from .web.live.processes import Processes
from .web.plans.ahead import Ahead

SETTINGS: dict[str, Any] = {
    "threads": 8,
    "connection_limit": 1000,
    "asyncore_use_poll": True,
    "channel_timeout": 60,
    "max_request_body_size": MOST_BODY,
    "ident": None,
}
"""Of waitress. Its own limit of 100 connections leaves phones hanging; half a request may wait 60 s."""
SWITCH = 0.0005
"""How long a thread may keep the interpreter while others wait for it [s]; Python's own is 5 ms.

A query of SQLite and a product of numpy give it up, and each has to wait for it again: a reading does so some
thirty times. The price is more changes of thread, under 1 % of the work.
"""
LOG, LOG_TIME = "%(asctime)s %(levelname)s %(message)s", "%Y-%m-%dT%H:%M:%S%z"
"""A line of the log: the time by the machine's own clock with its offset (ISO 8601), how bad it is, what."""
_YOUNG = 10_000
"""So many new objects are looked through at a time; Python's own figure is 700."""
MOST_PORT = 65535
_log = logging.getLogger(__name__)


def serve(
    data: Path,
    port: int,
    *,
    lan: bool = False,
    bind: str | None = None,
    pair: tuple[Path, Path] | None = None,
    https: bool = False,
) -> int:
    """Serve pages and API until it is told to stop: on 127.0.0.1, or with `lan` to the local network.

    `bind` is the one address to open there, beside 127.0.0.1, instead of all; `pair` a certificate with
    its key, for HTTPS. With `https` the certificate is the laptop's own, which phones learn to trust first.
    """
    logging.basicConfig(level=logging.INFO, format=LOG, datefmt=LOG_TIME)
    try:
        if bind and not lan:
            print("ADVISOR_BIND counts only with --lan: nobody but this machine gets in.", file=sys.stderr)
        elif bind and bind not in EVERYWHERE:
            refuse_foreign(bind, own_addresses())
        bind = bind if lan and bind not in EVERYWHERE else None
        context = certificate(*pair) if pair else None
        shown, trust, plain, left_out = None, None, list[socket.socket](), list[str]()
        with FolderLock(data) as lock, ExitStack() as stack:
            left_over.clear(data)
            # This machine itself always gets in: there the host sees who joined.
            hosts = tuple(dict.fromkeys((bind, *HERE) if bind else EVERYWHERE)) if lan else HERE
            try:
                outer = _listen(stack, hosts, port)
                if https:
                    plain = _beside(stack, hosts, outer[0].getsockname()[1])
            except OSError as error:
                print(
                    f"advisor: cannot listen on port {port}: {error.strerror}. Try --port {port + 1}.",
                    file=sys.stderr,
                )
                return 1
            secure = https or context is not None
            if https:
                authority = authority_in(data, socket.gethostname().lower())
                trust = Trust(authority.der, authority.fingerprint, plain[0].getsockname()[1])
            place = Lan(outer[0].getsockname()[1], secure=secure, bind=bind, trust=trust)
            if https:
                shown = LaptopCertificate(data, authority, place.hosts())
                context = shown.context
                left_out = [name for name in place.addresses() if not authority.covered([name])]
            app = create_app(data, lan=place if lan else None)
            stack.callback(app.extensions["database"].close)
            ahead = Ahead(app)
            ahead.start()
            stack.callback(ahead.stop)
            app.extensions[PROCESSES] = Processes()
            stack.callback(app.extensions[PROCESSES].close)
            address = place.here()
            # For `advisor invite`, which runs beside this.
            network = {"port": place.port, "secure": place.secure, "bind": bind} if lan else {}
            lock.tell(address, **network)
            print(f"The advisor is at {address}  (stop it with Ctrl+C)", flush=True)
            if lan:
                tell_phones(place, app.extensions["people"].secrets.codes)
            if left_out:
                print(f"Phones warn at {', '.join(left_out)}: the certificate is for local networks alone.")
            print(f"Your data is in {data.absolute()}, and copies of it in {FOLDER}/ there", flush=True)
            _prepare(app.extensions["database"])
            backups = app.extensions["backups"] = Rolling(data / FILE_NAME)
            backups.start()
            stack.callback(backups.stop)
            _log.info(
                "started on port %d, %s", place.port, "for the local network" if lan else "for this machine"
            )
            if shown:
                renewing = Renewing(shown, place.hosts)
                renewing.start()
                stack.callback(renewing.stop)
            _run(stack, app, outer, context, plain)
            _log.info("stopped")
        return 0
    except KeyboardInterrupt:
        return 0  # ended while it was starting
    except StoreFault as fault:
        print(f"advisor: {fault}", file=sys.stderr)
    except Refused as no:
        print("\n".join(f"advisor: {p.where}: {p}" for p in no.problems), file=sys.stderr)
    return 1


def _listen(stack: ExitStack, hosts: Sequence[str], port: int) -> list[socket.socket]:
    sockets = listen(hosts, port)
    for each in sockets:
        stack.callback(each.close)
    return sockets


def _beside(stack: ExitStack, hosts: Sequence[str], port: int) -> list[socket.socket]:
    """Listen for plain HTTP at the next port, or at any that is free; raises OSError where none is."""
    try:
        return _listen(stack, hosts, port + 1 if port < MOST_PORT else 0)
    except OSError:
        return _listen(stack, hosts, 0)


def _run(
    stack: ExitStack,
    app: Flask,
    outer: list[socket.socket],
    context: ssl.SSLContext | None,
    plain: list[socket.socket],
) -> None:
    """Answer until Ctrl+C, or a signal that means the same; at `plain` the way to trust the laptop alone."""
    answering = GivesWay(app)
    if context is None:
        server = create_server(answering, sockets=outer, **SETTINGS)
    else:
        inner = _listen(stack, HERE, 0)
        front = TlsFront(outer, context, inner[0].getsockname()[1])
        behind = (
            by_port(front.before(answering), app, plain[0].getsockname()[1])
            if plain
            else front.before(answering)
        )
        server = create_server(behind, sockets=[*inner, *plain], **SETTINGS)
        front.start()
        stack.callback(front.stop)
    _stop_in_order()
    sys.setswitchinterval(SWITCH)
    try:
        server.run()
    except KeyboardInterrupt:
        server.close()


def tell_phones(lan: Lan, codes: Codes) -> None:
    """Print how phones join, with a QR code where somebody looks at a terminal."""
    urls = lan.urls()
    print(f"Phones on the same network: {urls[0]}  code {codes.shown}")
    print(f"Who has joined, and a QR code: {lan.here()}host")
    if len(urls) > 1:
        print("Other addresses of this laptop: " + ", ".join(urls[1:]))
    if not lan.addresses():
        print("No address on a network was found: connect to the Wi-Fi, then look at the page above.")
    if lan.trust:
        print(f"Before that, each phone trusts this laptop, once: {lan.trust_url()}")
        print(f"The SHA-256 of its certificate: {lan.trust.fingerprint}")
    if not lan.secure:
        print("This is plain HTTP: whoever is on this network can read along.")
    show_qr(f"{urls[0]}join/{codes.scanned}")


def _prepare(db: Database) -> None:
    """Do what need not be done before the first page is answered."""
    threading.Thread(target=_warm, daemon=True).start()
    _forget_old_keys(db)


def _forget_old_keys(db: Database) -> None:
    try:
        answers.prune(db)
    except StoreFault as fault:
        # A full disk: what is there can be read all the same.
        logging.getLogger(__name__).warning("%s", fault)


def _stop_in_order() -> None:
    """Make a window that is closed, or a machine that is shut down, an end like Ctrl+C."""
    if threading.current_thread() is threading.main_thread():
        for name in ("SIGTERM", "SIGHUP", "SIGBREAK"):
            number = getattr(signal, name, None)
            # What was started to outlive its window (nohup) goes on.
            if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
                signal.signal(number, signal.default_int_handler)


def _warm() -> None:
    """Load the published spectra while the first page is being read, and leave what is loaded be."""
    white_of(Target(cct=5600), [])
    # What is there by now stays: looking through it for garbage would keep every thread from the interpreter,
    # a tenth of a second each time. Most of what a request makes is gone once it is answered.
    gc.collect(1)
    gc.freeze()
    gc.set_threshold(_YOUNG, *gc.get_threshold()[1:])
