"""What a phone on a poor Wi-Fi feels: largest paint, layout shift, interaction; and the bytes of a set page.

Run by hand: ``python tests/benchmarks/bench_phone.py``. The browser is slowed through its own protocol:
CPU six times, 400 kbit/s, 400 ms before every answer. The browser's throttling is not exact, so a
calibration stands beside the figures: a fixed piece of work with and without it. Worst of 10 with the
median, since another program on the machine shows in the worst; each in a fresh browser
context with nothing kept from before; "again" is the page opened a second time.
"""

import gzip
import statistics
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from playwright.sync_api import Browser, CDPSession, Page, sync_playwright

from advisor.web.app import create_app
from tests.benchmarks.short import ARGUMENTS as GIVEN
from tests.benchmarks.short import pick
from tests.browser.conftest import PHONE, chromium, serving
from tests.browser.start import ARGUMENTS
from tests.browser.test_access import fill

ROUNDS = pick(10, 1)
SLOWER = 6
BYTES_A_SECOND = 400_000 / 8
LATENCY = 400
GOALS = {"LCP": 1200, "CLS": 0.02, "INP": 100}
PATHS = pick(
    ("/", "/?cct=6800&duv=0.004&kind=daylight", "/sets", "/sets/2", "/sources/1", "/sets/1/compare"),
    ("/sets/2",),
)
WATCH = """
window.felt = { LCP: 0, CLS: 0, INP: 0 };
const watch = (type, see, more = {}) => {
  const observer = new PerformanceObserver((list) => list.getEntries().forEach(see));
  observer.observe({ type, buffered: true, ...more });
};
watch("largest-contentful-paint", (e) => { felt.LCP = e.startTime; });
watch("layout-shift", (e) => { if (!e.hadRecentInput) felt.CLS += e.value; });
const felt_for = (e) => { if (e.interactionId) felt.INP = Math.max(felt.INP, e.duration); };
watch("event", felt_for, { durationThreshold: 16 });
"""
WORK = """() => {
  const began = performance.now();
  let x = 0;
  for (let i = 0; i < 3e7; i++) x = (x * 31 + i) | 0;
  return performance.now() - began;
}"""


def slow(page: Page) -> CDPSession:
    """Slow a page's processor and network down."""
    session = page.context.new_cdp_session(page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    session.send("Network.enable")
    rate = {"downloadThroughput": BYTES_A_SECOND, "uploadThroughput": BYTES_A_SECOND}
    session.send("Network.emulateNetworkConditions", {"offline": False, "latency": LATENCY, **rate})
    return session


def calibrate(browser: Browser) -> float:
    """Return how much slower a piece of work is under the throttling."""
    page = browser.new_page()
    plain = min(page.evaluate(WORK) for _ in range(5))
    slow(page)
    slowed = min(page.evaluate(WORK) for _ in range(5))
    page.close()
    return slowed / plain


def touch(page: Page, path: str) -> None:
    """Do what a person does first on a page."""
    if path.startswith("/?") or path == "/":
        page.get_by_label("CCT", exact=True).press_sequentially("5", delay=40)
        page.get_by_role("button", name="Change the sign of Duv").tap()
    elif path.startswith("/sources"):
        page.get_by_text("New reading").tap()
        page.keyboard.type("5", delay=40)
        page.keyboard.press("Backspace")  # a draft would open the pad at the second visit
    elif "compare" in path:
        page.locator(".beside summary").first.tap()
    elif path == "/sets/2":
        page.get_by_text("More", exact=True).tap()
    page.wait_for_timeout(900)


def feel(browser: Browser, base: str, path: str) -> Iterator[tuple[str, dict[str, float]]]:
    """Open a page twice, as a newcomer and again."""
    # As over plain HTTP, where browsers have no service worker.
    context = browser.new_context(viewport=PHONE, has_touch=True, base_url=base, service_workers="block")
    page = context.new_page()
    page.add_init_script(WATCH)
    page.goto("about:blank")
    slow(page)
    for visit in ("first", "again"):
        page.goto(path, wait_until="load")
        page.wait_for_timeout(500)
        touch(page, path)
        yield visit, page.evaluate("felt")
    context.close()


def told(felt: dict[str, list[float]]) -> str:
    """Write sorted figures: the worst, and the median in brackets."""
    worst = {k: v[-1] for k, v in felt.items()}
    usual = {k: statistics.median(v) for k, v in felt.items()}
    return (
        f"LCP {worst['LCP']:5.0f} ({usual['LCP']:4.0f}) ms  CLS {worst['CLS']:.3f}  "
        f"INP {worst['INP']:4.0f} ({usual['INP']:3.0f}) ms"
    )


def sizes(browser: Browser, base: str) -> None:
    """Print what a page of twelve sources weighs on a first visit, as it is sent."""
    page = browser.new_page(base_url=base)
    parts: dict[str, int] = {}
    page.on("requestfinished", lambda r: parts.update({r.url: r.sizes()["responseBodySize"]}))
    page.goto("/sets/2", wait_until="networkidle")
    icon = page.request.get(page.locator("link[rel=icon]").get_attribute("href") or "").body()
    scripts = sum(v for k, v in parts.items() if k.endswith(".js"))
    there = sum(len(gzip.compress(p.read_bytes())) for p in Path("static").glob("*.js"))
    everything = sum(v for k, v in parts.items() if not k.endswith(".svg")) + len(icon)
    print(f"Set of 12: page with its styles {parts[f'{base}/sets/2'] / 1000:.1f} kB (goal 14), ", end="")
    print(f"its scripts {scripts / 1000:.1f} kB (all there are {there / 1000:.1f}), ", end="")
    print(f"all {everything / 1000:.1f} kB (goal 50)")
    page.close()


def main() -> None:
    rounds = int(GIVEN[0]) if GIVEN else ROUNDS
    with tempfile.TemporaryDirectory() as data, sync_playwright() as playwright:
        app = create_app(Path(data))
        fill(app)
        browser = playwright.chromium.launch(executable_path=chromium(), args=ARGUMENTS)
        with serving(app) as base:
            sizes(browser, base)
            print(
                f"CPU set {SLOWER} x slower, measured {calibrate(browser):.1f} x; 400 kbit/s, {LATENCY} ms."
            )
            print(f"Worst of {rounds} (median); goals: {GOALS}")
            for path in PATHS:
                visits = [visit for _ in range(rounds) for visit in feel(browser, base, path)]
                for name in ("first", "again"):
                    felt = {k: sorted(f[k] for visit, f in visits if visit == name) for k in GOALS}
                    missed = [k for k, goal in GOALS.items() if felt[k][-1] > goal]
                    print(
                        f"{told(felt)}  {name:5}  {path}  {'MISSED ' + ', '.join(missed) if missed else ''}"
                    )
        browser.close()
        app.extensions["database"].close()


if __name__ == "__main__":
    main()
