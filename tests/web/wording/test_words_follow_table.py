"""Fractions are said of the gels at hand: every page that says one, with trucks of other sizes."""

import re

import pytest

from advisor.model import Gel, GelTable, LightSet, Reading, Source, Target, WantedOffset
from advisor.web.pages.sets import whites as page_of_whites
from tests.advice.rows import stronger

WINDOW = Reading(cct=7216.5, duv=0.0033)
"""10⁶/5600 − 10⁶/7216.5 = 40 MK⁻¹: a quarter of the lighter series of CTO; of the stronger one, with 25 and
65, three eighths of the way from an eighth to a quarter. Series: common practice, from memory."""
QUICK = "/?cct=7216.5&duv=0.0033&kind=daylight"
LIGHTER_SAYS = "¼ CTO cool"
STRONGER_SAYS = "ver ⅛ CTO cool"


@pytest.fixture
def truck(stores):
    """Put other gels on the truck."""
    return lambda rows: stores.gels.replace(GelTable(rows=rows), "other gels")


@pytest.fixture
def bay(stores):
    """Keep a set of a window and of one on the target, which are sources 1 and 2; return its id."""
    windows = [
        Source(name="Bay", kind="daylight", reading=WINDOW),
        Source(name="Door", kind="daylight", reading=Reading(cct=5600, duv=0.0033)),
    ]
    return stores.sets.create_set(LightSet(name="House", target=Target(cct=5600), sources=windows))


def choices(page, source, name):
    """Return the values and words that Compare offers for a source."""
    form = page.html.split(f'action="/sources/{source}/aim"')[1].split("</form>")[0]
    select = form.split(f'name="{name}">')[1].split("</select>")[0]
    return {words: float(value) for value, words in re.findall(r'value="([^"]*)"[^>]*>([^<]*)<', select)}


class TestStronger:
    """A truck whose half CTO is about 110."""

    @pytest.mark.parametrize("path", [QUICK, "/sets/1?view=plane", "/sources/1"])
    def test_what_a_source_needs(self, bay, truck, get, path):
        assert LIGHTER_SAYS in get(path).text
        truck(stronger())
        page = get(path).text
        assert STRONGER_SAYS in page and LIGHTER_SAYS not in page

    def test_what_is_hung_is_what_is_said(self, bay, truck, stores, get):
        """Who needs a quarter by the words gets a quarter: 65 MK⁻¹, from 10⁶/(10⁶/5600 − 65) K."""
        truck(stronger())
        page = get("/?cct=8806&duv=0.0033&kind=daylight").text
        assert "¼ CTO cool" in page and "Hang ¼ CTO" in page.replace("\N{NO-BREAK SPACE}", " ")

    def test_compare_says_and_offers_it(self, bay, truck, get):
        """The bay is cooler than the door, which is said in CTB; that has one series."""
        words = "¼ CTB cool"  # (40 − 35)/(70 − 35) of the way from ¼ to ½
        before = get("/sets/1/compare?reference=2&light=now")
        assert words in before.text and choices(before, 1, "mired")["half a CTO warmer"] == 80
        truck(stronger())
        page = get("/sets/1/compare?reference=2&light=now")
        assert words in page.text
        offered = choices(page, 1, "mired")
        assert offered["half a CTO warmer"] == 110 and offered["a full CTO warmer"] == 160
        assert offered["half a CTB cooler"] == -70
        assert "⅛ CTO warm" in get("/sets/1/compare?reference=1&light=now").text

    def test_what_is_wanted_on_purpose(self, bay, truck, change, get):
        truck(stronger())
        change(2, aim=WantedOffset(mired=110.0))
        for path in ("/sources/2", "/sets/1/sheet", "/sets/1/compare?reference=1"):
            assert "Kept ½ CTO warm" in get(path).text, path
        page = get("/sets/1/compare?reference=1")
        assert re.search(r'value="110" selected>half a CTO warmer', page.html)

    def test_what_was_wanted_by_another_table_stays(self, bay, truck, change, get, post, stores):
        """Half a CTO of 80, and an eighth of green of 3.5 CC; now they are fractions of nothing."""
        change(2, aim=WantedOffset(mired=80.0, duv=0.0035))
        truck(with_green(5.0))
        page = get("/sets/1/compare?reference=1")
        assert "Kept over ¼ CTO warm" in page.text  # (80 − 65)/(110 − 65) of the way
        form = page.html.split('action="/sources/2/aim"')[1].split("</form>")[0]
        selected = dict(re.findall(r'value="([^"]*)" selected>([^<]*)<', form))
        assert set(selected) == {"80", "0.0035"}
        assert selected["80"].startswith("+80") and selected["0.0035"] == "Duv +0.0035"
        revision = re.search(r'name="revision" value="(\d+)"', form)[1]
        post("/sources/2/aim", {"wanted": "shift", "mired": "80", "duv": "0.0035", "revision": revision})
        assert stores.sets.get_source(2).source.aim == WantedOffset(mired=80.0, duv=0.0035)

    def test_a_tolerance_of_an_eighth(self, bay, truck, get, post):
        # 25 MK⁻¹ where 20 are 9.0 steps (tests/advice/wording/test_tolerance.py): 11.2
        truck(stronger())
        post("/sets/1/edit", get("/sets/1/edit").fields | {"tolerance_steps": "1/8 CTO"})
        assert get("/sets/1/edit").fields["tolerance_steps"] == "11.2"
        post("/sources/1/edit", get("/sources/1/edit").fields | {"tolerance_steps": "1/8 CTB"})
        assert get("/sources/1/edit").fields["tolerance_steps"] == "8.1"  # 18 MK⁻¹, 9.0 × 18/20

    def test_the_planes_marks_stand_where_the_gels_lead(self, bay, truck, get):
        """Left of the target is what CTO brings in, right of it what CTB does."""
        # The bay, 40 MK⁻¹ off, stands at the left end, 149 px from the middle at 179; distance goes by its
        # square root: √(20/40) of that for an eighth CTO, √(18/40) for an eighth CTB, then √(25/40).
        assert marks(get("/sets/1?view=plane"), "⅛") == pytest.approx([179 - 105.4, 179 + 100.0], abs=0.3)
        truck(stronger())
        page = get("/sets/1?view=plane")
        assert marks(page, "⅛") == pytest.approx([179 - 117.8, 179 + 100.0], abs=0.3)
        assert "CTO left of the target, CTB right" in page.text

    def test_which_white(self, bay, truck, get, change, monkeypatch):
        """From an eighth of green on, everything goes green: here both sources are, by 4.5 CC."""
        monkeypatch.setattr(page_of_whites, "PATIENCE", 60)
        for number in (1, 2):
            change(number, reading=Reading(cct=5600, duv=0.0078))
        assert "camera taking out 4 CC of green" in get("/sets/1/whites?tints=yes").heading
        assert "Everything goes green and the camera takes it out." in get("/sets/1/whites?tints=yes").text
        truck(with_green(5.0))
        page = get("/sets/1/whites?tints=yes")
        assert "camera taking out 4 CC of green" in page.heading
        assert (
            "Everything goes green" not in page.text and "Check that the camera can take out 4" in page.text
        )

    def test_the_hint_says_what_an_eighth_of_green_is(self, bay, truck, get):
        assert "3.5 is an eighth" in get("/sets/1/edit").text
        truck(with_green(5.0))
        assert "5.0 is an eighth" in get("/sets/1/edit").text and "5.0 is an eighth" in get("/sets/new").text


def with_green(eighth):
    """Return the stronger truck's gels, but of plus green only an eighth, so strong. [CC]"""
    others = [row for row in stronger() if row.family != "Plus green"]
    return [*others, Gel(family="Plus green", fraction="1/8", cc=eighth)]


def marks(page, name):
    """Return where the marks of a fraction stand across, the left one first."""
    found = re.findall(rf'class="mark" x="([\d.]+)" y="([\d.]+)"[^>]*>{name}<', page.html)
    return sorted(float(x) for x, _ in found)


class TestOthers:
    def test_a_half_and_a_full_say_the_rest(self, bay, truck, get):
        """By a half of 110 a quarter is 55 and an eighth 27.5: 40 lies between, at 0.45."""
        truck([Gel(family="CTO", fraction="1/2", mired=110), Gel(family="CTO", fraction="full", mired=160)])
        for path in (QUICK, "/sets/1?view=plane", "/sources/1"):
            assert "⅛ to ¼ CTO cool" in get(path).text, path
        offered = choices(get("/sets/1/compare?reference=2"), 1, "mired")
        assert offered["a quarter CTO warmer"] == 55 and offered["an eighth CTO warmer"] == 27.5

    @pytest.mark.parametrize(
        "rows",
        [
            [Gel(family="CTO", fraction="1/4", mired=90), Gel(family="CTO", fraction="1/2", mired=60)],
            [Gel(family="CTO", fraction="1/4", mired=-40), Gel(family="ND", fraction="0.3", stops=1)],
            [Gel(family="Straw", fraction="1/4", mired=65)],
            [],
        ],
        ids=["not rising", "wrong way", "no CTO", "empty"],
    )
    def test_nonsense_leaves_the_trades_sizes(self, bay, truck, get, rows):
        truck(rows)
        for path in (QUICK, "/sets/1?view=plane", "/sources/1"):
            assert LIGHTER_SAYS in get(path).text, path
        offered = choices(get("/sets/1/compare?reference=2"), 1, "mired")
        assert offered["half a CTO warmer"] == 80
        assert get("/sets/1/whites").status == 200
