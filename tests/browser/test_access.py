"""Every page that the application has, held to WCAG 2.2 AA and the contrast of AAA, and to a gloved thumb.

The pages are found from the application's own routes, so that a page of tomorrow is held to this too.
Besides them come states that no route names: answers, errors, undo, a set of twelve, a set of none.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import combinations
from math import hypot
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from flask import Flask
from playwright.sync_api import Browser, BrowserContext, Page

from advisor.model import GelTable, Kind, LightSet, Reading, Source, Stage, Target, Work
from advisor.sample import sample_set
from advisor.web.app import create_app
from tests.browser.conftest import PHONE, serving
from tests.web.page import plain
from tests.web.test_every_page import pages_at

TAGS = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "wcag2aaa"]
STATES = (
    "/?cct=2720&duv=-0.0104&kind=tungsten",
    "/?cct=99&duv=9&lux=x&target_cct=1",
    "/sets/1?added=6&removed=1",
    "/sources/6?gel=CTB+3%2F4&gel=Minus+green+3%2F4&gel=Minus+green+1%2F8&gel=Plus+green+full",
    "/sources/6?gel=Sunset",
    "/gels/edit?name=Minus+green+full",
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
BEYOND = "document.documentElement.scrollWidth - innerWidth"
OPEN = "document.querySelectorAll('details').forEach((d) => { d.open = true; })"
MEASURE = (Path(__file__).parent / "measure.js").read_text(encoding="utf-8")
BROKEN = (Path(__file__).parent / "broken.js").read_text(encoding="utf-8")
NARROW = {"width": 320, "height": 568}
WIDE = {"width": 1280, "height": 800}


@dataclass(frozen=True)
class Variant:
    """A way to look at a page."""

    look: str = "night"
    size: dict[str, int] = field(default_factory=lambda: PHONE)
    style: str = ""
    browser: dict[str, Any] = field(default_factory=dict)
    without: str = "none"
    """A rule of axe that it is not held to."""


VARIANTS = {
    "night": Variant(),
    "day": Variant("day"),
    # For eyes used to the dark: 4.5:1 (AA) in place of 7:1.
    "dim": Variant("dim", without="color-contrast-enhanced"),
    "on its side": Variant(size={"width": 844, "height": 390}),
    "forced colours": Variant(browser={"forced_colors": "active"}),
    "320 px": Variant(size=NARROW),
    "320 px, text spacing": Variant(size=NARROW, style=SPACING),
    "wide, day": Variant("day", size=WIDE),
}


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


def look(browser: Browser, served: Served, variant: Variant) -> BrowserContext:
    # The content security policy would refuse the styles that a variant adds, as it should.
    context = browser.new_context(
        base_url=served.base, viewport=variant.size, bypass_csp=True, has_touch=True, **variant.browser
    )
    context.add_cookies([{"name": "look", "value": variant.look, "url": served.base}])
    return context


IN_THE_FLOW = ".places, .places .sheet-up { position: static !important; }"
"""The bar along the thumb and its open lists, laid into the page: what they cover can be scrolled free."""


def walk(browser: Browser, served: Served, variant: Variant) -> Iterator[tuple[str, Page]]:
    """Open every page with everything on it unfolded."""
    context = look(browser, served, variant)
    page = context.new_page()
    for path in served.paths:
        page.goto(path)
        if variant.style:
            page.add_style_tag(content=variant.style)
        page.add_style_tag(content=IN_THE_FLOW)
        page.evaluate(OPEN)
        yield path, page
    context.close()


def violations(browser: Browser, served: Served, variant: Variant) -> tuple[list[str], set[str]]:
    """Return what axe finds wrong, and what is wider than the screen; and the rules that something passed."""
    wrong, passed = [], set()
    options = {"runOnly": {"type": "tag", "values": TAGS}, "resultTypes": ["violations"]}
    for path, page in walk(browser, served, variant):
        answer = Axe().run(page, options=options).response
        if page.evaluate(BEYOND) > 0:
            wrong.append(f"{path} is wider than the screen")
        passed |= {rule["id"] for rule in answer["passes"]}
        wrong += [
            f"{path}: {rule['id']}: {node['html'][:120]} {node['failureSummary'][:200]}"
            for rule in answer["violations"]
            for node in rule["nodes"]
            if rule["id"] != variant.without
        ]
    return wrong, passed


@pytest.mark.parametrize("name", VARIANTS)
def test_no_page_violates_a_rule(browser: Browser, served: Served, name: str):
    wrong, passed = violations(browser, served, VARIANTS[name])
    assert wrong == []
    assert {"target-size", "label", "link-name", "html-has-lang"} <= passed
    assert name in ("forced colours", "dim") or "color-contrast-enhanced" in passed


def test_no_page_violates_a_rule_while_nothing_is_there(browser: Browser, empty: Served):
    assert len(empty.paths) >= 6
    assert violations(browser, empty, VARIANTS["night"])[0] == []


def test_what_answers_a_form_violates_no_rule(browser: Browser, served: Served):
    """Nothing is saved here: what is pasted is only read, and the others are refused."""
    context = look(browser, served, Variant(size=NARROW))
    page = context.new_page()
    wrong = []

    def check(what: str) -> None:
        options = {"runOnly": {"type": "tag", "values": TAGS}, "resultTypes": ["violations"]}
        answer = Axe().run(page, options=options).response
        wrong.extend(
            (what, rule["id"], node["html"]) for rule in answer["violations"] for node in rule["nodes"]
        )
        boxes = page.evaluate(MEASURE)
        wrong.extend((what, "small", b) for b in boxes if min(b["width"], b["height"]) < 47.95)
        wrong.extend((what, a, b) for a, b in combinations(boxes, 2) if between(a, b) < 7.95)
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


@pytest.mark.parametrize("size", [PHONE, NARROW, WIDE], ids=lambda size: str(size["width"]))
def test_what_is_touched_is_48_px_with_8_px_between_and_no_word_breaks(
    browser: Browser, served: Served, size: dict[str, int]
):
    wrong, count = [], 0
    for path, page in walk(browser, served, Variant(size=size)):
        assert page.evaluate(BROKEN) == [], path
        boxes = page.evaluate(MEASURE)
        count += len(boxes)
        wrong += [f"{path}: small: {b}" for b in boxes if min(b["width"], b["height"]) < 47.95]
        wrong += [f"{path}: {a} near {b}" for a, b in combinations(boxes, 2) if between(a, b) < 7.95]
    assert wrong == []
    assert count > 300


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


@pytest.mark.parametrize("size", [NARROW, WIDE], ids=["320", "1280"])
def test_text_of_200_percent_loses_nothing_and_nothing_moves(
    browser: Browser, served: Served, size: dict[str, int]
):
    for path, page in walk(browser, served, Variant(size=size, style="html { font-size: 200%; }")):
        assert page.evaluate(BEYOND) <= 0, path
        assert page.evaluate(BROKEN) == [], path
        assert page.evaluate("document.getAnimations().length") == 0, path


def test_a_keyboard_reaches_everything_and_what_it_reaches_is_seen(browser: Browser, served: Served):
    context = look(browser, served, Variant())
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
