"""What a stranger, or a phone that wants more than it was given, may try: a test each, with what stops it."""

import re

import pytest

from advisor.model import Gel, GelTable
from tests.web.page import Page
from tests.web.phones import ADDRESS, BASE, Browser, host, joined, open_app
from tests.web.test_every_page import addresses

MARKUP = "<b>&\"'</b><script>alert(1)</script>"
READING = {"cct": "5600", "duv": "0.001"}


@pytest.fixture
def app(tmp_path, closing):
    return closing(open_app(tmp_path / "data"))


@pytest.fixture
def phone(app):
    return joined(app, "change")


def kept(app):
    state = app.extensions["advisor"]
    return [state.sets.get_set(line.id) for line in state.sets.list_sets()], state.gels.in_force()


class TestCrossSite:
    @pytest.mark.parametrize(
        "origin", ["http://evil.example", "null", f"http://{ADDRESS}", f"https://{ADDRESS}:8080"]
    )
    def test_a_form_on_another_site_is_refused_by_its_origin(self, app, phone, origin):
        before = kept(app)
        answer = phone.post("/sample", headers={"Origin": origin})
        assert answer.status_code == 403
        assert kept(app) == before

    def test_one_that_hides_its_origin_too(self, app, phone):
        answer = phone.ask("POST", "/sample", data={"token": phone.token})
        assert answer.status_code == 403
        assert kept(app)[0] == []

    @pytest.mark.parametrize("token", ["", "x", "x" * 43, "ẞ"])
    def test_with_our_origin_a_wrong_token_is_refused_and_what_was_typed_shown_again(self, app, phone, token):
        page = Page(phone.post("/sets/new", {"token": token, "name": "Stage 4", "target_cct": "5600"}))
        assert page.status == 403
        assert page.heading == "This page is from before this phone joined again, so nothing was changed"
        assert "Name Stage 4" in page.text and "Target CCT 5600" in page.text
        assert kept(app)[0] == []

    def test_another_phones_token_is_worth_nothing(self, app, phone):
        other = joined(app, "change", "Tom", "192.168.7.21")
        assert phone.token != other.token
        assert phone.post("/sample", {"token": other.token}).status_code == 403
        assert phone.post("/sample", {"token": host(app).token}).status_code == 403

    def test_a_script_of_ours_may_send_the_token_as_a_header(self, app, phone):
        answer = phone.post("/sample", {"token": ""}, headers={"X-Token": phone.token})
        assert answer.status_code == 302

    def test_every_form_holds_the_token(self, app, shipped, phone):
        laptop, forms = host(app), 0
        for path in {path for _, path in addresses(app)}:
            for browser in (phone, laptop):
                with browser.get(path) as answer:
                    if answer.mimetype != "text/html":
                        continue
                    for form in re.findall(r'<form[^>]*method="post".*?</form>', answer.text, re.DOTALL):
                        assert f'name="token" value="{browser.token}"' in form, (path, form[:200])
                        forms += 1
        assert forms > 50


@pytest.mark.parametrize(
    "name", ["evil.example", f"{ADDRESS}.evil.example", "192.168.7.2:8080", "", "localhost."]
)
def test_a_forged_host_name_is_not_answered(app, phone, name):
    for path in ("/", "/join", "/sets", "/api/v1/openapi.json"):
        answer = phone.get(path, headers={"Host": name})
        assert answer.status_code == 421
        assert "Mia" not in answer.text


class TestStoredMarkup:
    def test_it_stays_text_on_every_page(self, app):
        """In every field that keeps text; the pages are all there are."""
        browser = Browser(app)
        assert browser.join(MARKUP[:40]).status_code == 303
        app.extensions["people"].phones.change_role(1, "change")
        sets = (
            "/sets/new",
            {"name": MARKUP, "note": MARKUP, "target_cct": "5600", "target_locus": "daylight"},
        )
        source = {"kind": "led-mix", "note": MARKUP, **READING, "modifier": MARKUP[:30], "lux": "900"}
        assert browser.post(*sets).status_code == 302
        for name in (MARKUP, f"2{MARKUP}"):
            answer = browser.post("/sets/1/sources/new", {"name": name, **source})
            assert answer.status_code == 302, Page(answer).alerts
        gel = {"family": "Mine", "fraction": "full", "mired": "9", "note": MARKUP, "on": "yes"}
        assert browser.post("/gels/new", gel).status_code == 302
        assert browser.post("/sources/2/use", {"use_level": "50", "use_modifier": ""}).status_code == 302
        seen = 0
        for each in (browser, host(app)):
            for path in {path for _, path in addresses(app)}:
                with each.get(path) as answer:
                    if answer.mimetype == "text/html":
                        assert "<script>alert" not in answer.text, path
                        assert "<b>" not in answer.text, path
                        seen += "&lt;script&gt;" in answer.text
        assert seen > 20

    def test_an_address_that_holds_it_too(self, app, phone):
        for path in ("/join/%3Cb%3E", "/join?next=%3Cb%3E", "/host?out=%3Cb%3E", "/nothing/%3Cb%3E"):
            for browser in (phone, Browser(app), host(app)):
                assert "<b>" not in browser.get(path, follow_redirects=True).text


class TestTraversal:
    NAMES = (
        "../secrets.json",
        "..%2f..%2fpyproject.toml",
        "%2e%2e/advisor.sqlite",
        "/etc/passwd",
        "..\\x",
        "a%00b",
    )

    @pytest.mark.parametrize("name", NAMES)
    def test_beside_the_static_files_nothing_is_served(self, app, phone, name):
        with phone.get(f"{app.static_url_path}/{name}") as answer:
            assert answer.status_code in (404, 308)  # two slashes lead to one

    @pytest.mark.parametrize("path", ["/sets/1/{}", "/sets/{}/export.json", "/sets/{}/pulls.csv", "/gels/{}"])
    @pytest.mark.parametrize("name", NAMES)
    def test_exports_know_numbers_and_no_files(self, phone, path, name):
        assert phone.get(path.format(name)).status_code in (404, 308)

    def test_the_name_of_a_set_makes_no_path_of_its_export(self, app, phone, stores):
        phone.post(
            "/sets/new", {"name": '../../x"\r\ny: z', "target_cct": "5600", "target_locus": "daylight"}
        )
        headers = phone.get("/sets/1/export.json").headers
        assert re.fullmatch(r"attachment; filename=[\w-]+\.json", headers["Content-Disposition"])
        assert "y" not in headers

    @pytest.mark.parametrize("name", ["../amber.csv", "/etc/passwd", "..\\amber.csv"])
    def test_a_gel_table_reads_no_file_of_the_laptop(self, app, phone, name):
        answer = phone.post("/gels/import", {"text": f"family,fraction,spectrum\nMine,full,{name}\n"})
        assert answer.status_code == 422
        assert "is not a plain file name" in Page(answer).alerts[0]


class TestSessions:
    def test_a_token_planted_before_joining_is_worth_nothing_after(self, app):
        victim, planted = Browser(app), "x" * 43
        victim.client.set_cookie("advisor_phone", planted, domain=ADDRESS)
        assert victim.join().status_code == 303
        assert victim.client.get_cookie("advisor_phone", domain=ADDRESS).value != planted
        stranger = Browser(app, "192.168.7.99")
        stranger.client.set_cookie("advisor_phone", planted, domain=ADDRESS)
        assert stranger.get("/sets").status_code == 303

    def test_the_cookie_of_a_phone_that_was_put_out_opens_nothing(self, app, phone):
        host(app).post("/host/phones/1/revoke")
        for path in ("/sets", "/api/v1/gels", "/live/1"):
            assert phone.get(path).status_code in (303, 401)
        assert phone.post("/sample").status_code == 401

    def test_that_of_a_phone_that_joined_anew_neither(self, app, phone):
        old = phone.client.get_cookie("advisor_phone", domain=ADDRESS).value
        phone.join("Mia")
        thief = Browser(app, "192.168.7.99")
        thief.client.set_cookie("advisor_phone", old, domain=ADDRESS)
        assert thief.get("/sets").status_code == 303


class TestEscalation:
    @pytest.mark.parametrize("field", ["role", "host", "phone_id", "right"])
    def test_nobody_names_a_role_while_joining(self, app, field):
        browser = Browser(app)
        browser.join(**{field: "change"})
        assert [p.role for p in app.extensions["people"].phones.all()] == ["meter"]

    def test_nobody_gives_a_role_to_oneself(self, app):
        browser = joined(app, "look")
        for path in ("/host/phones/1/role", "/host/role"):
            assert browser.post(path, {"role": "change"}).status_code == 403
        assert browser.post("/sample").status_code == 403

    def test_joining_again_gives_no_more(self, app):
        browser = joined(app, "look")
        browser.join()
        assert browser.post("/sample").status_code == 403

    @pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "HEAD", "GET"])
    @pytest.mark.parametrize("header", ["X-HTTP-Method-Override", "X-Method-Override"])
    def test_no_other_method_goes_round_the_table(self, app, sample, method, header):
        browser = joined(app, "look")
        before = kept(app)
        answer = browser.ask(
            method,
            "/sets/1/delete?_method=POST",
            headers={"Origin": BASE, "X-Token": browser.token, header: "POST"},
        )
        assert answer.status_code == 405
        assert kept(app) == before


class TestFormulas:
    @pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t="])
    def test_a_gel_table_for_a_spreadsheet_holds_none(self, app, phone, stores, sign):
        gel = Gel(family="Mine", fraction="full", mired=-9, note=f"{sign}cmd()")
        stores.gels.replace(GelTable(rows=[gel]), "test", None)
        line = phone.get("/gels/gels.csv").text.splitlines()[-1]
        assert "'" in line
        assert not re.search(r'(^|,)"?[=+@\t]', line)
        assert ",-9," in line  # a number stays one

    @pytest.mark.parametrize("sign", ["=", "+", "-", "@"])
    def test_nor_does_a_pull_list(self, app, phone, sign):
        name = f"{sign}cmd()"
        phone.post("/sets/new", {"name": name, "target_cct": "5600", "target_locus": "daylight"})
        phone.post("/sets/1/sources/new", {"name": name, "kind": "daylight", "cct": "9000", "duv": "0"})
        text = phone.get("/sets/1/pulls.csv").text
        assert f"'{name}" in text
        assert not re.search(rf'(^|[,"]){re.escape(name)}', text)


class TestOldPages:
    """An open page of an earlier version sends fields that are no longer known, and lacks new ones."""

    def test_every_form_gets_words(self, app, shipped, phone):
        from tests.web.access.test_roles import unsafe

        laptop = host(app)
        for view, path in list(unsafe(app)):
            for browser in (phone, laptop):
                for data in (
                    {},
                    {"colour": "red", "cct[]": "1", "revision": "x", "version": "x", "tap": "x"},
                ):
                    answer = browser.post(path, data)
                    assert answer.status_code < 500, (view, data)
                    if answer.status_code >= 400 and answer.mimetype == "text/html":
                        page = Page(answer)
                        assert page.heading
                        assert page.alerts or "Allowed" in page.text or len(page.text) > 40, (view, data)

    def test_styles_of_another_version_are_not_mixed_in(self, app, phone):
        assert re.fullmatch(r"/static/[0-9a-f]{12}", app.static_url_path)
        with phone.get(f"{app.static_url_path}/advisor.css") as answer:
            assert answer.status_code == 200
        assert phone.get("/static/0123456789ab/advisor.css").status_code == 404
