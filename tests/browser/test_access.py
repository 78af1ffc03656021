"""Every page that the application has, held to WCAG 2.2 AA and the contrast of AAA, and to a gloved thumb.

The pages are found from the application's own routes, so that a page of tomorrow is held to this too.
Besides them come states that no route names: answers, errors, undo, a set of twelve, a set of none.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import combinations
from math import hypot
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from flask import Flask
from playwright.sync_api import Browser, BrowserContext, Page, expect

from advisor.model import GelTable, Kind, LightSet, Reading, Source, Stage, Target, Work
from advisor.sample import sample_set
from advisor.web.app import create_app
from tests.browser.conftest import PHONE, serving
from tests.thorough import in_turn
from tests.web.page import plain
from tests.web.test_every_page import pages_at

AXE = Axe().axe_script
TAGS = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "wcag2aaa"]
ALL = {"runOnly": {"type": "tag", "values": TAGS}}
CONTRAST, MOST_CONTRAST = "color-contrast", "color-contrast-enhanced"
BUT_CONTRAST = {**ALL, "rules": {CONTRAST: {"enabled": False}, MOST_CONTRAST: {"enabled": False}}}
"""All rules but those two: `unread` asks these of each way in which text is painted, once."""
LOOKS = {"night": (CONTRAST, MOST_CONTRAST), "day": (CONTRAST, MOST_CONTRAST), "dim": (CONTRAST,)}
"""Both rules, since the enhanced one (7:1) leaves to the other what has less than 4.5:1."""
LAID_OUT = ("target-size", "scrollable-region-focusable", "meta-viewport", "link-in-text-block")
"""The rules whose answer goes by the size of the screen; the others read the page, which is the same."""
COLOURS = """() => [...document.querySelectorAll("body *")].map((e) => {
  const s = getComputedStyle(e); return [s.color, s.backgroundColor, s.borderColor, s.fill, s.display].join();
})"""
STATES = (
    "/?cct=2720&duv=-0.0104&kind=tungsten",
    "/?cct=99&duv=9&lux=x&target_cct=1",
    "/sets/1?added=6&removed=1",
    "/sources/6?gel=CTB+3%2F4&gel=Minus+green+3%2F4&gel=Minus+green+1%2F8&gel=Plus+green+full",
    "/sources/6?gel=Sunset",
    "/gels/edit?name=Minus+green+full",
    "/readings/9/mend",
    "/sets/1/light/asked?f_number=2.8&key_to_fill=4",
    "/sets/2/plans",
    "/sets/2",
    "/sets/2/compare",
    "/sets/2/record",
    "/sources/7",
    "/sources/8",
    "/sets/2/sheet",
    "/sets/3",
    "/sets/3/compare",
    "/sets/3/sheet",
    "/sets/3/tags",
    "/nothing",
)
SPACING = "* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important; } p { margin-bottom: 2em !important; }"  # noqa: E501
RUN = """async (options) => {
  const { violations, passes } = await axe.run(options);
  const told = ({ html, failureSummary }) => ({ html, failureSummary });
  return {
    violations: violations.map(({ id, nodes }) => ({ id, nodes: nodes.map(told) })),
    passes: passes.map(({ id }) => ({ id })),
  };
}"""
"""What axe finds, without what nobody asks for: to write and to read that took a sixth of the time."""
MAIN = "[...document.querySelectorAll('.main')].map((e) => e.offsetHeight)"
BEYOND = "document.documentElement.scrollWidth - innerWidth"
OPEN = "document.querySelectorAll('details').forEach((d) => { d.open = true; })"
MEASURE = (Path(__file__).parent / "measure.js").read_text(encoding="utf-8")
BROKEN = (Path(__file__).parent / "broken.js").read_text(encoding="utf-8")
PAINTED = (Path(__file__).parent / "painted.js").read_text(encoding="utf-8")
NARROW = {"width": 320, "height": 568}
WIDE = {"width": 1280, "height": 800}


Ways = dict[str, set[str]]
"""By look, how text was painted whose contrast was measured."""


@dataclass(frozen=True)
class Served:
    """A server that is only read from, and the paths of its pages."""

    base: str
    paths: tuple[str, ...]


def twelve() -> LightSet:
    """Return an invented set of twelve, some of them alike: the fullest that a phone has to show."""
    readings = [
        (5400, 0.0020, 1200), (5300, -0.0010, 600), (3180, 0.0, 800), (3210, 0.0004, 790),
        (7200, 0.0040, 950), (6100, 0.0050, 500), (4100, 0.0090, 310), (2750, -0.0004, 90),
        (2100, -0.0020, 45), (8800, -0.0060, 30), (5600, 0.0030, 400), (2900, 0.0010, 70),
    ]  # fmt: skip
    kinds = [kind for kind in Kind if kind is not Kind.SODIUM]
    return LightSet(
        name="Stage 4, twelve heads",
        target=Target(cct=5600),
        sources=[
            Source(name=f"Head {i + 1}", kind=kinds[i % 8], reading=Reading(cct=c, duv=d, lux=lux))
            for i, (c, d, lux) in enumerate(readings)
        ],
    )


def fill(app: Flask) -> None:
    """Add the sample, a set of twelve, and a set of none."""
    sets = app.extensions["advisor"].sets
    sets.create_set(sample_set(), sample=True)
    sets.create_set(twelve())
    sets.create_set(LightSet(name="Nothing yet", target=Target(cct=3200, locus="planckian")))
    sets.delete_set(sets.create_set(LightSet(name="Removed", target=Target(cct=5600))))
    first, second, third = (source.id for source in sets.get_set(2).sources[:3])
    sets.strike(sets.readings_of(first)[0].id)
    for work in (Work(stage=Stage.HUNG, gels=["CTO 1/4"]), None):
        source = sets.get_source(second).source
        sets.update_source(second, source.model_copy(update={"work": work}))
    sets.undo(sets.history(2)[-1].id)
    sets.delete_source(third)
    gels = app.extensions["advisor"].gels
    gels.replace(GelTable(rows=gels.in_force().table.rows[1:]), "⅛ CTO removed")


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    app = create_app(tmp_path_factory.mktemp("served"))
    fill(app)
    paths = [path for path, _ in pages_at(app, app.test_client())]
    with serving(app) as base:
        yield Served(base, (*paths, *STATES))
    app.extensions["database"].close()


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    app = create_app(tmp_path_factory.mktemp("empty"))
    paths = [path for path, page in pages_at(app, app.test_client()) if page.status == 200]
    with serving(app) as base:
        yield Served(base, tuple(paths))
    app.extensions["database"].close()


@pytest.fixture(scope="module")
def ways() -> Ways:
    """What was measured on one page is not measured again on the next."""
    return {}


def look(browser: Browser, served: Served, look: str, size: dict[str, int]) -> BrowserContext:
    # The content security policy would refuse the styles that the tests add, as it should.
    context = browser.new_context(base_url=served.base, viewport=size, bypass_csp=True, has_touch=True)
    context.add_cookies([{"name": "look", "value": look, "url": served.base}])
    return context


IN_THE_FLOW = ".places, .places .sheet-up { position: static !important; }"
"""The bar along the thumb and its open lists, laid into the page: what they cover can be scrolled free."""


def walk(browser: Browser, served: Served) -> Iterator[tuple[str, Page]]:
    """Open every page by night on a phone, with everything on it unfolded."""
    context = look(browser, served, "night", PHONE)
    page = context.new_page()
    for path in served.paths:
        page.goto(path)
        page.add_style_tag(content=IN_THE_FLOW)
        page.evaluate(OPEN)
        yield path, page
    context.close()


@contextmanager
def styled(page: Page, style: str) -> Iterator[None]:
    added = page.add_style_tag(content=style)
    yield
    added.evaluate("(style) => style.remove()")


def axe(page: Page, run: dict[str, Any]) -> tuple[list[str], set[str]]:
    """Return what axe finds wrong by the rules that are run, and the rules that something passed."""
    if not page.evaluate("() => 'axe' in window"):
        page.evaluate(AXE)
    return told(page.evaluate(RUN, {"resultTypes": ["violations"], **run}))


def told(answer: dict[str, Any]) -> tuple[list[str], set[str]]:
    wrong = [
        f"{rule['id']}: {node['html'][:120]} {node['failureSummary'][:200]}"
        for rule in answer["violations"]
        for node in rule["nodes"]
    ]
    return wrong, {rule["id"] for rule in answer["passes"]}


def unread(page: Page, shown: str, ways: Ways) -> list[str]:
    """Turn a page to a look; return what has too little contrast of all that was not painted so before.

    `ways` holds, by look, how text was painted that was measured; what the page adds to it is added.
    """
    shown_as(page, shown)
    known = ways.setdefault(shown, set())
    answer = page.evaluate(PAINTED, [list(known), rules(*LOOKS[shown])])
    known.update(answer["ways"])
    return [f"{shown}: {each}" for each in told(answer)[0]]


def rules(*names: str) -> dict[str, Any]:
    return {"runOnly": {"type": "rule", "values": list(names)}}


def missed(page: Page, apart: float = 8) -> list[str]:
    """Return what a gloved thumb would miss."""
    boxes = page.evaluate(MEASURE)
    wrong = [f"small: {b}" for b in boxes if min(b["width"], b["height"]) < 47.95]
    return wrong + [f"{a} near {b}" for a, b in combinations(boxes, 2) if between(a, b) < apart - 0.05]


def low(page: Page) -> list[str]:
    """Return which main actions are too low for a glove in the dark; one that is not shown has no height."""
    return [f"a main action of {high} px" for high in page.evaluate(MAIN) if 0 < high < 72]


def untouched(page: Page) -> list[str]:
    """Return what a gloved thumb would miss, and the words that break inside."""
    return missed(page) + [f"breaks: {word}" for word in page.evaluate(BROKEN)]


def at_200_percent(page: Page) -> list[str]:
    with styled(page, "html { font-size: 200% !important; }"):
        wrong = [f"breaks at 200 %: {word}" for word in page.evaluate(BROKEN)]
        wrong += ["wider than the screen at 200 %"] if page.evaluate(BEYOND) > 0 else []
        return wrong + (["moves"] if page.evaluate("document.getAnimations().length") else [])


def shown_as(page: Page, shown: str) -> None:
    """Turn a page to another look: nothing but an attribute (see the test of that)."""
    page.evaluate("(look) => { document.documentElement.dataset.look = look; }", shown)


def beyond(page: Page, what: str) -> list[str]:
    return [f"{what}: wider than the screen"] if page.evaluate(BEYOND) > 0 else []


def on_a_phone(page: Page, ways: Ways) -> tuple[list[str], set[str]]:
    """All rules by night; in the other looks those of colour, since nothing but colour differs."""
    found, passed = axe(page, BUT_CONTRAST)
    found += beyond(page, "night") + untouched(page) + low(page)
    return found + unread(page, "night", ways), passed


def dim(page: Page, ways: Ways) -> tuple[list[str], set[str]]:
    return unread(page, "dim", ways), set()


def by_day_and_in_forced_colours(page: Page, ways: Ways) -> tuple[list[str], set[str]]:
    found = unread(page, "day", ways)
    page.emulate_media(forced_colors="active")
    found += [f"forced colours: {each}" for each in untouched(page)]
    found += beyond(page, "forced colours")
    page.emulate_media(forced_colors="none")
    return found, set()


def narrow(page: Page, ways: Ways) -> tuple[list[str], set[str]]:
    found, passed = axe(page, rules(*LAID_OUT))
    found += beyond(page, "320 px") + untouched(page)
    with styled(page, SPACING):
        found += [f"text spacing: {each}" for each in missed(page, apart=0)]
        found += beyond(page, "text spacing")
    return found + at_200_percent(page), passed


def on_its_side(page: Page, ways: Ways) -> tuple[list[str], set[str]]:
    return beyond(page, "on its side") + untouched(page), set()


def wide(page: Page, ways: Ways) -> tuple[list[str], set[str]]:
    found, passed = axe(page, rules(*LAID_OUT))
    found += unread(page, "day", ways)
    return found + beyond(page, "wide") + untouched(page) + at_200_percent(page), passed


Ask = Callable[[Page, Ways], tuple[list[str], set[str]]]
Screen = tuple[str, dict[str, int], Ask, set[str]]
"""A look, a size, what is asked there, and rules that something has to pass."""
FIRST: Screen = ("night", PHONE, on_a_phone, {"target-size", "label", "link-name", "html-has-lang"})
OTHERS: tuple[tuple[Screen, ...], ...] = (
    (("dim", PHONE, dim, set()), ("night", NARROW, narrow, {"target-size"})),
    (
        ("day", PHONE, by_day_and_in_forced_colours, set()),
        ("night", {"width": 844, "height": 390}, on_its_side, set()),
    ),
    (("day", WIDE, wide, {"target-size"}),),
)
PARTS = 4


def screens(at: int) -> list[Screen]:
    """Return how page number `at` is shown: first as by night on a phone, then in others, turn by turn.

    Where all is asked for, every page is shown in every one.
    """
    return [FIRST, *(screen for group in in_turn(OTHERS, at) for screen in group)]


@pytest.mark.parametrize("part", range(PARTS))
def test_no_page_violates_a_rule_by_night_by_day_or_on_any_screen(
    browser: Browser, served: Served, ways: Ways, part: int
):
    """Each page is opened once, and its screen turned and made wider: no script goes by that."""
    wrong: list[str] = []
    asked: set[tuple[Ask, str]] = set()
    seen: set[tuple[Ask, str]] = set()
    for at, (path, page) in enumerate(walk(browser, Served(served.base, served.paths[part::PARTS]))):
        for shown, size, ask, passes in screens(at):
            page.set_viewport_size(size)
            shown_as(page, shown)
            found, passed = ask(page, ways)
            asked |= {(ask, rule) for rule in passes}
            seen |= {(ask, rule) for rule in passed}
            wrong += [f"{path}, {size['width']} px: {each}" for each in found]
    assert wrong == []
    assert {ask for ask, _ in asked} == {on_a_phone, narrow, wide}
    assert asked <= seen
    # What the first poll told of a page may be there or not: as many are measured without it.
    assert all(len(ways[shown]) > 15 for shown in LOOKS)


def test_a_text_that_is_painted_as_none_before_is_looked_at(browser: Browser):
    """What the test above relies on, where it looks at one text of many that are painted alike."""
    page = browser.new_page()
    page.set_content(
        "<body style='color: #141414; background: #f4f4f4'><h1>Set</h1><p>Head</p><p>Gel</p><p>Cut</p>"
    )
    page.evaluate(AXE)
    ways: Ways = {}
    assert unread(page, "day", ways) == []
    assert len(ways["day"]) == 2
    page.evaluate("document.querySelector('p').style.color = '#888'")  # 3.2:1, below either rule
    assert len(unread(page, "day", ways)) == 1
    page.evaluate("document.querySelector('p').style.color = '#666'")  # 5.2:1, below that of 7:1
    assert len(unread(page, "day", ways)) == 1
    assert unread(page, "dim", ways) == []
    page.evaluate("document.querySelector('p').style = 'opacity: 0.4'")
    assert len(unread(page, "day", ways)) == 1
    page.evaluate("document.body.style.background = '#555'")
    assert len(unread(page, "day", ways)) >= 3
    page.close()


@pytest.mark.parametrize("shown", ["day", "dim"])
def test_a_look_is_an_attribute_and_nothing_else(browser: Browser, served: Served, shown: str):
    """What the test above relies on: a page that comes in a look is one by night with that attribute."""
    pages = []
    for each in ("night", shown):
        context = look(browser, served, each, PHONE)
        page = context.new_page()
        page.goto("/sources/1")
        expect(page.get_by_role("status")).to_contain_text("Last change")  # the first answer of the server
        shown_as(page, shown)
        pages.append(page.evaluate(COLOURS))
        context.close()
    assert pages[0] == pages[1]
    assert len(pages[0]) > 20


def test_no_page_violates_a_rule_while_nothing_is_there(browser: Browser, empty: Served):
    assert len(empty.paths) >= 6
    wrong = []
    for path, page in walk(browser, empty):
        wrong += [f"{path}: {each}" for each in axe(page, ALL)[0] + beyond(page, "night")]
    assert wrong == []


def test_what_answers_a_form_violates_no_rule(browser: Browser, served: Served, ways: Ways):
    """Nothing is saved here: what is pasted is only read, and the others are refused."""
    context = look(browser, served, "night", NARROW)
    page = context.new_page()
    wrong: list[str] = []

    def check(what: str) -> None:
        found = axe(page, BUT_CONTRAST)[0] + untouched(page) + unread(page, "night", ways)
        wrong.extend(f"{what}: {each}" for each in found)
        assert page.evaluate(BEYOND) <= 0, what

    page.goto("/sets/1/paste")
    page.get_by_label("Text with one or many").fill(
        "name,CCT,Duv\nA,5600,0.001\nBacklight,3200,0\nB,56000,1\n"
    )
    page.get_by_role("button", name="Read it").click()
    page.get_by_role("heading", name="rows understood").wait_for()
    check("pasted")
    page.goto("/sources/1")
    page.get_by_text("New reading").click()
    page.get_by_label("CCT", exact=True).fill("56000")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("alert").first.wait_for()
    check("refused reading")
    page.goto("/readings/9/mend")
    page.get_by_label("CCT", exact=True).fill("99")
    page.get_by_role("button", name="Save").click()
    page.get_by_role("alert").first.wait_for()
    check("refused fix")
    page.goto("/sets/1/edit")
    page.get_by_label("Target CCT").fill("56")
    page.get_by_role("button", name="Save").click()
    page.get_by_role("alert").first.wait_for()
    check("refused set")
    page.goto("/gels/truck")
    page.get_by_label("Swatch book at hand").check()
    page.get_by_label("½ CTO: Shift, now +80").fill("x")
    page.get_by_role("button", name="Save").click()
    page.get_by_role("alert").first.wait_for()
    check("refused gels of the truck")
    assert wrong == []
    context.close()


def between(a: dict[str, Any], b: dict[str, Any]) -> float:
    """Return the room between two targets. [px] Round ones, as on the plane, are as large as their circle."""
    if a["pinned"] != b["pinned"]:
        return 8.0
    across = max(a["x"], b["x"]) - min(a["x"] + a["width"], b["x"] + b["width"])
    along = max(a["y"], b["y"]) - min(a["y"] + a["height"], b["y"] + b["height"])
    if a["round"] and b["round"]:
        centres = [(c["x"] + c["width"] / 2, c["y"] + c["height"] / 2) for c in (a, b)]
        away = hypot(centres[0][0] - centres[1][0], centres[0][1] - centres[1][1])
        return away - a["width"] / 2 - b["width"] / 2
    return max(across, along)


def test_a_keyboard_reaches_everything_and_what_it_reaches_is_seen(browser: Browser, served: Served):
    context = look(browser, served, "night", PHONE)
    page = context.new_page()
    page.goto("/sets/1")
    seen, hidden = [], []
    for _ in range(60):
        page.keyboard.press("Tab")
        at = page.evaluate("""() => {
          const e = document.activeElement, b = e.getBoundingClientRect();
          if (e === document.body) return null;
          const top = document.elementFromPoint(b.x + b.width / 2, b.y + b.height / 2);
          return {
            name: e.getAttribute("aria-label") ?? e.innerText.split("\\n")[0],
            shown: b.top >= 0 && b.bottom <= innerHeight && (e.contains(top) || top.contains(e)),
            marked: getComputedStyle(e).outlineStyle !== "none" || e.closest("svg") !== null,
          };
        }""")
        if at is None or (seen and at["name"] == seen[0]):
            break
        seen.append(at["name"])
        hidden += [] if at["shown"] and at["marked"] else [at]
    assert hidden == []
    order = ["Quick check", "5 600 K daylight", "1 needs you", "Needs you", "To hang", "Done", "Cautions"]
    order += ["Set", "Compare", "Pull", "Light", "More", "Add sources"]
    said = [plain(s).replace("\N{NARROW NO-BREAK SPACE}", " ").split(":")[0] for s in seen]
    places = [said.index(name) for name in order]
    assert places == sorted(places)
    context.close()
