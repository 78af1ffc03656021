"""A phone that gives roles, since it joined by a link made at the machine; what others try with one."""

import re
import threading
from datetime import UTC, datetime, timedelta

import pytest

from advisor.web.access.lan import Lan
from advisor.web.app import create_app
from tests.web.page import Page
from tests.web.phones import ADDRESS, BASE, Browser, host, joined, open_app


@pytest.fixture
def app(tmp_path):
    return open_app(tmp_path / "data")


@pytest.fixture
def people(app):
    return app.extensions["people"]


@pytest.fixture
def link(people):
    """Make a link, and return its code."""
    return people.invites.make


def chief(app, link, name="Ada", address="192.168.7.9"):
    """Return a browser that joined by a link."""
    browser = Browser(app, address)
    page = browser.open(f"/join/{link()}")
    answer = browser.post("/join", {**page.fields, "name": name})
    assert (answer.status_code, answer.location) == (303, "/host")
    browser.open("/host")
    return browser


def roles(people):
    return {p.name: p.role for p in people.phones.all() if p.revoked_at is None}


class TestHost:
    def test_it_gives_roles_and_puts_phones_out(self, app, link, people):
        phone, other = chief(app, link), joined(app, "look", "Tom")
        page = phone.open("/host")
        assert page.heading == "2 phones have joined"
        assert phone.post("/host/phones/2/role", {"role": "change"}).status_code == 303
        assert other.post("/sample").status_code == 302
        assert phone.post("/host/phones/2/revoke").status_code == 303
        assert other.get("/sets").status_code == 303
        code = people.secrets.codes
        assert phone.post("/host/renew").status_code == 303
        assert people.secrets.codes != code
        assert phone.post("/host/role", {"role": "look"}).status_code == 303
        assert "/host" in phone.open("/sets").links

    def test_the_laptop_sees_it_and_takes_the_right_away(self, app, link, people):
        phone, laptop = chief(app, link), host(app)
        page = laptop.open("/host")
        assert "Can give roles" in page.text
        assert laptop.post("/host/phones/1/role", {"role": "host"}).status_code == 303  # as it is
        assert phone.get("/host").status_code == 200
        assert laptop.post("/host/phones/1/role", {"role": "look"}).status_code == 303
        assert phone.get("/host").status_code == 403
        assert "Can give roles" not in laptop.open("/host").text
        assert laptop.post("/host/phones/1/role", {"role": "host"}).status_code == 422
        assert roles(people) == {"Ada": "look"}

    def test_it_is_a_phone_all_the_same(self, app, link):
        """It is revoked as others are, its name is on the record, and its token is its own."""
        phone, laptop = chief(app, link), host(app)
        assert phone.token != laptop.token
        assert phone.post("/sample", {"token": laptop.token}).status_code == 403
        phone.post("/sample")
        assert app.extensions["advisor"].sets.history(1)[0].who == "Ada"
        laptop.post("/host/phones/1/revoke")
        assert phone.get("/host").location == "/join?next=/host"

    def test_others_are_told_whom_to_ask(self, app, link):
        chief(app, link)
        text = Page(joined(app, "look", "Tom").post("/sample")).text
        assert "Ask one of these: whoever is at the laptop, Ada." in text

    def test_joining_again_by_the_usual_code_keeps_it(self, app, link, people):
        phone = chief(app, link)
        assert phone.open("/join").heading == "This phone has joined as Ada"
        assert phone.join("Ada").status_code == 303
        assert roles(people) == {"Ada": "host"}
        assert len(people.phones.all()) == 2

    def test_a_restart_keeps_it(self, app, link, tmp_path):
        phone = chief(app, link)
        phone.client.application = open_app(tmp_path / "data")
        assert phone.get("/host").status_code == 200


class TestPhonesPage:
    def test_an_open_link_is_told_and_withdrawn_there(self, app, link, people):
        laptop, code = host(app), link()
        page = laptop.open("/host")
        assert re.search(
            r"A link is open until \d\d:\d\d, .* Whoever opens it first can give roles", page.text
        )
        assert code not in page.html
        assert laptop.post("/host/invites/withdraw", {"invite": page.fields["invite"]}).location == "/host"
        assert "A link is open" not in laptop.open("/host").text
        assert Browser(app).join(code=code).status_code == 422
        assert people.phones.all() == []

    def test_one_that_ended_is_told_no_more(self, app, people):
        people.invites.make(datetime.now(UTC) - timedelta(minutes=31))
        assert "A link is open" not in host(app).open("/host").text

    @pytest.mark.parametrize("name", ["", "x", "../advisor.sqlite", "0" * 64])
    def test_one_that_is_none_is_withdrawn_without_ado(self, app, link, name):
        link()
        laptop = host(app)
        assert laptop.post("/host/invites/withdraw", {"invite": name}).status_code == 303
        assert "A link is open" in laptop.open("/host").text

    def test_it_says_how_to_make_one_and_where_the_data_is(self, app, tmp_path):
        text = host(app).open("/host").text
        assert "run advisor invite on the laptop" in text
        assert f"MB in {tmp_path / 'data'}" in text


class TestAttacks:
    def test_a_link_that_was_used_is_worth_nothing(self, app, link, people):
        code = link()
        for browser, status in ((Browser(app), 303), (Browser(app, "192.168.7.66"), 422)):
            assert browser.join("Ada", code=code).status_code == status
        assert roles(people) == {"Ada": "host"}
        page = Page(Browser(app, "192.168.7.67").join("Eve", code=code))
        assert "A link from “advisor invite” works once, within 30 minutes" in page.alerts[0]
        assert page.fields["name"] == "Eve"

    def test_of_two_at_once_one_gets_in(self, app, link, people):
        code, start, got = link(), threading.Barrier(6), []
        browsers = [Browser(app, f"192.168.7.{i}") for i in range(60, 66)]
        for browser in browsers:
            browser.open("/join")

        def use(browser):
            start.wait()
            got.append(browser.post("/join", {"name": "Ada", "code": code}).status_code)

        threads = [threading.Thread(target=use, args=(b,)) for b in browsers]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert sorted(got) == [303] + [422] * 5
        assert [p.role for p in people.phones.all()] == ["host"]

    def test_a_link_that_ended_is_worth_nothing(self, app, people):
        code = people.invites.make(datetime.now(UTC) - timedelta(minutes=31))
        assert Browser(app).join(code=code).status_code == 422
        assert people.phones.all() == []

    def test_to_open_it_uses_nothing_up(self, app, link):
        """A messenger that looks at links for its preview, a person who comes back later."""
        code = link()
        for _ in range(3):
            assert 'id="code"' not in Browser(app, "192.168.7.66").open(f"/join/{code}").html
        assert Browser(app).join(code=code).status_code == 303

    def test_a_name_that_is_none_uses_nothing_up(self, app, link, people):
        code, browser = link(), Browser(app)
        assert browser.join("", code=code).status_code == 422
        assert people.phones.all() == [] and len(people.invites.pending()) == 1
        assert browser.join("Ada", code=code).status_code == 303

    def test_who_guesses_waits_after_five_in_a_minute_and_others_do_not(self, app, link, people):
        code, stranger = link(), Browser(app, "192.168.7.66")
        stranger.open("/join")
        guesses = [stranger.post("/join", {"name": "Eve", "code": f"{i:022d}"}) for i in range(7)]
        assert [answer.status_code for answer in guesses] == [422] * 5 + [429] * 2
        assert 0 < int(guesses[-1].headers["Retry-After"]) <= 60
        assert stranger.post("/join", {"name": "Eve", "code": code}).status_code == 429, "also the right one"
        assert Browser(app).join(code=code).status_code == 303
        assert [p.name for p in people.phones.all()] == ["Mia"]

    def test_guesses_keep_nobody_from_a_new_link_or_from_the_usual_codes(self, app, link, people):
        first = link()
        for i in range(120):
            stranger = Browser(app, f"10.0.{i // 5}.1")
            stranger.token = Browser(app).open("/join").fields["token"]
            stranger.post("/join", {"name": "Eve", "code": f"{i:022d}"})
        browser = Browser(app)
        assert browser.join(code=first).status_code == 429
        assert browser.join("Typed").status_code == 303
        assert Browser(app, "192.168.7.21").join("QR", code=people.secrets.codes.scanned).status_code == 303
        assert Browser(app, "192.168.7.22").join("Ada", code=link()).status_code == 303
        assert roles(people) == {"Typed": "meter", "QR": "meter", "Ada": "host"}

    @pytest.mark.parametrize("role", ["look", "meter", "change"])
    def test_a_phone_with_a_role_gets_no_further_without_a_link(self, app, link, people, role):
        link()
        browser = joined(app, role, "Tom")
        codes = people.secrets.codes
        for code in (codes.typed, codes.scanned):
            assert browser.join("Tom", code=code, role="host").status_code == 303
        for path in ("/host/role", "/host/phones/1/role", "/host/phones/3/role", "/host/invites/withdraw"):
            assert browser.post(path, {"role": "host"}).status_code == 403
        assert roles(people) == {"Tom": role}
        assert len(people.invites.pending()) == 1
        assert browser.get("/host").status_code == 403

    def test_with_one_it_becomes_the_host_and_leaves_its_earlier_self_behind(self, app, link, people):
        browser = joined(app, "look", "Tom")
        old = browser.client.get_cookie("advisor_phone", domain=ADDRESS).value
        assert browser.join("Tom", code=link()).location == "/host"
        assert [(p.role, p.revoked_at is None) for p in people.phones.all()] == [
            ("look", False),
            ("host", True),
        ]
        assert browser.get("/host").status_code == 200
        before = Browser(app)
        before.client.set_cookie("advisor_phone", old, domain=ADDRESS)
        assert before.get("/sets").status_code == 303

    def test_no_phone_that_joins_becomes_one_by_the_role_of_new_phones(self, app, people):
        laptop = host(app)
        assert laptop.post("/host/role", {"role": "host"}).status_code == 422
        app.extensions["advisor"].choices.save("role of new phones", "host")  # by a hand in the file
        assert Browser(app).join("Eve").status_code == 303
        assert roles(people) == {"Eve": "meter"}

    def test_a_link_is_sent_from_a_page_of_ours_only(self, app, link, people):
        browser, code = Browser(app), link()
        page = browser.open(f"/join/{code}")
        for origin, token in (("http://evil.example", page.fields["token"]), (BASE, "x" * 43)):
            data = {"name": "Eve", "code": code, "token": token}
            answer = browser.ask("POST", "/join", data=data, headers={"Origin": origin})
            assert answer.status_code == 403
        assert people.phones.all() == [] and len(people.invites.pending()) == 1

    def test_at_the_laptop_it_is_not_used_up(self, app, link, people):
        assert host(app).post("/join", {"name": "Ada", "code": link()}).location == "/host"
        assert len(people.invites.pending()) == 1

    def test_a_disk_that_is_full_uses_nothing_up(self, app, link, people, monkeypatch):
        def fail(*_):
            raise OSError("full")

        code, browser = link(), Browser(app)
        with monkeypatch.context() as broken:
            broken.setattr(type(people.phones), "join", fail)
            assert browser.join(code=code).status_code == 500
        assert browser.join(code=code).status_code == 303

    def test_of_another_data_folder_it_is_worth_nothing(self, app, link, tmp_path):
        other = create_app(tmp_path / "other", lan=Lan(8080, bind=ADDRESS))
        other.extensions["people"].invites.make()
        assert Browser(other).join(code=link()).status_code == 422
