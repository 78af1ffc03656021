"""Start a browser once, and say in the driver's and the browser's own words why it does not.

    python tests/browser/start.py [PATH OF A CHROMIUM]

Without a path it is Playwright's own. The exit status is 0 where it starts.
"""

import subprocess
import sys

from playwright._impl._driver import compute_driver_executable
from playwright.sync_api import Error, sync_playwright

ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-quic"]
PHONE = {"width": 390, "height": 844}
PATIENCE = 60_000
"""How long a test waits for what has to come: it measures no machine, however busy that is. [ms]"""


def why_not(path: str | None) -> str:
    """Return why the browser at `path` does not start; nothing where it does."""
    try:
        # Playwright only says that the link to its driver was closed, not what the driver said.
        driver = subprocess.run([*compute_driver_executable(), "--version"], capture_output=True, text=True)
    except OSError as error:
        return f"Playwright's driver does not start: {error}"
    if driver.returncode:
        return f"Playwright's driver does not start:\n{driver.stdout}{driver.stderr}".strip()
    with sync_playwright() as playwright:
        try:
            playwright.chromium.launch(executable_path=path, args=ARGUMENTS).close()
        except Error as error:
            words = error.message.partition("Call log:")[0]
            return f"The browser does not start:\n{words}".strip()
    return ""


if __name__ == "__main__":
    said = why_not((sys.argv[1:] or [""])[0] or None)
    print(said, end="\n" if said else "")
    raise SystemExit(1 if said else 0)
