"""A write that arrives twice, as on a poor link or by a double tap, is done once."""

import json
import re
from concurrent.futures import ThreadPoolExecutor
from urllib.parse import urlsplit

import pytest

from advisor.store import StoreFault
from advisor.store.crew.answers import answer_of
from advisor.web.live import idempotency
from tests.benchmarks.bench_outage import WAYS, lost_and_doubled, outage
from tests.benchmarks.phones import served
from tests.conftest import own_pages
from tests.web.tables import filled

KEY = "0123456789abcdef0123456789abcdef"
READING = {"cct": "5600", "duv": "0.001"}
GELS = b"family,fraction,mired,cc,stops,stock,note\nAmber,full,90,,,,\n"
JSON = {"Accept": "application/json"}


@pytest.fixture
def send(client, sample):
    """Send a form as a script does, with a key."""

    def write(path, data, key=KEY, **headers):
        return client.post(path, data=data, headers={"Idempotency-Key": key, **headers})

    return write


@pytest.fixture
def readings(stores, sample):
    return lambda source=5: len(stores.sets.readings_of(source))


def test_a_write_with_a_key_is_done_once(send, readings):
    first = send("/sources/5/reading", READING)
    assert (first.status_code, first.location) == (302, "/sources/5")
    for _ in range(3):
        again = send("/sources/5/reading", READING)
        assert (again.status_code, again.location) == (303, "/sources/5")
    assert readings() == 2


def test_another_key_is_another_write(send, readings):
    for k in range(3):
        send("/sources/5/reading", READING, f"{KEY}{k}")
    assert readings() == 4


def test_a_script_is_told_by_json_where_it_leads(send, readings):
    for _ in range(2):
        answer = send("/sources/5/reading", READING, **JSON)
        assert (answer.status_code, answer.json["to"]) == (200, "/sources/5")
        assert "Location" not in answer.headers
        assert answer.headers["Answered-By"] == "advisor"
    assert readings() == 2


def test_json_without_a_key_changes_nothing_about_the_answer(client, sample):
    answer = client.post("/sources/5/reading", data=READING, headers=JSON)
    assert answer.status_code == 302
    assert "Answered-By" not in answer.headers


def test_what_is_refused_is_not_remembered(send, readings):
    assert send("/sources/5/reading", {"cct": "99", "duv": "0"}).status_code == 422
    assert readings() == 1
    assert send("/sources/5/reading", READING).status_code == 302
    assert readings() == 2


def test_a_conflict_is_not_remembered(send, stores):
    assert send("/sources/5/use", {"use_level": "50", "revision": "9"}).status_code == 409
    assert send("/sources/5/use", {"use_level": "50", "revision": "1"}).status_code == 302
    assert stores.sets.get_source(5).source.level == 50


def test_an_answer_that_is_an_error_is_known_to_be_ours(send):
    assert send("/sources/99/reading", READING).headers["Answered-By"] == "advisor"


@pytest.mark.parametrize("key", ["short", "x" * 65, "0123456789abcde/", "0123456789abcdef\xe9"])
def test_a_key_that_is_none_is_refused_in_words(send, readings, key):
    answer = send("/sources/5/reading", READING, key)
    assert answer.status_code == 422
    assert "16 to 64 letters" in answer.get_data(as_text=True)
    assert readings() == 1


def test_a_source_that_is_removed_twice_is_led_to_the_same_place(send):
    places = [send("/sources/5/delete", {}).location for _ in range(2)]
    assert places == ["/sets/1?removed=5"] * 2


def test_a_write_that_a_view_would_refuse_the_second_time_is_led_on_too(send):
    for _ in range(2):  # the gel is gone by the second time
        assert send("/gels/remove", {"name": "ND 0.3"}).status_code in (302, 303)


def test_eight_at_once_are_one(app, sample, readings):
    def write(_):
        client = own_pages(app)
        return client.post("/sources/5/reading", data=READING, headers={"Idempotency-Key": KEY}).status_code

    with ThreadPoolExecutor(8) as pool:
        assert set(pool.map(write, range(8))) <= {302, 303}
    assert readings() == 2


def test_a_form_that_a_script_has_shown_as_a_page_bears_its_key(client, sample, readings):
    refused = client.post("/sources/5/reading", data={"cct": "9", "duv": "0", "once": KEY})
    assert f'<meta name="answers" content="{KEY}">' in refused.get_data(as_text=True)
    for _ in range(2):
        client.post("/sources/5/reading", data={**READING, "once": KEY})
    assert readings() == 2
    assert "answers" not in client.get("/sources/5").get_data(as_text=True)


class TestDoubleTap:
    """Forms that were rendered bring what makes two taps one."""

    @pytest.fixture
    def form(self, get, sample):
        return lambda path: {"tap": get(path).fields["tap"]}

    def test_two_taps_are_one_reading(self, form, post, readings):
        data = {**form("/sources/5"), **READING}
        for _ in range(2):
            assert "5 600 K" in post("/sources/5/reading", data).text
        assert readings() == 2

    def test_the_same_form_with_another_reading_is_another_one(self, form, post, readings):
        tap = form("/sources/5")
        post("/sources/5/reading", {**tap, **READING})
        post("/sources/5/reading", {**tap, **READING, "cct": "5700"})
        assert readings() == 3

    def test_the_same_reading_of_a_form_shown_anew_is_another_one(self, form, post, readings):
        for _ in range(2):
            post("/sources/5/reading", {**form("/sources/5"), **READING})
        assert readings() == 3

    def test_two_taps_are_one_source(self, form, post, stores):
        data = {**form("/sets/1/sources/new"), "name": "Neon", "kind": "unknown", **READING}
        for _ in range(2):
            assert post("/sets/1/sources/new", data).status == 200
        assert [s.source.name for s in stores.sets.get_set(1).sources].count("Neon") == 1

    @pytest.mark.parametrize(
        ("page", "path", "data"),
        [
            ("/sets/new", "/sets/new", {"name": "A", "target_cct": "5600", "target_locus": "daylight"}),
            ("/sets", "/sample/remove", {}),
            ("/sets/1/record", "/sets/1/duplicate", {}),
            ("/sets/1/days", "/sets/1/duplicate", {}),
        ],
    )
    def test_two_taps_are_one_set(self, form, client, stores, page, path, data):
        first, second = [client.post(path, data={**form_once, **data}) for form_once in [form(page)] * 2]
        assert (first.status_code, second.status_code) == (302, 303)
        assert second.location == first.location
        assert len(stores.sets.list_sets()) == (0 if "remove" in path else 2)

    def test_two_taps_load_one_sample(self, client, get, stores):
        tap = {"tap": get("/sets").fields["tap"]}
        assert [client.post("/sample", data=tap).location for _ in range(2)] == ["/sets/1"] * 2
        assert len(stores.sets.list_sets()) == 1


class TestDoubleTapWithAFile:
    """So do forms that may bring a file, whose content tells one write from another."""

    @pytest.fixture
    def record(self, get, sample) -> bytes:
        whole = json.loads(get("/sets/1/export.json").html)
        return json.dumps({**whole, "uid": "another"}).encode()

    def test_two_taps_restore_one_set(self, record, get, post, stores):
        data = {"tap": get("/sets/import").fields["tap"]}
        for _ in range(2):
            page = post("/sets/import", data, file=record)
            assert (page.status, page.heading) == (200, "Bakery before dawn (invented sample)")
        assert len(stores.sets.list_sets()) == 2

    def test_so_where_the_answer_is_a_page_of_differences(self, record, get, post, stores):
        post("/gels/remove", {"name": "CTO 1/4"})
        data = {"tap": get("/sets/import").fields["tap"]}
        assert post("/sets/import", data, file=record).heading.startswith("Imported. 1 gel")
        assert post("/sets/import", data, file=record).heading == "Bakery before dawn (invented sample)"
        assert len(stores.sets.list_sets()) == 2

    def test_another_file_is_another_write(self, record, get, post, stores):
        data = {"tap": get("/sets/import").fields["tap"]}
        for k in range(2):
            post("/sets/import", data, file=record.replace(b"another", b"number%d" % k))
        assert len(stores.sets.list_sets()) == 3

    def test_two_taps_import_one_table(self, get, post, stores):
        fields = filled(post("/gels/import", get("/gels/import").fields, file=GELS)) | {"do": "replace"}
        for _ in range(2):
            assert post("/gels/import", fields).status == 200
        assert stores.gels.in_force().version == 1

    def test_two_taps_paste_a_reading_once(self, get, post, sample, stores):
        row = "name,CCT,Duv,level\nBacklight,3100,0.0,80"
        page = post("/sets/1/paste", {"text": row}, file=b"")
        data = {**page.fields, "row-2": "Backlight,3100,0.0,80", "use-2": "yes", "into-2": "5"}
        for _ in range(2):
            assert post("/sets/1/paste", {**data, "save": "yes"}, file=b"").status == 200
        assert len(stores.sets.readings_of(5)) == 2

    def test_every_form_with_a_file_brings_a_tap(self, sample, get):
        for path in ("/sets/1/paste", "/sets/import", "/gels/import", "/gels/teach"):
            form = re.search(r"<form[^>]*multipart/form-data.*?</form>", get(path).html, re.DOTALL)
            assert re.search(r'name="tap" value="[\w-]{16}"', form[0]), path


class TestWhereItLed:
    """Where the server stopped between a write and its answer, the way back is where the write came from."""

    @pytest.fixture
    def forgotten(self, send, monkeypatch, stores):
        def fail(*_):
            raise StoreFault("the disk is full")

        monkeypatch.setattr(idempotency, "set_answer", fail)
        assert send("/sources/5/reading", READING).status_code == 302
        monkeypatch.undo()
        assert answer_of(stores.sets.db, KEY) == ""

    @pytest.mark.parametrize(
        ("referrer", "place"),
        [
            ("http://localhost/sources/5?gel=CTO", "/sources/5?gel=CTO"),
            ("http://evil.example/sources/5", "/sets"),
            ("http://localhost//evil.example", "/sets"),
            ("", "/sets"),
        ],
    )
    def test_it_leads_back(self, forgotten, send, readings, referrer, place):
        again = send("/sources/5/reading", READING, Referer=referrer)
        assert (again.status_code, again.location) == (303, place)
        assert readings() == 2


def test_what_a_view_sets_stays_with_the_answer_for_a_script(send):
    answer = send("/look", {"look": "day"}, **JSON)
    assert any("look=day" in cookie for cookie in answer.headers.getlist("Set-Cookie"))
    assert answer.json["to"] == "/"


def test_every_address_that_leads_on_stays_ours(send):
    answer = send("/look", {"look": "day", "back": "http://evil.example/"})
    assert urlsplit(answer.location).netloc == ""


def test_what_follows_in_the_same_thread_bears_no_key(send, client, readings, stores):
    send("/sources/5/reading", READING)
    stores.sets.add_reading(5, stores.sets.get_source(5).source.reading)
    client.post("/sources/5/reading", data=READING)
    assert readings() == 4


def test_forms_that_add_bring_a_tap(sample, get):
    for path in ("/sources/5", "/sets/1/sources/new"):
        assert re.search(r'name="tap" value="[\w-]{16}"', get(path).html)


def test_a_link_that_drops_loses_nothing_and_doubles_nothing(tmp_path):
    with served(tmp_path) as port:
        drops, edits, wrong = outage(port, 100)
    assert wrong == []
    assert drops.total() == 100
    assert set(drops) == set(WAYS)
    assert lost_and_doubled(tmp_path, edits) == (0, 0)
