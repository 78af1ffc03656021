"""The host's page: how phones join, who has, how the server does."""

import re
from datetime import timedelta

import pytest
import segno

from advisor.store.file.backup import Rolling
from advisor.web.app import create_app
from advisor.web.views.host import span
from tests.conftest import own_pages
from tests.web.page import Page
from tests.web.phones import BASE, host, joined, open_app


@pytest.fixture
def app(tmp_path, closing):
    return closing(open_app(tmp_path / "data"))


@pytest.fixture
def laptop(app):
    return host(app)


def test_without_a_network_it_says_how_to_open_it(tmp_path, closing):
    alone = closing(create_app(tmp_path / "alone"))
    page = Page(own_pages(alone).get("/host"))
    assert page.heading == "Only this laptop opens these pages"
    assert "start it again with advisor --lan" in page.text
    assert "<svg" not in page.html
    assert alone.extensions["people"].secrets.codes.shown not in page.html


def test_it_leads_there_from_the_look_page_and_the_first_row(tmp_path, laptop, closing):
    alone = own_pages(closing(create_app(tmp_path / "alone")))
    assert "/host" in Page(alone.get("/look")).links
    assert "/host" not in Page(alone.get("/sets")).links
    assert "/host" in laptop.open("/sets").links


def test_phones_are_not_led_there(app):
    browser = joined(app, "change")
    assert "/host" not in browser.open("/look").links + browser.open("/sets").links


def test_it_shows_address_code_and_qr(app, laptop):
    page = laptop.open("/host")
    codes = app.extensions["people"].secrets.codes
    assert page.heading == "No phone has joined"
    assert codes.shown in page.text
    assert f"{BASE}/" in page.text
    assert codes.scanned not in page.html
    assert "plain HTTP: whoever is on this network can read along" in page.text
    # The symbol is as large as that of the address, with 4 modules around it.
    size = segno.make(f"{BASE}/join/{codes.scanned}", error="m", micro=False).symbol_size(border=4)
    assert re.search(r'viewBox="0 0 (\d+) (\d+)"', page.html).groups() == tuple(map(str, size))
    assert 'fill="#fff"' in page.html and 'stroke="#000"' in page.html


def test_over_tls_it_says_nothing_of_plain_http(tmp_path, closing):
    page = host(closing(open_app(tmp_path / "tls", secure=True))).open("/host")
    assert "plain HTTP" not in page.text
    assert "https://192.168.7.1:8080/" in page.text


def test_it_shows_who_joined_what_they_may_and_when_they_asked(app, laptop):
    joined(app, "change", "Tom")
    joined(app, "look", "Mia <b>")
    people = app.extensions["people"]
    page = laptop.open("/host")
    assert page.heading == "2 phones have joined"
    assert "Tom here now" in page.text and "Mia <b> here now" in page.text
    assert re.findall(r'value="(\w+)" selected', page.html) == ["change", "look", "meter", "meter"]
    people.seen[1] -= timedelta(minutes=7)
    del people.seen[2]
    text = laptop.open("/host").text
    assert "Tom seen 7 min ago" in text
    assert "Mia <b> not seen since the advisor started" in text


def test_a_clock_that_was_set_back_makes_no_future(app, laptop):
    joined(app, "look", "Tom")
    app.extensions["people"].seen[1] += timedelta(days=1)
    assert "Tom here now" in laptop.open("/host").text


def test_a_phone_that_is_put_out_goes_from_the_list(app, laptop):
    joined(app, "look", "Tom")
    laptop.post("/host/phones/1/revoke")
    page = laptop.open("/host?out=1")
    assert "Tom" not in page.text
    assert "The phone is removed. Whoever knows the code can join again" in page.text


def test_new_phones_get_the_role_that_was_chosen(app, laptop):
    people = app.extensions["people"]
    laptop.post("/host/role", {"role": "look"})
    assert laptop.open("/host").fields["role"] == "look"
    browser = joined(app, "look")
    assert people.phones.all()[0].role == "look"
    assert browser.post("/sample").status_code == 403


@pytest.mark.parametrize("path", ["/host/role", "/host/phones/1/role"])
@pytest.mark.parametrize("role", ["", "host", "guest", "<b>"])
def test_a_role_that_is_none_is_refused(app, laptop, path, role):
    joined(app, "look")
    answer = laptop.post(path, {"role": role})
    assert answer.status_code == 422
    assert "can change, can confirm and meter, can look" in answer.text
    assert app.extensions["people"].phones.all()[0].role == "look"


@pytest.mark.parametrize("path", ["/host/phones/9/role", "/host/phones/9/revoke"])
def test_a_phone_that_is_not_there(laptop, path):
    assert laptop.post(path, {"role": "look"}).status_code == 404


def test_it_counts_requests_and_its_own_mistakes(app, laptop):
    def view():
        raise ZeroDivisionError

    tally = app.extensions["tally"]
    before = tally.requests, tally.errors
    app.view_functions["quick.quick_check"] = view
    laptop.get("/")
    laptop.get("/nothing")
    assert (tally.requests - before[0], tally.errors - before[1]) == (2, 1)
    assert "1 error" in laptop.open("/host").text


def test_it_shows_the_last_backup(app, laptop, tmp_path):
    assert "Last backup none yet" in laptop.open("/host").text.replace("  ", " ")
    rolling = app.extensions["backups"] = Rolling(tmp_path / "data" / "advisor.sqlite")
    rolling.now()
    assert re.search(r"Last backup ?\d\d:\d\d, .*1 kept", laptop.open("/host").text)


def test_a_backup_that_failed_is_an_alert(app, laptop, tmp_path):
    (tmp_path / "data" / "backups").write_text("a file")
    rolling = app.extensions["backups"] = Rolling(tmp_path / "data" / "advisor.sqlite")
    rolling.now()
    assert "The last backup failed." in laptop.open("/host").alerts[0]


def test_it_says_how_large_the_data_is(app, laptop, tmp_path):
    for part in ("advisor.sqlite", "advisor.sqlite-wal"):
        assert (tmp_path / "data" / part).exists()
    with (tmp_path / "data" / "advisor.sqlite").open("ab") as file:
        file.write(bytes(4096) * 1000)
    assert re.search(r"Data ?4\.[1-9] MB", laptop.open("/host").text)


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0, "0 s"),
        (59.9, "59 s"),
        (60, "1 min"),
        (3600, "1 h 0 min"),
        (86399, "23 h 59 min"),
        (90000, "1 d 1 h"),
    ],
)
def test_a_length_of_time_in_words(seconds, words):
    assert span(seconds) == words
