"""Sets: made, changed, removed and brought back; what they aim at."""

import re
from urllib.parse import unquote

import pytest

from advisor.advice.learned.off_label import OffLabel
from advisor.sample import sample_set
from advisor.web.views.sets import set_page

NEW = {"name": "Stage 4", "target_cct": "5600", "target_locus": "daylight"}


def test_nothing_is_there_at_first(get):
    page = get("/sets")
    assert page.heading == "No set yet"
    assert "/sample" in page.posts


def test_a_name_and_a_target_make_a_set(post, get):
    page = post("/sets/new", NEW)
    assert page.heading == "Stage 4"
    assert "No source yet" in page.text
    assert "Stage 4 0 sources" in get("/sets").text


def test_a_set_starts_with_the_tolerances_that_its_form_names(post, get, stores):
    assert "may be off: 2 % and 0.001" in get("/sets/new").text
    post("/sets/new", NEW)
    form = get("/sets/1/edit")
    starts = {name: form.fields[name] for name in ("meter_cct_percent", "meter_duv")}
    assert starts == {"meter_cct_percent": "2", "meter_duv": "0.001"}
    assert stores.sets.get_set(1).limits.accuracy.model_dump() == {
        "meter_cct_percent": 2.0,
        "meter_duv": 0.001,
    }


@pytest.mark.parametrize(
    ("locus", "cct", "words"),
    [("daylight", "5 600 K", "5 600 K daylight"), ("planckian", "3.200", "3 200 K Planckian")],
)
def test_the_target_may_lie_on_either_locus(post, locus, cct, words):
    page = post("/sets/new", {**NEW, "target_cct": cct, "target_locus": locus})
    assert words in page.text


def test_the_target_may_be_off_its_locus_on_purpose(post):
    page = post("/sets/new", {**NEW, "target_duv_offset": "−0,0035"})
    assert "Duv −0.0035 off it" in page.text


def test_every_source_shows_its_deviation_and_its_best_stack(sample, get):
    page = get(f"/sets/{sample}")
    assert re.search(r"6 to hang\W", page.text)
    assert page.text.count("To hang: ") == 6
    assert len(re.findall(r"[○◔◑●].[a-z ]+ (?:over )?\d in 10", page.text)) == 6
    assert page.html.count('class="strip"') == 6


def test_a_set_can_be_changed(sample, post, get):
    fields = get(f"/sets/{sample}/edit").fields
    changed = {**fields, "name": "Bakery, day two", "target_cct": "3200", "target_locus": "planckian"}
    page = post(f"/sets/{sample}/edit", {**changed, "max_layers": "1", "note": "Second day"})
    assert page.heading == "Bakery, day two"
    assert "3 200 K Planckian" in page.text
    assert "Second day" in page.text
    again = get(f"/sets/{sample}/edit").fields
    assert again["max_layers"] == "1"
    assert again["revision"] != fields["revision"]


def test_saving_the_form_as_it_was_changes_nothing(sample, get, post, stores):
    before = stores.sets.get_set(sample)
    post(f"/sets/{sample}/edit", get(f"/sets/{sample}/edit").fields)
    assert stores.sets.get_set(sample) == before


def test_the_layer_limit_is_kept(sample, get, post):
    post(f"/sets/{sample}/edit", {**get(f"/sets/{sample}/edit").fields, "max_layers": "1"})
    assert all(" + " not in get(f"/sets/{sample}").row(n) for n in range(1, 7))


def test_a_removed_set_can_be_brought_back(sample, post, get):
    page = post(f"/sets/{sample}/delete")
    assert "The set is removed." in page.text
    assert page.heading == "No set yet"
    assert get(f"/sets/{sample}").status == 404
    page = post(next(p for p in page.posts if p.endswith("/restore")))
    assert page.heading.startswith("Bakery before dawn")
    assert page.text.count("To hang: ") == 6


def test_the_sample_comes_and_goes_with_one_tap_each(post, get):
    page = post("/sample")
    assert "invented" in page.heading
    assert "/sample/remove" in get("/sets").posts
    page = post("/sample/remove")
    assert page.heading == "No set yet"
    assert post(next(p for p in page.posts if p.endswith("/restore"))).heading == sample_set().name


def test_removing_a_sample_that_is_gone_does_no_harm(post):
    assert post("/sample/remove").status == 200


class TestMatchingASource:
    @pytest.fixture
    def matched(self, sample, get, post):
        fields = get(f"/sets/{sample}/edit").fields
        return post(f"/sets/{sample}/edit", {**fields, "target_cct": "", "target_locus": "source:Backlight"})

    def test_the_form_offers_every_source(self, sample, get):
        offered = get(f"/sets/{sample}/edit").choices["target_locus"]
        assert offered[:3] == ["daylight", "planckian", "source:Shop window"]
        assert len(offered) == 8

    def test_the_source_itself_stays_bare(self, matched):
        assert "the white of Backlight" in matched.text
        assert "5 Backlight stays bare" in matched.text

    def test_the_form_shows_it_again(self, matched, sample, get):
        assert get(f"/sets/{sample}/edit").fields["target_locus"] == "source:Backlight"

    @pytest.mark.parametrize("path", ["/sets/1", "/sources/2", "/sources/2?gel=CTO+1%2F4"])
    def test_where_it_was_removed_the_page_says_so_and_shows_both_ways_on(self, matched, post, get, path):
        post("/sources/5/delete")
        page = get(path)
        assert page.status == 200
        assert "The target matched “Backlight”. That source is removed." in page.alerts[0]
        assert "/sets/1/edit" in page.links
        assert "/sources/5/restore" in page.posts
        assert "eads 5 820 K" in page.text  # the other heads keep what was read

    def test_it_can_be_brought_back(self, matched, post, get):
        post("/sources/5/delete")
        assert "the white of Backlight" in post("/sources/5/restore").text
        assert "That source is removed" not in get("/sets/1").text

    def test_another_target_can_be_chosen(self, matched, post, get):
        post("/sources/5/delete")
        fields = get("/sets/1/edit").fields
        page = post("/sets/1/edit", {**fields, "target_locus": "daylight", "target_cct": "5600"})
        assert page.alerts == []
        assert len(re.findall("To hang: |stays bare", page.text)) == 5

    def test_a_new_name_of_the_source_is_followed(self, matched, post, get):
        post("/sources/5/edit", {**get("/sources/5/edit").fields, "name": "Rim"})
        assert "the white of Rim" in get("/sets/1").text


def test_two_who_change_one_set_lose_nothing(sample, get, post, stores):
    seen = get(f"/sets/{sample}/edit").fields
    post(f"/sets/{sample}/edit", {**seen, "name": "First"})
    page = post(f"/sets/{sample}/edit", {**seen, "name": "Second", "note": "mine"})
    assert page.status == 409
    assert "Somebody changed “Name” too" in page.alerts[0]
    assert page.fields["name"] == "Second"
    assert page.fields["note"] == "mine"
    assert stores.sets.get_set(sample).name == "First"
    assert post(f"/sets/{sample}/edit", {**page.fields, "pick_name": "mine"}).heading == "Second"


def test_a_set_that_matches_nobody_says_who_is_there(sample, get, post):
    fields = get(f"/sets/{sample}/edit").fields
    page = post(f"/sets/{sample}/edit", {**fields, "target_locus": "source:Moon"})
    assert page.status == 422
    assert "'Moon'" in page.alerts[0]
    assert "Backlight" in page.alerts[0]


def test_what_gels_read_stands_below_the_heads_with_a_way_to_teach_each(sample, get, monkeypatch):
    """On a phone it pushed them off the screen."""
    found = (OffLabel(("CTB 1/2", "CTB 1/4"), -8.0, 3), OffLabel(("CTO full",), 6.0, 2))
    monkeypatch.setattr(set_page, "gels_off_label", lambda plan: found)
    page = get("/sets/1")
    said = page.html.index("½ CTB and ¼ CTB read about 8")
    assert said > page.html.rindex("Shelf lamps</strong>")
    assert "Full CTO reads about 6" in page.text
    for name, words in (("CTB+1/2", "½ CTB"), ("CTB+1/4", "¼ CTB"), ("CTO+full", "full CTO")):
        taught = re.search(rf'href="/gels/teach\?name=([^"]*)">Teach {words}</a>', page.html)
        assert taught and unquote(taught[1]).replace(" ", "+") == name
