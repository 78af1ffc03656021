"""Each phone looks as it likes: dark or light, lux or foot-candles."""

import re

import pytest


@pytest.fixture
def choose(post):
    return lambda **chosen: post("/look", {"look": "night", "light": "lx", "back": "/sets", **chosen})


def test_night_and_lux_are_what_a_phone_starts_with(sample, get):
    page = get("/sets/1")
    assert 'data-look="night"' in page.html
    assert re.search(r"6\d\d lx", get("/sources/1").text)


def test_the_choice_stays_and_leads_back(choose, get):
    page = choose(look="day")
    assert page.heading == "No set yet"
    assert 'data-look="day"' in page.html
    assert 'content="light"' in page.html
    assert 'data-look="day"' in get("/gels").html
    assert 'data-look="night"' in choose(look="night").html


def test_a_third_look_is_for_eyes_used_to_the_dark(choose, get):
    assert 'data-look="dim"' in choose(look="dim").html
    assert 'content="#000000"' in get("/").html
    assert 'content="dark"' in get("/").html


@pytest.mark.parametrize("look", ["", "pink", '"><script>'])
def test_what_is_no_choice_is_left_out(choose, get, look):
    choose(look=look)
    assert 'data-look="night"' in get("/").html


def test_a_cookie_that_is_no_choice_is_left_out(client):
    client.set_cookie("look", "pink")
    client.set_cookie("light", "nit")
    assert 'data-look="night"' in client.get("/").get_data(as_text=True)


@pytest.mark.parametrize(
    "back", ["https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)", "/look"]
)
def test_it_leads_back_to_pages_of_ours_only(client, back):
    answer = client.post("/look", data={"look": "day", "back": back})
    assert answer.location == "/"


def test_the_page_remembers_where_one_came_from(sample, client):
    html = client.get("/look", headers={"Referer": "http://localhost/sources/2?gel=CTO+1%2F4"}).get_data(
        as_text=True
    )
    assert 'name="back" value="/sources/2?gel=CTO+1%2F4"' in html


class TestFootCandles:
    # One foot-candle is one lumen a square foot, 10.7639 lx.

    @pytest.fixture(autouse=True)
    def in_foot_candles(self, choose):
        choose(light="fc")

    @pytest.mark.parametrize("path", ["/sources/1", "/sets/1/sheet"])
    def test_every_illuminance_is_in_them(self, sample, get, path):
        text = get(path).text
        assert re.search(r"[\d.]+ fc", text)
        assert not re.search(r"\d lx", text)

    def test_820_lx_are_76_2_fc(self, sample, get):
        assert "76.2 fc" in get("/sources/1").text

    def test_a_number_is_taken_in_them(self, sample, post, stores):
        page = post("/sources/1/reading", {"cct": "6700", "duv": "0", "lux": "80"})
        assert "80 fc" in page.text
        assert stores.sets.get_source(1).source.reading.lux == pytest.approx(861.11, abs=0.01)

    def test_lux_may_still_be_said(self, sample, post, stores):
        post("/sources/1/reading", {"cct": "6700", "duv": "0", "lux": "800 lx"})
        assert stores.sets.get_source(1).source.reading.lux == 800

    def test_the_field_says_which(self, sample, get):
        page = get("/sources/1/edit")
        assert '<span class="unit">fc</span>' in page.html
        assert float(page.fields["lux"]) == pytest.approx(820 / 10.7639, rel=1e-4)

    def test_saving_the_form_as_it_was_changes_nothing(self, sample, get, post, stores):
        before = stores.sets.get_source(1)
        shown = get("/sources/1/edit")
        post("/sources/1/edit", {**shown.fields, **dict(shown.ticked)})
        assert stores.sets.get_source(1) == before

    def test_the_quick_check_takes_them(self, get):
        text = get("/?cct=5600&duv=0.0033&kind=daylight&lux=100").text
        assert "100 fc" in text
