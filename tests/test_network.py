"""The command on a network: what it prints and logs, who it lets in, and HTTPS in front of it."""

import http.client
import os
import re
import signal
import socket
import ssl
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from urllib.parse import urlencode

import pytest
from waitress.server import create_server

from advisor import cli
from advisor.https.front import TlsFront
from advisor.listening import certificate, listen, refuse_foreign
from advisor.model import Refused
from advisor.serve import SETTINGS, serve, tell_phones
from advisor.web.access.lan import Lan
from advisor.web.access.signing import Codes

ROOT = Path(__file__).parents[1]
TLS = Path(__file__).parent / "web" / "tls"
PAIR = (TLS / "certificate.pem", TLS / "key.pem")
NAME = socket.gethostname().lower()
"""A request by this name is a phone's, also from this machine."""


class Answer:
    def __init__(self, answer: http.client.HTTPResponse) -> None:
        self.status, self.headers, self.text = answer.status, answer.headers, answer.read().decode()


class Server:
    """The command, with what it printed; it listens on 127.0.0.1 only."""

    def __init__(self, process: subprocess.Popen[str], lines: list[str]) -> None:
        self.process, self.lines = process, lines
        found = re.search(r"(https?)://127\.0\.0\.1:(\d+)/", lines[0])
        assert found, lines
        self.scheme, self.port = found[1], int(found[2])

    def ask(self, method: str, path: str, host: str = "127.0.0.1", cookie: str = "", **fields: str) -> Answer:
        origin = f"{self.scheme}://{host}:{self.port}"
        headers = {"Host": f"{host}:{self.port}", "Origin": origin, "Cookie": cookie}
        body = urlencode(fields) or None
        if body:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        client = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        if self.scheme == "https":
            trusted = ssl.create_default_context(cafile=PAIR[0])
            client = http.client.HTTPSConnection("127.0.0.1", self.port, timeout=30, context=trusted)
        try:
            client.request(method, path, body, headers)
            return Answer(client.getresponse())
        finally:
            client.close()


@contextmanager
def advisor(data: Path, log: Path, *arguments: str) -> Iterator[Server]:
    """Start the command for the local network, which is 127.0.0.1 here, and end it in order."""
    command = [sys.executable, "-m", "advisor", "--lan", "--port", "0", "--data", str(data), *arguments]
    environment = {**os.environ, "ADVISOR_BIND": "127.0.0.1"}
    with (
        log.open("w") as errors,
        subprocess.Popen(
            command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, stderr=errors, text=True
        ) as process,
    ):
        try:
            assert process.stdout is not None
            lines = [process.stdout.readline() for _ in range(3)]
            yield Server(process, lines)
            process.send_signal(signal.SIGTERM)
            process.wait(timeout=120)
        finally:
            process.kill()
    assert process.returncode == 0


def token(answer: Answer) -> str:
    return re.findall(r'name="token" value="([^"]+)"', answer.text)[0]


def join(server: Server, name: str, code: str) -> Answer:
    asked = server.ask("GET", "/join", NAME)
    return server.ask("POST", "/join", NAME, token=token(asked), name=name, code=code)


def test_phones_join_and_the_log_holds_nothing_of_them(tmp_path):
    log = tmp_path / "log"
    with advisor(tmp_path / "data", log) as server:
        printed = "".join(server.lines)
        code = re.findall(r"code ([0-9A-Z]{4}-[0-9A-Z]{4})", printed)[0]
        assert f"http://127.0.0.1:{server.port}/host" in printed
        assert server.ask("GET", "/sets", NAME).status == 303
        answer = join(server, "Mia of the truck", code)
        assert answer.status == 303
        cookie = answer.headers["Set-Cookie"].partition(";")[0]
        assert "Secure" not in answer.headers["Set-Cookie"]
        assert server.ask("GET", "/sets", NAME, cookie).status == 200
        assert server.ask("GET", "/sets", "evil.example", cookie).status == 421
        assert "Mia of the truck" in server.ask("GET", "/host").text
        assert server.process.stdout.readline().startswith("This is plain HTTP: whoever is on this network")
        assert server.process.stdout.readline() == (
            f"Your data is in {tmp_path / 'data'}, and copies of it in backups/ there\n"
        )
    lines = log.read_text().splitlines()
    for line in lines:
        assert re.match(r"20\d\d-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d{4} [A-Z]+ \S", line), "its time comes first"
    assert [line for line in lines if "started on port" in line and "local network" in line]
    assert [line for line in lines if line.endswith("stopped")]
    for private in ("Mia", code, cookie.partition("=")[2], "127.0.0.1"):
        assert private not in log.read_text(), lines


def test_a_machine_at_which_nobody_sits_gets_its_host_by_a_link(tmp_path, capsys):
    """The command beside the running server, its link on a phone, roles given from there."""
    data = ["--data", str(tmp_path / "data")]
    with advisor(tmp_path / "data", tmp_path / "log") as server:
        assert cli.main([*data, "invite"]) == 0
        said = capsys.readouterr().out
        code = re.findall(rf"http://127\.0\.0\.1:{server.port}/join/([\w-]{{22}})\n", said)[0]
        assert "It works once, within 30 minutes:" in said
        assert "This is plain HTTP: whoever is on this network can read along, and so become the host" in said
        assert code not in "".join(path.read_text() for path in (tmp_path / "data" / "invites").iterdir())
        answer = join(server, "Ada of the truck", code)
        assert (answer.status, answer.headers["Location"]) == (303, "/host")
        cookie = answer.headers["Set-Cookie"].partition(";")[0]
        page = server.ask("GET", "/host", NAME, cookie)
        assert (page.status, "Ada of the truck" in page.text) == (200, True)
        fields = {"token": token(page), "role": "look"}
        assert server.ask("POST", "/host/role", NAME, cookie, **fields).status == 303
        assert join(server, "Eve", code).status == 422
        for open_links in ("2 links withdrawn.", "No link was open."):
            if open_links[0] == "2":
                assert cli.main(["invite", *data]) == cli.main(["invite", *data]) == 0
            capsys.readouterr()
            assert cli.main([*data, "invite", "--withdraw"]) == 0
            assert capsys.readouterr().out == f"{open_links}\n"
    log = (tmp_path / "log").read_text()
    assert "INFO a link was used: one more phone may give roles" in log
    assert code not in log and "Ada" not in log


def test_over_https_everything_is_as_it_was_and_cookies_are_secure(tmp_path):
    arguments = ("--certificate", str(PAIR[0]), "--key", str(PAIR[1]))
    with advisor(tmp_path / "data", tmp_path / "log", *arguments) as server, ExitStack() as stack:
        assert server.scheme == "https"
        # Somebody who speaks no TLS, and somebody who says nothing, keep nobody waiting.
        for _ in range(3 * SETTINGS["threads"]):
            silent = stack.enter_context(socket.create_connection(("127.0.0.1", server.port)))
        silent.sendall(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
        assert server.ask("GET", "/host").status == 200  # from this machine: the host
        assert server.ask("GET", "/sets", NAME).status == 303
        code = re.findall(r"code (\S+)", server.lines[1])[0]
        answer = join(server, "Mia", code)
        assert answer.status == 303
        assert {"Secure", "HttpOnly"} <= set(answer.headers["Set-Cookie"].split("; "))
    assert "Traceback" not in (tmp_path / "log").read_text()


class TestFront:
    @pytest.fixture
    def served(self) -> Iterator[tuple[int, int]]:
        """An application behind a front that tells who asks, as the ports outside and inside."""

        def app(environ, start_response):
            start_response("200 OK", [("Content-Type", "text/plain")])
            sent = environ["wsgi.input"].read()
            return [f"{environ['REMOTE_ADDR']} {environ['wsgi.url_scheme']} ".encode(), sent]

        outer, inner = listen(("127.0.0.1",), 0), listen(("127.0.0.1",), 0)
        front = TlsFront(outer, certificate(*PAIR), inner[0].getsockname()[1])
        server = create_server(front.before(app), sockets=inner, **SETTINGS)
        front.start()
        thread = threading.Thread(target=server.run)
        thread.start()
        yield outer[0].getsockname()[1], inner[0].getsockname()[1]
        front.stop()
        server.trigger.pull_trigger(lambda: [s.close() for s in list(server._map.values())])
        thread.join(timeout=10)
        server.task_dispatcher.shutdown()
        for each in (*outer, *inner):
            each.close()

    def test_large_bodies_pass_both_ways_and_the_address_is_the_clients(self, served):
        trusted = ssl.create_default_context(cafile=PAIR[0])
        client = http.client.HTTPSConnection(
            "127.0.0.1", served[0], timeout=30, context=trusted, source_address=("127.0.0.2", 0)
        )
        body = bytes(range(256)) * 20_000
        for _ in range(2):  # on one connection
            client.request("POST", "/", body)
            assert client.getresponse().read() == b"127.0.0.2 https " + body
        client.close()

    def test_nobody_asks_past_the_front(self, served):
        client = http.client.HTTPConnection("127.0.0.1", served[1], timeout=30)
        client.request("GET", "/")
        answer = client.getresponse()
        assert answer.status == 400
        assert b"https address" in answer.read()
        client.close()

    def test_it_is_stopped_as_soon_as_it_was_started(self):
        """Its servers are made on a thread of their own: that these are half made is heard as a warning."""
        for _ in range(10):
            sockets = listen(("127.0.0.1",), 0)
            front = TlsFront(sockets, certificate(*PAIR), 1)
            front.start()
            front.stop()
            for each in sockets:
                each.close()

    def test_old_tls_is_not_spoken(self, served):
        assert certificate(*PAIR).minimum_version >= ssl.TLSVersion.TLSv1_2


class TestCertificates:
    @pytest.mark.parametrize(
        ("file", "key", "says"),
        [
            ("certificate.pem", "other-key.pem", "is not the key of the certificate"),
            ("certificate.pem", "locked-key.pem", "is locked with a password"),
            ("certificate.pem", "certificate.pem", "is no certificate with its key"),
            ("key.pem", "key.pem", "is no certificate with its key"),
            ("README", "key.pem", "is no certificate with its key"),
            ("missing.pem", "key.pem", "cannot be read: No such file"),
            ("certificate.pem", "missing.pem", "cannot be read: No such file"),
            ("certificate.pem", ".", "cannot be read: Is a directory"),
        ],
    )
    def test_what_does_not_fit_is_told(self, file, key, says):
        with pytest.raises(Refused, match=says):
            certificate(TLS / file, TLS / key)

    def test_the_command_tells_it_and_starts_nothing(self, tmp_path, capsys):
        arguments = ["--certificate", str(PAIR[0]), "--key", str(TLS / "other-key.pem")]
        assert cli.main(["--port", "0", "--data", str(tmp_path / "data"), *arguments]) == 1
        assert "is not the key of the certificate" in capsys.readouterr().err
        assert not (tmp_path / "data").exists()

    @pytest.mark.parametrize("one", ["--certificate", "--key"])
    def test_one_without_the_other_is_refused(self, capsys, one):
        with pytest.raises(SystemExit) as end:
            cli.main([one, "x.pem"])
        assert end.value.code == 2
        assert "--certificate and --key belong together" in capsys.readouterr().err


class TestTelling:
    CODES = Codes(scanned="s" * 22, typed="7KQ2M4XD")

    def test_several_addresses_are_all_named(self, monkeypatch, capsys):
        monkeypatch.setattr("advisor.web.access.lan.own_addresses", lambda: ["10.0.0.7", "fd00::2"])
        tell_phones(Lan(8080), self.CODES)
        said = capsys.readouterr().out
        assert "Phones on the same network: http://10.0.0.7:8080/  code 7KQ2-M4XD" in said
        assert "Other addresses of this laptop: http://[fd00::2]:8080/" in said
        assert "s" * 22 not in said

    def test_no_address_is_told(self, monkeypatch, capsys):
        monkeypatch.setattr("advisor.web.access.lan.own_addresses", list)
        tell_phones(Lan(8080), self.CODES)
        assert "No address on a network was found: connect to the Wi-Fi" in capsys.readouterr().out

    def test_over_tls_nothing_is_said_of_plain_http(self, monkeypatch, capsys):
        monkeypatch.setattr("advisor.web.access.lan.own_addresses", lambda: ["10.0.0.7"])
        tell_phones(Lan(8443, secure=True), self.CODES)
        said = capsys.readouterr().out
        assert "https://10.0.0.7:8443/" in said
        assert "plain HTTP" not in said

    def test_a_terminal_gets_the_qr(self, monkeypatch, capsys):
        monkeypatch.setattr("advisor.web.access.lan.own_addresses", lambda: ["10.0.0.7"])
        monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
        tell_phones(Lan(8080), self.CODES)
        assert "█" in capsys.readouterr().out


def test_ipv6_may_be_missing():
    sockets = listen(("127.0.0.1", "2001:db8::1"), 0)  # an address for documentation, which nobody has
    try:
        assert [each.getsockname()[0] for each in sockets] == ["127.0.0.1"]
    finally:
        for each in sockets:
            each.close()


def test_one_address_of_the_network_leaves_this_machine_in(monkeypatch, tmp_path, capsys):
    asked = []

    def taken(hosts, port):
        asked.append(hosts)
        raise OSError(98, "Address already in use")

    monkeypatch.setattr("advisor.serve.listen", taken)
    monkeypatch.setattr("advisor.serve.refuse_foreign", lambda *_: None)
    for bind in ("10.0.0.7", "127.0.0.1", "0.0.0.0", "::"):
        assert serve(tmp_path, 0, lan=True, bind=bind) == 1
    everywhere = ("0.0.0.0", "::")
    assert asked == [("10.0.0.7", "127.0.0.1"), ("127.0.0.1",), everywhere, everywhere]
    assert "ADVISOR_BIND" not in capsys.readouterr().err
    assert serve(tmp_path, 0, bind="10.0.0.7") == 1
    assert asked[-1] == ("127.0.0.1",)
    assert "ADVISOR_BIND counts only with --lan: nobody but this machine gets in." in capsys.readouterr().err


@pytest.mark.parametrize(
    ("bind", "says"),
    [
        # For documentation (RFC 5737, RFC 3849): nobody has these.
        ("192.0.2.77", "192.0.2.77 is not an address of this machine now"),
        ("2001:db8::77", "2001:db8::77 is not an address of this machine now"),
        ("eth0", "'eth0' is not an IP address"),
        ("10.0.0.7:8080", "'10.0.0.7:8080' is not an IP address"),
        ("[::1]", "'[::1]' is not an IP address"),
    ],
)
def test_an_address_to_open_that_this_machine_has_not_is_said(monkeypatch, tmp_path, capsys, bind, says):
    monkeypatch.setattr("advisor.serve.own_addresses", lambda: ["10.0.0.9", "fd00::2"])
    monkeypatch.setenv("ADVISOR_BIND", bind)
    assert cli.main(["--lan", "--port", "0", "--data", str(tmp_path / "data")]) == 1
    said = capsys.readouterr().err
    assert said.startswith(f"advisor: ADVISOR_BIND: {says}. Allowed: 10.0.0.9, fd00::2; left out, it is all")
    assert "--port" not in said
    assert not (tmp_path / "data").exists()


def test_one_that_it_has_is_opened_and_a_port_that_is_taken_is_no_wrong_address():
    refuse_foreign("127.0.0.1", [])
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        refuse_foreign("127.0.0.1", [])
