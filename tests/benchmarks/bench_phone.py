"""What a phone on a poor Wi-Fi feels: largest paint, layout shift, interaction; and the bytes of a set page.

Run by hand: ``python tests/benchmarks/bench_phone.py``. The browser is slowed through its own protocol:
CPU six times, 400 kbit/s, 400 ms before every answer. The browser's throttling is not exact, so a
calibration stands beside the figures: a fixed piece of work with and without it. Worst of 10 with the
median, since another program on the machine shows in the worst; of pages that no goal names, of 3. Each is
in a fresh browser context with nothing kept from before; "again" is the page opened a second time.

Each round also opens a bare page, a heading and a line to unfold without style or script, from a server of
its own: "x bare" is the median against its median, which says what our pages add on a machine that is shared.
"Work" is the processor's own time of a page's main thread, not slowed, which no other program lengthens. That
of a touch is what comes of it in a quarter of a second: what a finger waits for, and what follows the paint.
What is touched is touched by its place, which the page itself is asked for with the processor at its own
speed: what the driver would put into the page to find it listens to each touch, and holds up every tap. A
finger lies on the glass for as long as a key is held down. No more is waited than has to be: on a machine of
its own it ends in four minutes. Each page is asked for once before, as a server that has run for a while has
answered it before.
"""

import gzip
import logging
import statistics
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from flask import Flask
from playwright.sync_api import Browser, CDPSession, Page, sync_playwright

from advisor.web.app import create_app
from tests.benchmarks.short import ARGUMENTS as GIVEN
from tests.benchmarks.short import pick
from tests.browser.conftest import PHONE, chromium, serving
from tests.browser.start import ARGUMENTS
from tests.browser.test_access import fill

ROUNDS = pick(10, 1)
FEWER = pick(3, 1)
"""Rounds of a page that no goal names."""
SLOWER = pick(6, 1)
BYTES_A_SECOND = pick(400_000 / 8, 4_000_000)
LATENCY = pick(400, 10)
GOALS = {"LCP": 1200, "CLS": 0.02, "INP": 100}
PATHS = pick(
    ("/", "/?cct=6800&duv=0.004&kind=daylight", "/sets", "/sets/2", "/sources/1", "/sets/1/compare"),
    ("/sets/2",),
)
MOST = ("bare", "/sets/2", "/sources/1")
"""Pages of all rounds: the largest paint of a set, and the heaviest touch, which opens the reading pad."""
SETTLED = 500
"""From when the scripts have run until nothing moves any more: the first poll is answered by then. [ms]"""
HELD = 40
"""For how long a key is held, and a finger lies on the glass. [ms]"""
PAINTED = 250
"""Until a touch is told; where it is not, it is waited for. [ms]"""
BARE = """<!doctype html><html lang="en"><meta name="viewport" content="width=device-width">
<title>Bare</title><h1>A bare page</h1><details><summary>More</summary><p>A line.</p></details></html>"""
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
KEYS = ("5", "Backspace")
PLACE = """(selector) => {
  const part = document.querySelector(selector);
  part.scrollIntoViewIfNeeded();
  const { x, y, width, height } = part.getBoundingClientRect();
  return [x + width / 2, y + height / 2];
}"""
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
    plain = min(page.evaluate(WORK) for _ in range(3))
    slow(page)
    slowed = min(page.evaluate(WORK) for _ in range(3))
    page.close()
    return slowed / plain


def found(page: Page, step: str, slowed: CDPSession | None = None) -> tuple[float, float] | str:
    """Return the middle of what a selector finds, which is looked for at full speed; or the key."""
    if step in KEYS:
        return step
    if slowed:
        slowed.send("Emulation.setCPUThrottlingRate", {"rate": 1})
    x, y = page.evaluate(PLACE, step)
    if slowed:
        slowed.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    return x, y


def touch(page: Page, session: CDPSession, at: tuple[float, float] | str) -> None:
    """Touch a place as a finger does, or press a key."""
    if isinstance(at, str):
        page.keyboard.press(at, delay=HELD)
    else:
        point = {"x": at[0], "y": at[1]}
        session.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [point]})
        page.wait_for_timeout(HELD)
        session.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    page.wait_for_timeout(PAINTED)


def steps(path: str) -> list[str]:
    """Return what a person does first on a page: a selector of what is touched, or which key is pressed."""
    if path.startswith("/?") or path == "/":
        return ["#cct", "5", "[data-sign]"]
    if path.startswith("/sources"):
        # A draft would open the pad at the second visit.
        return ["#new-reading > summary", "5", "Backspace"]
    if "compare" in path:
        return [".beside summary"]
    return {"/sets/2": [".places summary"], "bare": ["summary"]}.get(path, [])


def feel(browser: Browser, base: str, path: str) -> Iterator[tuple[str, dict[str, float]]]:
    """Open a page twice, as a newcomer and again; the bare one is the first of its server."""
    # As over plain HTTP, where browsers have no service worker.
    context = browser.new_context(viewport=PHONE, has_touch=True, base_url=base, service_workers="block")
    page = context.new_page()
    page.add_init_script(WATCH)
    page.goto("about:blank")
    slowed = slow(page)
    for visit in ("first", "again"):
        page.goto("/" if path == "bare" else path, wait_until="domcontentloaded")  # its scripts have run
        page.wait_for_timeout(SETTLED)
        for step in steps(path):
            touch(page, slowed, found(page, step, slowed))
        page.wait_for_timeout(PAINTED)
        for _ in range(4):
            felt = page.evaluate("felt")
            if felt["INP"] or path == "/sets":
                break
            page.wait_for_timeout(PAINTED)
        yield visit, felt
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
    there = sum(len(gzip.compress(p.read_bytes())) for p in Path("static").rglob("*.js"))
    everything = sum(v for k, v in parts.items() if not k.endswith(".svg")) + len(icon)
    print(f"Set of 12: page with its styles {parts[f'{base}/sets/2'] / 1000:.1f} kB (goal 14), ", end="")
    print(f"its scripts {scripts / 1000:.1f} kB (all there are {there / 1000:.1f}), ", end="")
    print(f"all {everything / 1000:.1f} kB (goal 50)")
    page.close()


def busy(session: CDPSession) -> float:
    """Return for how long a page's main thread has had the processor. [ms]"""
    metrics = session.send("Performance.getMetrics")["metrics"]
    return 1000 * next(m["value"] for m in metrics if m["name"] == "TaskDuration")


def work(browser: Browser, base: str, path: str) -> tuple[float, float]:
    """Return what a first visit and the first touch cost the processor. [ms]"""
    context = browser.new_context(viewport=PHONE, has_touch=True, base_url=base, service_workers="block")
    page = context.new_page()
    page.goto("about:blank")
    session = context.new_cdp_session(page)
    session.send("Performance.enable", {"timeDomain": "threadTicks"})
    began = busy(session)
    page.goto("/" if path == "bare" else path, wait_until="load")
    page.wait_for_timeout(300)
    there = busy(session)
    touched = 0.0
    for step in steps(path):
        at = found(page, step)
        before = busy(session)
        touch(page, session, at)
        touched += busy(session) - before
    context.close()
    return there - began, touched


def works(browser: Browser, base: str, bare: str) -> None:
    """Print the work of each page, and its ratio to that of the bare one."""
    rounds = pick(2, 1)
    lines = {}
    for path in ("bare", *PATHS):
        at = bare if path == "bare" else base
        loads, touches = zip(*(work(browser, at, path) for _ in range(rounds)), strict=True)
        lines[path] = min(loads), min(touches)
    for path, (load, first_touch) in lines.items():
        ratio = load / lines["bare"][0]
        print(f"Work: visit {load:5.1f} ms ({ratio:.1f} x bare), touch {first_touch:5.1f} ms  {path}")


def measured(
    browser: Browser, base: str, bare: str, rounds: int
) -> dict[tuple[str, str], dict[str, list[float]]]:
    """Return what was felt, sorted, by page and visit: all pages in each round share its load."""
    felt: dict[tuple[str, str], dict[str, list[float]]] = {}
    for nth in range(rounds):
        for path in ("bare", *PATHS):
            if nth >= FEWER and path not in MOST:
                continue
            for visit, one in feel(browser, bare if path == "bare" else base, path):
                of = felt.setdefault((path, visit), {k: [] for k in GOALS})
                for k in GOALS:
                    of[k].append(one[k])
    return {key: {k: sorted(v) for k, v in of.items()} for key, of in felt.items()}


def against(felt: dict[str, list[float]], bare: dict[str, list[float]]) -> str:
    """Write how many times a bare page's median each median is, where both have one."""
    pairs = [(k, statistics.median(felt[k]), statistics.median(bare[k])) for k in ("LCP", "INP")]
    return ", ".join(f"{k} {ours / its:.1f}" for k, ours, its in pairs if ours and its)


def main() -> None:
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # a page asks for a dozen things at once
    rounds = int(GIVEN[0]) if GIVEN else ROUNDS
    bare = Flask("bare")
    bare.add_url_rule("/", view_func=lambda: BARE)
    with tempfile.TemporaryDirectory() as data, sync_playwright() as playwright:
        app = create_app(Path(data))
        fill(app)
        for path in PATHS:
            assert app.test_client().get(path).status_code == 200
        browser = playwright.chromium.launch(executable_path=chromium(), args=ARGUMENTS)
        with serving(app) as base, serving(bare) as its:
            sizes(browser, base)
            print(
                f"CPU set {SLOWER} x slower, measured {calibrate(browser):.1f} x; 400 kbit/s, {LATENCY} ms."
            )
            works(browser, base, its)
            print(f"Worst of {rounds} (median); goals: {GOALS}")
            felt = measured(browser, base, its, rounds)
            for name in ("first", "again"):
                print(f"{told(felt['bare', name])}  {name:5}  a bare page")
            for path in PATHS:
                for name in ("first", "again"):
                    of = felt[path, name]
                    missed = [k for k, goal in GOALS.items() if of[k][-1] > goal]
                    beside = against(of, felt["bare", name])
                    says = f"  MISSED {', '.join(missed)}" if missed else ""
                    print(f"{told(of)}  x bare: {beside:16}  {name:5}  {path}{says}")
        browser.close()
        app.extensions["database"].close()


if __name__ == "__main__":
    main()
