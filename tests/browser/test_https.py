"""HTTPS of the laptop's own: a phone trusts it, joins, and keeps pages to read, which takes HTTPS."""

import base64
import hashlib
import re
import socket

from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from cryptography.x509 import load_pem_x509_certificate
from playwright.sync_api import BrowserContext, expect

from tests.browser.conftest import PATIENCE, PHONE, chromium
from tests.browser.start import ARGUMENTS
from tests.test_network import advisor

NAME = f"{socket.gethostname().lower().partition('.')[0]}.local"
"""By such a name a page is none of this machine's own: only HTTPS makes its context a secure one."""


def pinned(pem):
    """Name the key of a certificate as a browser is told to trust it."""
    key = load_pem_x509_certificate(pem).public_key()
    info = key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
    return base64.b64encode(hashlib.sha256(info).digest()).decode()


def test_a_phone_that_trusts_the_laptop_keeps_pages_for_when_the_link_is_gone(tmp_path, driver):
    with advisor(tmp_path / "data", tmp_path / "log", "--https") as server:
        code = re.findall(r"code ([0-9A-Z-]{9})", "".join(server.lines))[0]
        told = server.process.stdout.readline()
        plain = re.findall(r":(\d+)/trust$", told)[0]
        pin = pinned((tmp_path / "data" / "https" / "laptop.pem").read_bytes())
        arguments = [
            *ARGUMENTS,
            f"--host-resolver-rules=MAP {NAME} 127.0.0.1",
            f"--ignore-certificate-errors-spki-list={pin}",
        ]
        phone = driver.chromium.launch_persistent_context(
            str(tmp_path / "phone"), executable_path=chromium(), args=arguments, viewport=PHONE
        )
        try:
            phone.set_default_timeout(PATIENCE)
            trusts_joins_and_reads(phone, f"http://{NAME}:{plain}", f"https://{NAME}:{server.port}", code)
        finally:
            phone.close()


def trusts_joins_and_reads(phone: BrowserContext, http: str, https: str, code: str) -> None:
    page = phone.pages[0]
    page.goto(f"{http}/sets")  # any address there leads to the pictures
    expect(page.get_by_role("heading", name="Trust this laptop")).to_be_visible()
    assert page.locator("main").get_by_role("img").count() == 3
    assert not page.evaluate("isSecureContext")
    with page.expect_download() as got:
        page.get_by_role("link", name="Get the certificate").click()
    assert got.value.suggested_filename == "gel-advisor.crt"
    page.goto(f"{https}/join")
    page.get_by_label("Your name").fill("Mia")
    page.get_by_label("Code").fill(code)
    page.get_by_role("button", name="Join").click()
    page.goto(f"{https}/sets")
    assert page.evaluate("isSecureContext")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.reload()
    page.wait_for_function("navigator.serviceWorker.controller")
    page.reload()
    phone.set_offline(True)
    page.goto(f"{https}/sets")
    expect(page.get_by_role("heading", level=1)).to_have_text("No set yet")
