"""Teaching with all that was read behind a gel: which pairs count, what is asked. Every gel is invented."""

import re

import pytest

from advisor.advice.teaching.teach import ReadingPair
from advisor.model import GelTable, Known, LightSet, Source, Target
from advisor.web.gels import pairs as web_pairs
from advisor.web.gels.pairs import keep_typed, key_of, known_pairs
from tests.advice.pairs import gelled, head
from tests.web.teaching import NAME, gel, kept, pair

LAMPS = [("tungsten", 3200), ("daylight", 5600)]


@pytest.fixture
def read_on(stores, sheet):
    """Keep a set in which lamps were read bare and behind one sheet."""

    def keep(*lamps, name="Attic", tags=None):
        sources = []
        for kind, cct in lamps:
            lamp = head(kind, cct, lux=None)
            after = gelled(lamp, sheet).model_copy(update={"lux": None, "gels": [NAME], **(tags or {})})
            sources.append(Source(name=f"{kind} {cct}", kind=kind, reading=lamp.reading, readings=[after]))
        return stores.sets.create_set(LightSet(name=name, target=Target(cct=5600), sources=sources))

    return keep


def ticked(page):
    return re.findall(r'name="pair" value="(\w+)" checked', page.html)


def listed(page):
    return re.findall(r'name="pair" value="(\w+)"', page.html)


def row_known(stores, known, **changed):
    """Put a table in force in which it is said how the gel is known."""
    new = gel(stores).model_copy(update={"known": known, **changed})
    table = stores.gels.in_force().table
    stores.gels.replace(GelTable(rows=[new if g.name == NAME else g for g in table.rows]), "made")


def test_pairs_that_two_keep_at_once_are_both_kept(stores, app, monkeypatch, sheet):
    """Mia keeps hers between the lines of Bo."""
    pairs = [ReadingPair(head(kind, cct), gelled(head(kind, cct), sheet)) for kind, cct in LAMPS]
    read = web_pairs._read

    def meanwhile(text):
        monkeypatch.setattr(web_pairs, "_read", read)
        keep_typed(NAME, pairs[1])
        return read(text)

    with app.test_request_context():
        monkeypatch.setattr(web_pairs, "_read", meanwhile)
        keep_typed(NAME, pairs[0])
        assert {known.key for known in known_pairs(NAME)} == {key_of(pair) for pair in pairs}


class TestWhichPairsCount:
    def test_all_that_was_read_behind_it_is_offered_and_ticked(self, get, read_on):
        read_on(("tungsten", 3200), ("daylight", 5600))
        page = get("/gels/teach?name=CTO+1%2F2")
        assert len(ticked(page)) == 2
        assert "tungsten 3200, Attic: Tungsten" in page.text
        assert listed(get("/gels/teach?name=CTO+1%2F4")) == []

    def test_where_none_was_read_it_is_said_what_to_type(self, get, read_on):
        page = get(f"/gels/teach?name={NAME}")
        assert re.search(r"No reading teaches .+ yet\. Type one bare, and one behind .+ alone\.", page.text)
        read_on(*LAMPS)
        assert "No reading teaches" not in get(f"/gels/teach?name={NAME}").text

    def test_they_are_fitted_together_and_say_how_sure_that_is(self, get, teach, stores, read_on):
        read_on(("tungsten", 3200), ("daylight", 5600))
        form = {"name": NAME}
        page = teach(form)
        said = r"\+8\d mired, \+1\.\d CC, within [4567]\.\d %, from 2 pairs of readings\."
        assert re.search(said, page.text)
        assert "Read on tungsten and daylight." in page.text and "another kind" not in page.text
        assert page.text.count("from the fit") == 2
        done = teach(kept(page, form))
        assert "½ CTO fitted to 2 pairs of readings." in done.text
        assert gel(stores).known is Known.TAUGHT
        assert gel(stores).percent < 8

    def test_what_is_not_ticked_does_not_count(self, get, teach, read_on):
        read_on(("tungsten", 3200), ("led-mix", 5000))
        first = get("/gels/teach?name=CTO+1%2F2")
        both = teach({"name": NAME})
        assert "Read on tungsten and colour-mixing LED." in both.text
        one = next(key for key in listed(first) if re.search(rf'"{key}"[^>]*>\s*<span>tungsten', first.html))
        page = teach({"name": NAME, "listed": NAME, "pair": one})
        assert "from a pair of readings." in page.text
        assert ticked(page) == [one]
        [other] = set(listed(first)) - {one}
        page = teach({"name": NAME, "listed": NAME, "pair": other})
        assert "Colour-mixing LED: the spectrum is a guess. Tungsten, daylight or white LED" in page.text

    def test_the_pair_in_the_fields_is_not_counted_twice(self, teach, stores, read_on, sheet):
        read_on(("tungsten", 3200))
        page = teach(pair(sheet, duv=0.0, lux=""))
        assert "from a pair of readings." in page.text
        assert listed(page) == []

    @pytest.mark.parametrize("tags", [{"level": 40}, {"modifier": "softbox"}, {"gels": [NAME, NAME]}])
    def test_another_modifier_or_more_sheets_are_no_pair(self, get, read_on, tags):
        read_on(("tungsten", 3200), tags=tags)
        found = listed(get("/gels/teach?name=CTO+1%2F2"))
        assert len(found) == (1 if "level" in tags else 0)  # a level that nobody said is no other one

    def test_what_was_read_behind_it_and_another_gel_counts_too(self, get, teach, read_on, stores):
        read_on(("tungsten", 3200), tags={"gels": [NAME, "Minus green 1/8"]})
        page = get("/gels/teach?name=CTO+1%2F2")
        assert len(ticked(page)) == 1 and "tungsten 3200, Attic, with ⅛ minus green" in page.text
        assert len(listed(get("/gels/teach?name=Minus+green+1%2F8"))) == 1
        assert "from a pair of readings." in teach({"name": NAME}).text

    def test_two_gels_that_hung_together_do_not_teach_each_other(self, get, teach, read_on):
        read_on(("tungsten", 3200), tags={"gels": [NAME, "Minus green 1/8"]})
        form = {"name": NAME}
        teach(kept(teach(form), form))
        assert listed(get("/gels/teach?name=Minus+green+1%2F8")) == []
        assert len(listed(get("/gels/teach?name=CTO+1%2F2"))) == 1

    @pytest.mark.parametrize("more", [["Minus green 1/8", "CTB 1/8"], ["A gel of no row"]])
    def test_more_gels_or_one_of_no_row_tell_nothing_of_it(self, get, read_on, more):
        read_on(("tungsten", 3200), tags={"gels": [NAME, *more]})
        assert listed(get("/gels/teach?name=CTO+1%2F2")) == []

    def test_typed_pairs_are_kept_and_count_again(self, get, teach, stores, sheet):
        first = pair(sheet)
        teach(kept(teach(first), first))
        was = gel(stores)
        page = get("/gels/teach?name=CTO+1%2F2")
        assert "Typed here: Tungsten" in page.text
        second = {**pair(sheet, "daylight", 5600), "listed": NAME, "pair": ticked(page)}
        done = teach(kept(teach(second), second))
        assert "fitted to 2 pairs of readings" in done.text
        assert gel(stores).percent < was.percent
        assert len(listed(get("/gels/teach?name=CTO+1%2F2"))) == 2

    def test_a_row_is_taught_from_what_it_said_before_and_not_from_itself(self, get, teach, stores, sheet):
        form = pair(sheet)
        teach(kept(teach(form), form))
        once = gel(stores)
        teach(kept(teach(form), form))
        assert gel(stores) == once


class TestWhatIsAskedFirst:
    def test_a_row_that_contradicts_is_changed_only_when_somebody_says_so(self, teach, stores, sheet):
        row_known(stores, Known.SWATCH, mired=70.0)
        form = pair(sheet)
        page = teach(form)
        assert re.search(r"row says \+70 mired.* meter says \+8\d mired.* Both cannot", page.alerts[0])
        assert ">Save</button>" not in page.html
        assert 'class="button main" href="/gels">Keep the row' in page.html
        before = gel(stores)
        teach({**form, "version": page.fields["version"], "keep": f"{NAME} 80 0 0.4 5"})
        assert gel(stores) == before
        alone = teach({**form, "take": "readings"})
        assert ">Save</button>" in alone.html
        teach(kept(alone, {**form, "take": "readings"}))
        assert gel(stores).mired == pytest.approx(86, abs=1.5)

    def test_a_row_that_is_known_better_may_still_take_both(self, teach, stores, sheet):
        row_known(stores, Known.SWATCH, mired=86.0)
        form = pair(sheet, "led-mix", 4500)
        page = teach(form)
        assert re.search(r"The row is surer than these readings: within 5 % against \d+", page.alerts[0])
        both = teach({**form, "take": "anyway"})
        teach(kept(both, {**form, "take": "anyway"}))
        assert gel(stores).known is Known.TAUGHT
        assert gel(stores).percent <= 5
        assert gel(stores).mired == pytest.approx(86, abs=2)
