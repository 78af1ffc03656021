"""Phones join by a code: by hand or by QR, within limits, each with a token of its own."""

import hashlib
import re
import sqlite3

import pytest

from advisor.store import StoreFault
from tests.web.page import Page
from tests.web.phones import BASE, Browser, host, joined, open_app


@pytest.fixture
def app(tmp_path, closing):
    return closing(open_app(tmp_path / "data"))


@pytest.fixture
def people(app):
    return app.extensions["people"]


class TestStrangers:
    @pytest.mark.parametrize("look", ["day", "dim"])
    def test_the_page_to_join_keeps_the_look_that_the_phone_chose(self, app, people, look):
        phone = joined(app, "look")
        phone.post("/look", {"look": look})
        asked = f'data-look="{look}"'
        assert asked in phone.get("/join").text
        people.phones.revoke(people.phones.all()[-1].id)
        out = phone.open("/join?next=%2Fsets")
        assert out.heading == "Signed out"
        assert asked in phone.get("/join?next=%2Fsets").text

    @pytest.mark.parametrize("path", ["/", "/sets", "/sets/1", "/sets/99", "/nothing", "/host", "/gels?x=1"])
    def test_every_page_leads_to_the_one_to_join(self, app, path):
        answer = Browser(app).get(path)
        assert answer.status_code == 303
        assert answer.location == "/join?next=" + path.replace("=", "%3D")

    @pytest.mark.parametrize("path", ["/sample", "/sets/new", "/sets/99/delete", "/nothing", "/host/renew"])
    def test_no_form_of_theirs_is_taken(self, app, path):
        browser = Browser(app)
        page = browser.open("/join")
        answer = browser.post(path)
        assert answer.status_code == 401
        assert Page(answer).heading == "This phone has not joined, so nothing was changed"
        assert page.links == Page(answer).links[:-1] == []
        assert app.extensions["advisor"].sets.list_sets() == []

    @pytest.mark.parametrize(
        ("path", "way"),
        [
            ("/api/v1/gels", "a key from the page Phones, sent as Authorization: Bearer KEY"),
            ("/api/v1/nothing", "a key from the page Phones, sent as Authorization: Bearer KEY"),
            ("/live/1", "join at /join with the code that the laptop shows"),
        ],
    )
    def test_a_program_is_told_in_its_own_shape(self, app, path, way):
        answer = Browser(app).get(path)
        assert answer.status_code == 401
        assert answer.json["errors"][0]["allowed"] == way

    def test_a_script_that_asks_for_a_part_of_a_page_gets_no_page(self, app):
        assert Browser(app).get("/?cct=5600&duv=0&part=answer").status_code == 401

    def test_styles_are_open_and_nothing_beside_them(self, app):
        for path, status in (("advisor.css", 200), ("nothing.css", 404), ("../secrets.json", 404)):
            with Browser(app).get(f"{app.static_url_path}/{path}") as answer:
                assert answer.status_code == status

    def test_a_disk_that_is_full_tells_them_no_folder(self, app, monkeypatch, people):
        def fail(*_):
            raise StoreFault("The disk of /home/mia is full.")

        monkeypatch.setattr(type(people.phones), "join", fail)
        browser = Browser(app)
        browser.open("/join")
        answer = browser.post("/join", {"name": "Mia", "code": people.secrets.codes.typed})
        assert answer.status_code == 503
        assert "/home" not in answer.text


class TestJoining:
    def test_with_the_typed_code_one_is_in_and_goes_where_one_wanted(self, app):
        browser = Browser(app)
        asked = Page(browser.get("/gels", follow_redirects=True))
        assert asked.heading == "Join Gel advisor"
        answer = browser.join(next=asked.fields["next"])
        assert (answer.status_code, answer.location) == (303, "/gels")
        assert browser.open("/gels").status == 200

    def test_with_the_scanned_code_only_the_name_is_asked(self, app, people):
        browser = Browser(app)
        page = browser.open(f"/join/{people.secrets.codes.scanned}")
        assert 'id="code"' not in page.html
        answer = browser.post("/join", {**page.fields, "name": "Mia"})
        assert (answer.status_code, answer.location) == (303, "/start")

    def test_who_typed_the_address_alone_goes_where_a_phone_begins(self, app):
        assert Browser(app).join(next="/").location == "/start"

    @pytest.mark.parametrize(
        "wish", ["https://evil.example/", "//evil.example", "/\\evil.example", "x", "/\t/e"]
    )
    def test_nobody_is_led_elsewhere(self, app, wish):
        assert Browser(app).join(next=wish).location == "/start"

    def test_the_cookie_is_for_this_server_alone(self, app, tmp_path, closing):
        cookie = Browser(app).join().headers["Set-Cookie"]
        assert re.search(r"^advisor_phone=[\w-]{43};", cookie)  # 256 bits in base 64
        assert {"HttpOnly", "Path=/", "SameSite=Strict"} <= set(cookie.split("; "))
        assert "Secure" not in cookie
        base = BASE.replace("http", "https")
        over_tls = Browser(closing(open_app(tmp_path / "tls", secure=True)), base=base).join()
        assert "Secure" in over_tls.headers["Set-Cookie"].split("; ")

    def test_of_the_token_only_the_hash_is_kept(self, app, tmp_path):
        token = Browser(app).join().headers["Set-Cookie"].partition("=")[2].partition(";")[0]
        with sqlite3.connect(tmp_path / "data" / "advisor.sqlite") as conn:
            [(kept,)] = conn.execute("SELECT token_hash FROM phones")
        conn.close()
        assert kept == hashlib.sha256(token.encode()).hexdigest()

    @pytest.mark.parametrize(
        ("name", "says"), [("", "there is no name"), ("  ", "there is no name"), ("x" * 41, "is too long")]
    )
    def test_a_name_that_is_none_is_refused_and_the_code_kept(self, app, people, name, says):
        browser = Browser(app)
        browser.open("/join")
        page = Page(browser.post("/join", {"name": name, "code": people.secrets.codes.typed}))
        assert page.status == 422
        assert says in page.alerts[0]
        assert page.fields["code"] == people.secrets.codes.typed
        assert people.phones.all() == []

    @pytest.mark.parametrize("code", ["", "ABCD", "x" * 22, "ABCD-EFGH", "\u202e", "x" * 5000])
    def test_a_wrong_code_is_told_and_the_name_kept(self, app, people, code):
        page = Page(Browser(app).join(code=code))
        assert page.status == 422
        assert "8 letters and figures" in page.alerts[0]
        assert page.fields["name"] == "Mia"
        assert people.phones.all() == []

    def test_who_joined_is_who_the_record_names(self, app):
        browser = joined(app, "change", "Mia")
        browser.client.set_cookie("who", "Somebody else", domain="192.168.7.1")
        browser.post("/sample")
        [change, *_] = app.extensions["advisor"].sets.history(1)
        assert change.who == "Mia"

    def test_a_phone_can_take_another_name(self, app, people):
        browser = joined(app, "look", "Mai")
        page = browser.open("/look")
        assert page.fields["who"] == "Mai"
        browser.post("/look", {"who": "Mia", "back": "/sets"})
        assert [p.name for p in people.phones.all()] == ["Mia"]
        assert browser.open("/look").fields["who"] == "Mia"

    def test_joining_again_leaves_the_earlier_self_behind_with_its_role(self, app, people):
        browser = joined(app, "look")
        assert browser.open("/join").heading == "This phone has joined as Mia"
        assert browser.join("Mia B").status_code == 303
        first, second = people.phones.all()
        assert first.revoked_at is not None
        assert (second.name, second.role, second.revoked_at) == ("Mia B", "look", None)

    def test_the_host_needs_no_code(self, app):
        laptop = host(app)
        assert laptop.open("/sets").status == 200
        assert laptop.open("/join").heading == "This laptop needs no code"
        assert laptop.post("/join", {"code": "", "name": ""}).location == "/host"

    @pytest.mark.parametrize(
        ("address", "name"), [("127.0.0.1", "192.168.7.1"), ("192.168.7.1", "127.0.0.1")]
    )
    def test_the_host_is_at_the_laptop_and_says_so(self, app, address, name):
        assert Browser(app, address, f"http://{name}:8080").get("/sets").status_code == 303

    def test_a_forwarded_address_is_not_believed(self, app):
        headers = {
            "X-Forwarded-For": "127.0.0.1",
            "X-Forwarded-Host": "127.0.0.1",
            "Forwarded": "for=127.0.0.1",
        }
        assert Browser(app).get("/sets", headers=headers).status_code == 303


class TestLimits:
    def test_after_five_wrong_codes_an_address_waits_and_others_do_not(self, app):
        browser = Browser(app)
        assert [browser.join(code="ABCD-EFGH").status_code for _ in range(6)] == [422] * 5 + [429]
        answer = browser.join()  # the right one, too soon
        assert answer.status_code == 429
        assert 0 < int(answer.headers["Retry-After"]) <= 60
        assert "or scan the QR code" in Page(answer).alerts[0]
        assert Browser(app, "192.168.7.21").join().status_code == 303

    def test_a_thousand_wrong_codes_let_nobody_in_and_keep_nobody_out(self, app, people):
        browser = Browser(app)
        browser.open("/join")
        statuses = {browser.post("/join", {"name": "X", "code": f"{i:08d}"}).status_code for i in range(1000)}
        assert statuses == {422, 429}
        assert people.phones.all() == []
        assert Browser(app, "192.168.7.21").join().status_code == 303

    def test_when_strangers_used_up_the_hour_the_qr_still_works_and_a_new_code_too(self, app, people):
        for i in range(100):
            assert people.rates.admit(f"10.0.0.{i}") == 0
        assert Browser(app).join().status_code == 429
        assert Browser(app).join(code=people.secrets.codes.scanned).status_code == 303
        laptop = host(app)
        assert "Typed codes are locked for 60 minutes" in laptop.open("/host").alerts[0]
        laptop.post("/host/renew")
        assert laptop.open("/host").alerts == []
        assert Browser(app).join().status_code == 303

    def test_those_who_typed_it_right_use_up_nothing(self, app):
        for i in range(12):
            assert Browser(app).join(f"Phone {i}").status_code == 303


class TestLeaving:
    def test_a_phone_that_was_put_out_is_told_at_its_next_request(self, app):
        browser, laptop = joined(app, "change"), host(app)
        assert browser.get("/sets").status_code == 200
        assert laptop.post("/host/phones/1/revoke").location == "/host?out=1"
        assert browser.get("/sets").location == "/join?next=/sets"
        assert browser.open("/join").heading == "Signed out"
        assert browser.post("/sample").status_code == 401

    def test_a_new_code_keeps_those_who_joined_and_ends_the_old_one(self, app, people):
        browser, laptop, old = joined(app, "change"), host(app), people.secrets.codes
        laptop.post("/host/renew")
        assert browser.get("/sets").status_code == 200
        for code in (old.typed, old.scanned):
            assert Browser(app).join(code=code).status_code == 422

    def test_a_restart_keeps_those_who_joined_and_their_open_pages(self, app, tmp_path, closing):
        browser = joined(app, "change")
        again = closing(open_app(tmp_path / "data"))
        browser.client.application = again
        assert browser.post("/sample").status_code == 302
