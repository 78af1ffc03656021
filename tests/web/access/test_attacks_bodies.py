"""Bodies that are too large, made of too much, never end, or ask for more: what stops each."""

import socket
import threading

import pytest
from waitress.server import create_server

from advisor.serve import SETTINGS
from tests.web.page import Page
from tests.web.phones import BASE, joined, open_app


@pytest.fixture
def app(tmp_path, closing):
    return closing(open_app(tmp_path / "data"))


@pytest.fixture
def phone(app):
    return joined(app, "change")


class TestSize:
    def test_a_body_that_is_too_large_is_refused_before_it_is_used(self, app, phone):
        answer = phone.post("/sets/new", {"name": "x" * 2_000_001})
        assert answer.status_code == 413

    def test_a_stranger_is_refused_without_his_body_being_read(self, app):
        body = Unread(50_000_000)
        sent = {"wsgi.input": body, "CONTENT_LENGTH": str(body.size), "HTTP_ORIGIN": BASE}
        overrides = {"REMOTE_ADDR": "192.168.7.9", **sent}
        answer = app.test_client().post("/sets/new", base_url=BASE, environ_overrides=overrides)
        assert answer.status_code == 401
        assert body.read_bytes == 0

    @pytest.mark.parametrize("path", ["/sets/import", "/gels/import"])
    def test_files_of_ours_may_be_larger_but_only_from_whoever_may_send_them(self, app, path):
        large = {"text": "x" * 3_000_000}
        body = Unread(50_000_000)
        sent = {"wsgi.input": body, "CONTENT_LENGTH": str(body.size), "HTTP_ORIGIN": BASE}
        overrides = {"REMOTE_ADDR": "192.168.7.9", **sent}
        assert app.test_client().post(path, base_url=BASE, environ_overrides=overrides).status_code == 401
        assert body.read_bytes == 0
        assert joined(app, "look").post(path, large).status_code == 413
        assert joined(app, "change", "Ana").post(path, large).status_code == 422

    def test_a_form_of_too_many_parts_is_refused(self, app, phone):
        data = {f"f{i}": "x" for i in range(2000)}
        answer = phone.post("/sets/new", data, content_type="multipart/form-data")
        assert answer.status_code == 413


class Unread:
    """A body that notes how much of it was read."""

    def __init__(self, size):
        self.size, self.read_bytes = size, 0

    def read(self, size=-1):
        self.read_bytes += self.size if size < 0 else size
        return b"x" * (self.size if size < 0 else size)


@pytest.mark.parametrize(
    "xml",
    [
        '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;">]><IESTM2714>&b;</IESTM2714>',
        '<!DOCTYPE x [<!ENTITY e SYSTEM "file:///etc/passwd">]><IESTM2714>&e;</IESTM2714>',
        '<!DOCTYPE x SYSTEM "http://evil.example/x.dtd"><IESTM2714/>',
    ],
)
def test_xml_with_entities_is_refused_unread(app, phone, shipped, xml):
    page = Page(phone.post("/sets/1/paste", {"text": f'<?xml version="1.0"?>{xml}'}))
    assert page.status in (200, 422)
    assert page.alerts
    assert "root:" not in page.html and "a" * 50 not in page.html


@pytest.fixture
def served(app):
    """Serve as the command does, but with less patience."""
    hasty = {**SETTINGS, "channel_timeout": 1, "cleanup_interval": 1}
    server = create_server(app, host="127.0.0.1", port=0, **hasty)
    thread = threading.Thread(target=server.run)
    thread.start()
    yield server.effective_port
    server.trigger.pull_trigger(lambda: [s.close() for s in list(server._map.values())])
    thread.join(timeout=10)
    server.task_dispatcher.shutdown()


def test_slow_clients_stop_nobody_and_are_dropped(served):
    """Twice as many as the server has threads begin a request and never end it."""
    slow = [
        socket.create_connection(("127.0.0.1", served), timeout=30) for _ in range(2 * SETTINGS["threads"])
    ]
    try:
        for i, each in enumerate(slow):
            body = (
                b"POST /join HTTP/1.1\r\nHost: localhost\r\nContent-Length: 100\r\n\r\nna"
                if i % 2
                else b"GET /"
            )
            each.sendall(body)
        with socket.create_connection(("127.0.0.1", served), timeout=30) as other:
            other.sendall(b"GET /join HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n")
            assert other.recv(100).startswith(b"HTTP/1.1 200")
        assert {dropped(each) for each in slow} == {True}
    finally:
        for each in slow:
            each.close()


def dropped(client):
    """Whether the server ends the connection, at the latest when the socket's own patience is over."""
    try:
        while client.recv(4096):
            pass
    except ConnectionResetError:
        return True
    except TimeoutError:
        return False
    return True
