"""The `advisor` command itself: what was saved outlives a restart, and a kill."""

import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, expect

from tests.browser.conftest import PHONE

ROOT = Path(__file__).parents[2]


@contextmanager
def advisor(data: Path, end: signal.Signals) -> Iterator[str]:
    """Start the command on a free port, return its address, and end it with a signal."""
    command = [sys.executable, "-m", "advisor", "--port", "0", "--data", str(data)]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as process:
        try:
            found = re.search(r"http://127\.0\.0\.1:\d+/", process.stdout.readline())
            assert found, "the command prints where it is"
            yield found[0]
            process.send_signal(end)
            process.wait(timeout=120)
        finally:
            process.kill()
    if end is signal.SIGTERM:
        assert process.returncode == 0


def test_a_set_is_there_after_a_restart_and_a_kill(browser: Browser, tmp_path: Path):
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    with advisor(tmp_path / "new" / "folder", signal.SIGKILL) as base:
        page.goto(f"{base}sets/new")
        page.get_by_label("Name").fill("Stage 4")
        page.get_by_role("button", name="Save", exact=True).click()
        page.get_by_label("Add sources").click()
        page.get_by_role("link", name="Add a source").click()
        page.get_by_label("Name").fill("Window")
        page.get_by_label("CCT", exact=True).fill("6800")
        page.get_by_label("Duv", exact=True).fill("0,004")
        page.get_by_role("button", name="Save", exact=True).click()
        expect(page.get_by_role("list", name="Sources").get_by_role("link", name="Window")).to_contain_text(
            "¼ CTO"
        )
    with advisor(tmp_path / "new" / "folder", signal.SIGTERM) as base:
        page.goto(f"{base}sets")
        page.get_by_role("link", name="Stage 4").click()
        expect(page.get_by_role("list", name="Sources").get_by_role("link", name="Window")).to_contain_text(
            "¼ CTO"
        )
    with advisor(tmp_path / "new" / "folder", signal.SIGTERM) as base:
        page.goto(f"{base}sources/1")
        expect(page.get_by_text("Reads 6 800 K, Duv +0.0040")).to_be_visible()
    context.close()
