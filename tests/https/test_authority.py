"""The laptop's own certificate: what it may vouch for, what it is shown for, and when it is made anew.

What holds is said by OpenSSL, which checks the chain and the limits of names (RFC 5280) at a handshake.
"""

import os
import socket
import ssl
import sys
import threading
from datetime import UTC, datetime, timedelta

import pytest

from advisor.https import authority as own
from advisor.https.authority import LaptopCertificate, authority_in
from advisor.https.renewing import Renewing
from advisor.listening import certificate
from advisor.model import Refused

NAMES = ["127.0.0.1", "192.168.7.1", "[fd00::2]", "localhost", "grip", "grip.local"]


@pytest.fixture
def kept(tmp_path):
    return authority_in(tmp_path, "grip")


def shake_hands(context, trusted, name):
    """Return the serial number that a client sees which asks for `name`; raises what OpenSSL refuses."""
    client = ssl.create_default_context(cadata=trusted.der)
    ours, theirs = socket.socketpair()
    failed = []

    def serve():
        try:
            with context.wrap_socket(theirs, server_side=True) as taken:
                taken.recv(1)
        except OSError as error:
            failed.append(error)
            theirs.close()

    thread = threading.Thread(target=serve)
    thread.start()
    try:
        with client.wrap_socket(ours, server_hostname=name) as seen:
            said = seen.getpeercert()
            seen.send(b"x")
    finally:
        ours.close()
        thread.join()
    return said["serialNumber"]


@pytest.mark.parametrize("name", ["127.0.0.1", "192.168.7.1", "fd00::2", "localhost", "grip.local"])
def test_whoever_trusts_the_laptop_trusts_it_under_all_its_names(kept, tmp_path, name):
    shown = LaptopCertificate(tmp_path, kept, NAMES)
    assert shake_hands(shown.context, kept, name)


def test_another_name_is_refused(kept, tmp_path):
    shown = LaptopCertificate(tmp_path, kept, NAMES)
    with pytest.raises(ssl.SSLCertVerificationError, match=r"192\.168\.7\.9"):
        shake_hands(shown.context, kept, "192.168.7.9")


@pytest.mark.parametrize("name", ["example.com", "8.8.8.8", "notlocal", "2001:4860:4860::8888"])
def test_for_a_site_of_the_internet_it_can_vouch_for_nothing(kept, tmp_path, name):
    assert kept.covered([name]) == []
    made = kept.issue([name], datetime.now(UTC))  # as somebody would who stole its key
    own._keep(tmp_path, "stolen", *made)
    context = certificate(tmp_path / "stolen.pem", tmp_path / "stolen.key")
    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree violation"):
        shake_hands(context, kept, name)


def test_it_is_kept_and_for_this_user_alone(kept, tmp_path):
    shown = LaptopCertificate(tmp_path, kept, NAMES)
    again = authority_in(tmp_path, "grip")
    assert again.fingerprint == kept.fingerprint
    same = LaptopCertificate(tmp_path, again, reversed(NAMES))
    assert shake_hands(shown.context, kept, "grip.local") == shake_hands(same.context, kept, "grip.local")
    if sys.platform != "win32":
        modes = {file.name: oct(file.stat().st_mode & 0o777) for file in (tmp_path / "https").iterdir()}
        assert modes == dict.fromkeys(("authority.key", "authority.pem", "laptop.key", "laptop.pem"), "0o600")


def test_a_change_of_address_renews_it_for_the_next_connection(kept, tmp_path):
    names = ["127.0.0.1", "192.168.7.1"]
    shown = LaptopCertificate(tmp_path, kept, names)
    look = Renewing(shown, lambda: names).look
    before = shake_hands(shown.context, kept, "192.168.7.1")
    look()
    assert shake_hands(shown.context, kept, "192.168.7.1") == before
    names[1] = "10.0.0.7"
    look()
    assert shake_hands(shown.context, kept, "10.0.0.7") != before
    with pytest.raises(ssl.SSLCertVerificationError):
        shake_hands(shown.context, kept, "192.168.7.1")


def test_it_is_renewed_before_it_ends_and_the_authority_too(kept, tmp_path):
    now = datetime.now(UTC)
    shown = LaptopCertificate(tmp_path, kept, NAMES)
    assert not shown.renew(NAMES, now + timedelta(days=360))
    assert shown.renew(NAMES, now + timedelta(days=367))
    assert authority_in(tmp_path, "grip", now + timedelta(days=3600)).fingerprint == kept.fingerprint
    assert authority_in(tmp_path, "grip", now + timedelta(days=3640)).fingerprint != kept.fingerprint


def test_no_certificate_holds_longer_than_a_phone_takes(kept, tmp_path):
    made, _ = kept.issue(["127.0.0.1"], datetime.now(UTC))
    assert made.not_valid_after_utc - made.not_valid_before_utc <= timedelta(days=398)
    assert made.not_valid_before_utc < datetime.now(UTC) - timedelta(hours=23), (
        "a phone's clock may be behind"
    )


def test_one_of_another_authority_is_made_anew(kept, tmp_path):
    LaptopCertificate(tmp_path, kept, NAMES)
    for file in (tmp_path / "https").glob("authority.*"):
        file.unlink()
    other = authority_in(tmp_path, "grip", datetime.now(UTC) + timedelta(days=1))
    shown = LaptopCertificate(tmp_path, other, NAMES)
    assert shake_hands(shown.context, other, "grip.local")


@pytest.mark.parametrize("text", ["", "-----BEGIN CERTIFICATE-----\nMIIB\n-----END CERTIFICATE-----\n"])
def test_a_damaged_one_is_told_with_what_to_do(kept, tmp_path, text):
    (tmp_path / "https" / "authority.pem").write_text(text)
    with pytest.raises(Refused, match="cannot be used") as no:
        authority_in(tmp_path, "grip")
    assert "each phone trusts the laptop anew" in no.value.problems[0].allowed


def test_a_disk_that_takes_nothing_leaves_the_old_one_and_is_logged(kept, tmp_path, monkeypatch, caplog):
    shown = LaptopCertificate(tmp_path, kept, ["127.0.0.1"])

    def full(*_):
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr(own, "_write", full)
    Renewing(shown, lambda: ["127.0.0.1", "10.0.0.7"]).look()
    assert "cannot be made anew" in caplog.text
    assert shake_hands(shown.context, kept, "127.0.0.1")
