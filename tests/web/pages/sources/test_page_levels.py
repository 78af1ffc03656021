"""The level and modifier in use, and the tags of a reading."""

import re

import pytest

from advisor.model import HeadTest, Kind, KnownHead, Reading
from tests.heads import read as read_head
from tests.web.page import beside

BACKLIGHT = 5


@pytest.fixture
def readings(sample, stores):
    """Read the backlight at two levels bare, and at one through a softbox; the last one counts."""
    for cct, lux, level, modifier in ((2560, 88, 40, ""), (2900, 90, 100, "Softbox"), (3190, 640, 100, "")):
        stores.sets.add_reading(BACKLIGHT, Reading(cct=cct, duv=0.0, lux=lux, level=level, modifier=modifier))


@pytest.fixture
def use(sample, get, post):
    """Say how the backlight is used."""

    def say(level="", modifier=None, number=BACKLIGHT):
        fields = {"revision": get(f"/sources/{number}").fields["revision"], "use_level": level}
        return post(
            f"/sources/{number}/use", fields | ({} if modifier is None else {"use_modifier": modifier})
        )

    return say


@pytest.fixture
def source(stores):
    return lambda number=BACKLIGHT: stores.sets.get_source(number).source


def test_the_next_reading_is_taken_at_the_level_of_the_last(sample, act, read, get):
    """An empty level would be taken for another one, and the person has to type it each time."""
    assert get("/sources/1").fields["level"] == ""
    act("hung", ["CTO 1/4"])
    read("4900", "0.0040", behind="hung", hung="CTO 1/4", level="60")
    assert get("/sources/1").fields["level"] == "60"
    read("7100", "0.0040", behind="bare", hung="CTO 1/4", number=5, level="80")
    assert get("/sources/5").fields["level"] == "80"


BAD_LEVELS = [
    ("0 %", "Dim level 0 % is out of range. A head that is off has nothing to read."),
    ("130 %", "Dim level 130 % is out of range"),
    ("0,5", "Dim level 0,5 is out of range. As a share? then 50."),
    ("full", "Dim level &#39;full&#39; is not a number"),
    ("60 K", "Dim level &#39;60 K&#39; has the unit &#39;K&#39;"),
]


class TestUse:
    def test_between_two_levels_it_is_worked_out_and_says_so(self, readings, use, source):
        page = use("63,2 %")
        assert source().level == 63.2
        # Half way in the logarithm of the level; light by the geometric mean of 88 and 640 lx.
        assert "Worked out between the readings at 40 % and 100 %." in page.text
        assert re.search(r"About \d \d{3} K, Duv .?\d\.\d{4}, 237 lx, at 63\.2 %", page.text)
        assert page.fields["use_level"] == "63.2"

    def test_the_set_says_so_too(self, readings, use, get):
        use("60")
        assert "at 60 % not read at this level" in get("/sets/1/sheet").text
        assert re.search(r"About \d \d{3} K, Duv .?\d\.\d{4}, at 60 %", get("/sets/1/tags").text)
        assert "To hang: 5 Backlight" in get("/sets/1").row(5)

    def test_beyond_what_was_read_it_warns_and_the_uncertainty_grows(self, readings, use):
        def uncertainty(page):
            return float(re.search(r"</td><td>(\d+\.\d)</td>", page.html.split("Numbers")[1])[1])

        inside, beyond = use("40"), use("15")
        assert "15 % is a guess from 40 % and 100 %. Read it there." in beyond.text
        assert uncertainty(beyond) > uncertainty(inside)

    def test_a_modifier_is_chosen_from_those_that_were_read(self, readings, get, use, source):
        assert get("/sources/5").choices["use_modifier"] == ["as-read", "with:", "with:Softbox"]
        page = use("100", "with:Softbox")
        assert source().modifier == "Softbox"
        assert "Reads 2 900 K, Duv 0.0000, 90 lx, at 100 %, with Softbox" in page.text
        assert page.fields["use_modifier"] == "with:Softbox"
        page = use("100", "with:")
        assert source().modifier == ""
        assert "Reads 3 190 K" in page.text

    def test_empty_is_as_it_was_read_last(self, readings, use, source):
        use("60", "with:Softbox")
        page = use("", "as-read")
        assert (source().level, source().modifier) == (None, None)
        assert "Reads 3 190 K, Duv 0.0000, 640 lx, at 100 %" in page.text

    def test_two_readings_at_one_level_are_both_kept(self, readings, stores, use, get):
        stores.sets.add_reading(BACKLIGHT, Reading(cct=3100, duv=0.0, lux=600, level=100))
        page = use("100")
        assert "Read more than once at 100 %: the newest counts, the others are kept." in page.text
        assert "Reads 3 100 K" in page.text
        assert "5 readings" in page.text

    def test_a_level_that_no_reading_is_tagged_with_says_what_to_do(self, use, source):
        page = use("60")
        assert source().level == 60, "what was chosen is kept, for the reading that is to come"
        [alert] = page.alerts
        assert "the source is used at 60 %, and no reading says at which level it was taken" in alert
        assert "Allowed: a bare reading at 60 %, or the level left empty." in alert
        assert page.html.count('class="path"') == 0

    def test_the_others_are_advised_on_meanwhile(self, use, get):
        use("60")
        page = get("/sets/1")
        assert page.html.count('class="strip"') == 5
        assert any("no reading says at which level" in alert for alert in page.alerts)

    def test_a_modifier_that_was_never_read_says_which_were(self, readings, use):
        page = use("60", "with:Grid")
        assert "no reading was taken with 'Grid'" in page.alerts[0]
        assert "one of: Softbox, none" in page.alerts[0]

    @pytest.mark.parametrize(("typed", "says"), BAD_LEVELS)
    def test_a_wrong_level_is_given_back_beside_its_field(self, readings, use, source, typed, says):
        page = use(typed, "with:Softbox")
        assert page.status == 422
        assert page.fields["use_level"] == typed
        assert page.fields["use_modifier"] == "with:Softbox"
        assert says in beside(page, "use_level") and "1 to 100 %" in beside(page, "use_level")
        assert (source().level, source().modifier) == (None, None)

    def test_the_drift_is_drawn_from_two_levels_on(self, sample, stores, get):
        assert "over dim level" not in get("/sources/5").html
        stores.sets.add_reading(BACKLIGHT, Reading(cct=2560, duv=0.0, level=40))
        assert "over dim level" not in get("/sources/5").html
        stores.sets.add_reading(BACKLIGHT, Reading(cct=3190, duv=-0.0003, level=100))
        page = get("/sources/5")
        assert "From 100 % to 40 %: 3 190 K to 2 560 K, Duv −0.0003 to 0.0000." in page.text
        assert page.html.count("over dim level") == 2
        assert page.html.count('circle class="read"') == 4 and 'circle class="used"' not in page.html

    def test_the_level_in_use_is_ringed(self, readings, use):
        assert use("60").html.count('circle class="used"') == 2

    def test_a_target_that_matches_it_follows_its_level(self, readings, use, get, post):
        post("/sets/1/edit", get("/sets/1/edit").fields | {"target_locus": "source:Backlight"})
        use("40")
        assert "Stays bare" in get("/sources/5").text
        # Shelf lamps at 2 720 K lie nearer to 2 560 K than to 3 190 K.
        near = get("/sources/6").text
        use("100")
        assert get("/sources/6").text != near


class TestNewReading:
    def test_it_is_taken_at_the_level_in_use_unless_it_says_otherwise(self, readings, use, get, post, source):
        assert get("/sources/5").fields["level"] == "100"
        use("60", "with:Softbox")
        fields = get("/sources/5").fields
        assert (fields["level"], fields["modifier"]) == ("60", "Softbox")
        page = post("/sources/5/reading", fields | {"cct": "2700", "duv": "0"})
        assert source().reading.level == 60 and source().reading.modifier == "Softbox"
        assert "Reads 2 700 K" in page.text, "what was just read counts"

    def test_a_modifier_stays_on_from_reading_to_reading(self, sample, post, get):
        post("/sources/5/reading", {"cct": "2900", "duv": "0", "modifier": "Softbox"})
        assert get("/sources/5").fields["modifier"] == "Softbox"

    def test_tags_are_kept(self, sample, post, source, get):
        tags = {"level": "60 %", "modifier": " Grid "}
        page = post("/sources/5/reading", {"cct": "2790", "duv": "0,0002", "lux": "215", **tags})
        assert source().reading == Reading(cct=2790, duv=0.0002, lux=215, level=60, modifier="Grid")
        assert "215 lx, at 60 %, with Grid" in page.text

    @pytest.mark.parametrize(("typed", "says"), BAD_LEVELS)
    def test_a_wrong_level_is_given_back_beside_its_field(self, sample, post, stores, typed, says):
        page = post(
            "/sources/5/reading", {"cct": "2790", "duv": "0.0002", "level": typed, "modifier": "Grid"}
        )
        assert page.status == 422
        assert says in beside(page, "level") and "1 to 100 %" in beside(page, "level")
        assert [page.fields[k] for k in ("cct", "duv", "level", "modifier")] == [
            "2790",
            "0.0002",
            typed,
            "Grid",
        ]
        assert re.search(r"<details[^>]* open[^>]*>\s*<summary>Lux, level, Grid</summary>", page.html)
        assert len(stores.sets.readings_of(5)) == 1

    def test_an_empty_level_is_none(self, sample, post, source):
        post("/sources/5/reading", {"cct": "2790", "duv": "0.0002", "level": "  "})
        assert source().reading.level is None

    def test_a_modifier_that_is_too_long_is_given_back(self, sample, post):
        page = post("/sources/5/reading", {"cct": "2790", "duv": "0", "modifier": "x" * 41})
        assert page.status == 422
        assert "at most 40 characters" in beside(page, "modifier")
        assert page.fields["modifier"] == "x" * 41

    @pytest.mark.parametrize(
        ("typed", "field", "says"),
        [
            ({"dial_green": "2"}, "dial_cct", "CCT on its dial is empty"),
            ({"dial_cct": "10"}, "dial_cct", "CCT on the dial 10 is out of range"),
            ({"dial_cct": "5600", "dial_green": "much"}, "dial_green", "is not a number"),
        ],
    )
    def test_a_wrong_dial_is_given_back(self, shipped, post, typed, field, says):
        page = post("/sources/3/reading", {"cct": "5400", "duv": "-0.002", **typed})
        assert page.status == 422
        assert says in beside(page, field)
        assert {k: page.fields[k] for k in typed} == typed


class TestReadOtherwise:
    """A reading at another level than that in use is not swallowed."""

    @pytest.fixture
    def dimmed(self, sample, change, act, read, work):
        """Confirm the backlight behind its gel at 100 %, and read it at 20 %."""
        change(BACKLIGHT, level=100.0, reading=Reading(cct=3190, duv=-0.0003, lux=640, level=100))
        act("hung", ["CTB full", "Plus green 1/8"], number=BACKLIGHT)
        found, hung = work(BACKLIGHT).predicted, "CTB full; Plus green 1/8"
        read(str(found.cct), str(found.duv), number=BACKLIGHT, behind="hung", hung=hung)
        return lambda: read("4800", "0.001", number=BACKLIGHT, behind="hung", hung=hung, level="20")

    def test_it_is_said_near_the_state_with_the_way_to_use_it_there(self, dimmed, post, source, get):
        assert "The last reading was" not in get("/sources/5").text
        page = dimmed()
        answer = page.text.split("New reading")[0]
        assert "The last reading was at 20 %, it is used at 100 %. Use it at 20 %" in answer
        form = page.html.split("Use it at 20 %")[0].rpartition("<form")[2]
        fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
        assert (fields["use_level"], fields["use_modifier"]) == ("20", "as-read")
        page = post("/sources/5/use", fields)
        assert source().level == 20
        assert "4 800 K" in page.text.split("New reading")[0] and "The last reading was" not in page.text

    def test_with_another_modifier_too(self, sample, stores, use, get):
        stores.sets.add_reading(BACKLIGHT, Reading(cct=3190, duv=0, level=100))
        use("100", "with:")
        stores.sets.add_reading(BACKLIGHT, Reading(cct=2900, duv=0, level=40, modifier="Softbox"))
        page = get("/sources/5")
        said = "The last reading was at 40 % with Softbox, it is used at 100 % without a modifier."
        assert f"{said} Use it at 40 % with Softbox" in page.text
        assert 'value="with:Softbox"' in page.html

    def test_one_that_is_struck_out_is_no_last_reading(self, dimmed, post, stores, get):
        dimmed()
        post(f"/readings/{stores.sets.readings_of(BACKLIGHT)[-1].id}/strike")
        assert stores.sets.readings_of(BACKLIGHT)[-1].struck
        assert "The last reading was" not in get("/sources/5").text

    def test_behind_what_hangs_an_empty_level_is_the_one_in_use(self, dimmed, stores, use):
        assert stores.sets.readings_of(BACKLIGHT)[-1].reading.level == 100
        assert stores.sets.get_source(BACKLIGHT).source.work.read_behind.level == 100

    def test_without_a_level_in_use_it_stays_empty(self, sample, act, read, stores):
        act("hung", ["CTO 1/4"])
        read("5500", "0.003", behind="hung", hung="CTO 1/4")
        assert stores.sets.readings_of(1)[-1].reading.level is None

    def test_the_hint_says_which_reading_an_empty_level_means(self, sample, get):
        assert beside(get("/sources/5"), "use_level") == "Empty: as in the newest bare reading."


class TestForm:
    @pytest.mark.parametrize(("typed", "says"), BAD_LEVELS)
    def test_a_wrong_level_is_given_back_beside_its_field(self, sample, get, post, stores, typed, says):
        before = stores.sets.get_source(5)
        page = post("/sources/5/edit", get("/sources/5/edit").fields | {"level": typed, "note": "warm"})
        assert page.status == 422
        assert says in beside(page, "level")
        assert (page.fields["level"], page.fields["note"]) == (typed, "warm")
        assert stores.sets.get_source(5) == before


class TestNobodySaid:
    """A level that nobody noted is no level: it is the one in use where that is known, else it is asked."""

    def test_a_reading_without_a_level_is_at_the_one_in_use(self, sample, use, post, source, stores):
        use("60", "as-read")
        post("/sources/5/reading", {"cct": "2790", "duv": "0.0002"})
        assert source().reading.level == 60

    def test_pasted_too(self, readings, use, save, stores):
        use("60", "with:")
        save("Backlight\t2790\t0.0002")
        assert stores.sets.readings_of(5)[-1].reading.level == 60

    def test_read_behind_gels_at_a_level_where_none_was_noted_it_is_asked(
        self, act, read, post, source, stores
    ):
        act("hung", ["CTB full"], number=5)
        page = read("5400", "0.001", number=5, behind="hung", hung="CTB full", level="60")
        said = "The last reading was at 60 %, nobody said at which level it is used."
        assert said in page.text
        assert "Use it at 60 %" in page.text and "Bare was at 60 % too" in page.text
        bare = next(r.id for r in stores.sets.readings_of(5) if not r.reading.gels)
        page = post(f"/readings/{bare}/mend", {"level": "60"})
        assert source().reading.level == 60
        assert said not in page.text


def test_what_a_test_read_is_not_what_was_read_last(shipped, stores, post, get):
    """Invented: its test read 100 % bare and 20 % with a cloth, and it is used so. Nobody metered it here."""
    head = stores.heads.add_head(KnownHead(name="Fresnel 3", kind=Kind.TUNGSTEN))
    test = HeadTest(levels=[100, 20], modifiers=["", "cloth"])
    rows = [(100, "", 3150), (20, "", 2650), (100, "cloth", 3120), (20, "cloth", 2630)]
    stores.heads.add_test(head, test, [read_head(k, cloth, cct=cct, duv=0) for k, cloth, cct in rows])
    post("/sets/1/heads", {"one": str(head)})
    source = stores.sets.get_set(1).sources[-1]
    used = {"revision": str(source.revision), "use_level": "20", "use_modifier": "with:cloth"}
    post(f"/sources/{source.id}/use", used)
    assert stores.sets.get_set(1).sources[-1].source.level == 20
    assert "The last reading was" not in get(f"/sources/{source.id}").text
