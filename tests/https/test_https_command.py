"""`advisor --lan --https`: a phone gets the certificate over plain HTTP, trusts it, and joins over HTTPS."""

import http.client
import re
import ssl

import pytest

from advisor import cli
from tests.test_network import NAME, advisor


class Phone:
    """Asks a server at 127.0.0.1, over plain HTTP and over HTTPS with what it trusts."""

    def __init__(self, plain, port):
        self.plain, self.port, self.trusted = plain, port, ssl.create_default_context()

    def ask(self, path, method="GET", secure=True, **headers):
        if secure:
            client = http.client.HTTPSConnection("127.0.0.1", self.port, timeout=60, context=self.trusted)
        else:
            client = http.client.HTTPConnection("127.0.0.1", self.plain, timeout=60)
        port = self.port if secure else self.plain
        try:
            client.request(method, path, headers={"Host": f"{NAME}:{port}", **headers})
            answer = client.getresponse()
            return answer.status, answer.headers, answer.read()
        finally:
            client.close()


def test_a_phone_learns_to_trust_the_laptop_and_gets_in(tmp_path):
    with advisor(tmp_path / "data", tmp_path / "log", "--https") as server:
        assert server.scheme == "https"
        told = server.process.stdout.readline()
        [plain] = re.findall(
            r"^Before that, each phone trusts this laptop, once: http://127\.0\.0\.1:(\d+)/trust$", told
        )
        fingerprint = server.process.stdout.readline().split()[-1]
        phone = Phone(int(plain), server.port)
        with pytest.raises(ssl.SSLCertVerificationError):
            phone.ask("/join")

        status, _, page = phone.ask("/trust", secure=False)
        assert status == 200 and fingerprint in page.decode()
        status, headers, certificate = phone.ask("/trust/gel-advisor.crt", secure=False)
        assert (status, headers["Content-Type"]) == (200, "application/x-x509-ca-cert")
        phone.trusted.load_verify_locations(cadata=certificate)

        status, headers, page = phone.ask("/join")
        assert status == 200 and b"Trust it first" in page

        # Over plain HTTP there is nothing else, for nobody.
        for method, path in (
            ("GET", "/"),
            ("GET", "/sets"),
            ("POST", "/trust"),
            ("GET", "/api/v1/openapi.json"),
        ):
            status, headers, body = phone.ask(path, method, secure=False)
            assert (status, headers["Location"], body) == (303, "/trust", b""), path
        cookie = {"Cookie": "advisor_phone=x; look=day"}
        assert "Set-Cookie" not in phone.ask("/trust", secure=False, **cookie)[1]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--https"], "--https belongs to --lan"),
        (["--lan", "--https", "--certificate", "a", "--key", "b"], "makes a certificate of its own"),
    ],
)
def test_what_does_not_go_together_is_told(capsys, words, says):
    with pytest.raises(SystemExit) as end:
        cli.main(words)
    assert end.value.code == 2 and says in capsys.readouterr().err


def test_without_a_certificate_of_its_own_there_is_no_such_page(client):
    assert client.get("/trust").status_code == 404
    assert client.get("/trust/gel-advisor.crt").status_code == 404
