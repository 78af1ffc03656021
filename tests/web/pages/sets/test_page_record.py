"""The record's pages: who did what, export and restore."""

import io
import json
import re

import pytest

from advisor.model import LightSet, NoGel, Reading, Role, Target, WantedOffset, Work
from advisor.web.app import create_app
from tests.conftest import own_pages
from tests.web.page import plain

NAME = "Bakery before dawn (invented sample)"


@pytest.fixture
def record(sample, client) -> str:
    return client.get("/sets/1/export.json").text


class TestRecord:
    def test_it_leads_to_all_that_a_record_is_for(self, sample, get):
        page = get("/sets/1/record")
        assert page.heading == "6 readings of 6 sources on record"
        wanted = {"/sets/1/sheet", "/sets/1/tags", "/sets/1/export.json", "/sets/1/days", "/sets/import"}
        assert wanted <= set(page.links)
        assert "/sets/1/duplicate" in page.posts

    def test_a_reading_that_was_fixed_counts_once(self, sample, get, post, stores):
        read = stores.sets.readings_of(1)[0]
        page = post(f"/readings/{read.id}/mend", {"cct": "4444", "duv": "0.001"})
        assert page.status == 200 and stores.sets.get_source(1).source.reading.cct == 4444
        assert get("/sets/1/record").heading == "6 readings of 6 sources on record"

    def test_what_was_decided_of_a_source_is_said_in_english(self, sample, get, change):
        change(5, aim=WantedOffset(leave=True))
        change(4, no_gel=NoGel.OTHER, role=Role.PRACTICAL)
        change(4, no_gel=None)
        text = get("/sets/1/record").text
        for said in (
            "Backlight: stays bare on purpose",
            "Oven room tubes: takes no gel · role: practical",
            "Oven room tubes: gel may hang on it again",
        ):
            assert said in text

    def test_what_is_kept_off_on_purpose_is_said_of_what_hangs(self, sample, get, change, stores):
        change(2, aim=WantedOffset(mired=40), work=Work(stage="hung", gels=["CTO 1/8"]))
        up = get("/sets/1/record").text.split("Changes, newest first")[0]
        assert re.search(r"Kept [^.]* CTO warm\. Obvious\.", up)
        change(2, aim=WantedOffset())
        assert "Kept" not in get("/sets/1/record").text.split("Changes, newest first")[0]

    def test_it_says_who_did_what_newest_first(self, sample, get, stores):
        stores.sets.by("Noor <script>").add_reading(1, Reading(cct=6700, duv=0.004, lux=800, level=80))
        listed = get("/sets/1/record").html.split("Changes, newest first")[1]
        first, second = re.findall(r"<li>(.*?)</li>", listed, re.DOTALL)[:2]
        assert first.startswith("<p>Shop window: read 6 700 K, Duv +0.0040, 800 lx, at 80 %<br>")
        assert re.search(r"\d\d:\d\d, \d+ \w{3}</time> · Noor &lt;script&gt;", first)
        assert second.startswith("<p>Shelf lamps: added, read 2 720 K")

    def test_what_was_planned_is_listed(self, sample, get, stores):
        source = stores.sets.get_source(1).source
        planned = Work(gels=["CTO 1/4"])
        stores.sets.update_source(1, source.model_copy(update={"work": planned}))
        assert "Shop window: planned: ¼ CTO" in get("/sets/1/record").text

    def test_it_lists_two_hundred_changes_and_all_of_the_last_day(self, sample, get, stores):
        for k in range(200):
            stores.sets.update_set(1, note=f"note {k}")
        page = get("/sets/1/record")
        assert "added, read" in page.text and "The newest" not in page.text
        with stores.sets.db.write() as conn:
            conn.execute("UPDATE changes SET at = '2026-01-' || substr(at, 9)")
        page = get("/sets/1/record")
        assert page.html.count("Set changed: note<br>") == 200
        assert "added, read" not in page.text
        assert "The newest 200 changes" in page.text

    def test_the_newest_stand_there_and_the_others_behind_a_tap(self, sample, get, stores):
        for k in range(10):
            stores.sets.update_set(1, note=f"note {k}")
        shown, _, folded = get("/sets/1/record").html.partition('<details class="older">')
        assert shown.count("Set changed: note<br>") == 8
        assert folded.count("Set changed: note<br>") == 2 and re.search("9.older changes", folded)
        assert "older" not in get("/sets/1/record?source=1").html.split("Changes, newest first")[1]

    def test_a_set_of_none(self, get, stores):
        stores.sets.create_set(LightSet(name="Nothing yet", target=Target(cct=5600)))
        assert get("/sets/1/record").heading == "No reading on record yet"

    def test_a_set_that_is_not_there(self, get, post):
        assert [get(f"/sets/9/{page}").status for page in ("record", "days", "export.json")] == [404] * 3
        assert post("/sets/9/duplicate").status == 404


class TestExport:
    def test_it_is_a_download(self, sample, client):
        answer = client.get("/sets/1/export.json")
        assert answer.mimetype == "application/json"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Content-Disposition"] == (
            "attachment; filename=set-bakery-before-dawn-invented-sample.json"
        )
        assert json.loads(answer.text)["set"]["name"] == NAME

    @pytest.mark.parametrize(
        ("name", "file"),
        [
            ("../../etc/passwd", "set-etc-passwd.json"),
            ('a"; filename=b.exe', "set-a-filename-b-exe.json"),
            ("a\r\nb", "set-a-b.json"),
            ("CON", "set-con.json"),
            ("Bühne 4", "set-buhne-4.json"),
            ("朝", "set.json"),
            ("n" * 80, "set-" + "n" * 76 + ".json"),
        ],
    )
    def test_its_name_is_safe_whatever_the_sets_is(self, client, stores, name, file):
        stores.sets.create_set(LightSet(name=name, target=Target(cct=5600)))
        answer = client.get("/sets/1/export.json")
        assert answer.headers["Content-Disposition"] == f"attachment; filename={file}"

    def test_the_gels_are_those_in_force(self, sample, client, post):
        post("/gels/remove", {"name": "CTO 1/4"})
        gels = json.loads(client.get("/sets/1/export.json").text)["gels"]
        assert ("CTO", "1/4") not in {(g["family"], g["fraction"]) for g in gels}
        assert ("CTO", "1/2") in {(g["family"], g["fraction"]) for g in gels}


class TestImport:
    @pytest.fixture
    def elsewhere(self, tmp_path, closing):
        """Another laptop."""
        return own_pages(closing(create_app(tmp_path / "elsewhere")))

    @pytest.mark.parametrize("way", ["text", "file", "utf-16"])
    def test_a_set_goes_from_laptop_to_laptop(self, record, elsewhere, post, way):
        if way == "text":
            data = {"text": record}
        else:
            data = {
                "file": (io.BytesIO(record.encode("utf-8" if way == "file" else way)), "set.json"),
                "text": "",
            }
        answer = elsewhere.post("/sets/import", data=data, content_type="multipart/form-data")
        assert (answer.status_code, answer.location) == (302, "/sets/1")
        again = json.loads(elsewhere.get("/sets/1/export.json").text)
        assert again | {"exported_at": 0} == json.loads(record) | {"exported_at": 0}

    def test_one_that_is_here_can_be_had_as_a_copy_without_the_file(self, record, post, get, stores):
        page = post("/sets/import", {}, file=record.encode())
        assert (page.status, page.heading) == (409, f"“{NAME}” is here already")
        assert "/sets/1" in page.links
        assert json.loads(page.fields["text"]) == json.loads(record)
        assert len(stores.sets.list_sets()) == 1
        copied = post("/sets/import", {"text": page.fields["text"], "copy": "yes"})
        assert copied.heading == f"{NAME} (2)"
        assert len(stores.sets.list_sets()) == 2

    def test_one_that_was_removed_can_be_brought_back(self, record, post, stores):
        stores.sets.delete_set(1)
        page = post("/sets/import", {"text": record})
        assert (page.status, page.heading) == (409, f"“{NAME}” was here, and was removed")
        assert "/sets/1/restore" in page.posts
        assert 'name="copy"' in page.html
        assert stores.sets.list_sets() == []
        assert post("/sets/1/restore").heading == NAME

    def test_gels_that_are_missing_or_differ_are_told(self, record, elsewhere):
        elsewhere.post("/gels/remove", data={"name": "CTO 1/4"})
        other = json.loads(record)
        other["sources"][0]["source"]["keep"] = ["CTO 1/2"]
        for gel in other["gels"]:
            if (gel["family"], gel["fraction"]) == ("CTO", "1/2"):
                gel["mired"] = 90
        answer = elsewhere.post("/sets/import", data={"text": json.dumps(other)})
        assert answer.status_code == 200
        assert "Imported. 2\N{NO-BREAK SPACE}gels of the record are not the same here" in answer.text
        items = re.findall(r'<span class="what">(.*?)</li>', plain(answer.text), re.DOTALL)
        assert "½ CTO" in items[0] and "90 in the record" in items[0] and "The set names it." in items[0]
        assert "¼ CTO" in items[1] and "Not in the table here." in items[1]
        table = elsewhere.get("/gels/gels.csv").text
        assert "CTO,1/4" not in table and "CTO,1/2,90" not in table

    @pytest.mark.parametrize(
        ("old", "new", "says"),
        [
            (
                '"advisor_set": 2',
                '"advisor_set": 4',
                "comes from a newer advisor. Format 4, this one reads 3.",
            ),
            ('"cct": 7200.0', '"cct": 720.0', "sources[0].readings[0].reading.cct: CCT 720 is out of range"),
            ('"kind"', '"kynd"', "sources[0].source.kynd: kynd is not a field here"),
            ('"kind"', '"<b>kind</b>"', "<b>kind</b> is not a field here"),
            ('"kind"', '"\\ud800"', "unable to parse raw data as a unicode string"),
            ('"kind"', '"kind', "this is not JSON at line"),
        ],
    )
    def test_a_record_with_a_fault_in_it(self, record, post, stores, old, new, says):
        self.refused(post, stores, record.replace(old, new, 1), says)

    @pytest.mark.parametrize(
        ("text", "says"),
        [
            ('{"advisor_set": 1, "uid": "0123', "the JSON breaks off at line 1"),
            ("name,cct,duv\nWindow,6800,0.004", "this looks like a table (CSV)"),
            ("", "there is no text"),
            ("<script>alert(1)</script>", "this looks like a web page"),
        ],
    )
    def test_what_is_no_record(self, sample, post, stores, text, says):
        self.refused(post, stores, text, says)

    def refused(self, post, stores, text: str, says: str) -> None:
        page = post("/sets/import", {"text": text})
        assert page.status == 422
        assert page.heading.startswith("Not imported: 1 thing to fix")
        assert says in page.alerts[0]
        assert "<script>" not in page.html and "<b>" not in page.html
        assert page.fields["text"].removeprefix("\n") == text
        assert len(stores.sets.list_sets()) == 1

    @pytest.mark.parametrize(
        ("data", "says"),
        [
            (b"PK\x03\x04\xff\xfe\x00\x81", "the file is not text"),
            (b"  ", "the file is empty"),
            (b"[" * 5_000_000, "nested too deeply"),
            (b"1" * 16_000_001, "the file has 16000001 bytes"),
            (b'{"advisor_set": 1, "junk": [' + b"1," * 2_000_000 + b"1]}", "'junk': not a field of a record"),
        ],
    )
    def test_files_that_are_none(self, sample, post, stores, data, says):
        page = post("/sets/import", {}, file=data)
        assert page.status == 422
        assert says in page.alerts[0]
        assert len(stores.sets.list_sets()) == 1

    def test_what_is_larger_than_any_record_is_not_read(self, sample, post):
        assert post("/sets/import", {}, file=b"1" * 20_000_001).status == 413

    @pytest.fixture
    def large(self, record) -> str:
        many = json.loads(record)
        one = many["sources"][0]["readings"][0]
        values = [0.123456789] * 400
        spectral = {"spectrum": {"start": 380, "step": 1, "values": values}, "gels": [], "modifier": ""}
        many["sources"][0]["readings"] = [{**one, "reading": spectral}] * 600
        many["uid"] = "another"
        text = json.dumps(many)
        assert len(text) > 2_500_000
        return text

    def test_a_record_that_is_larger_than_other_forms_take(self, large, post):
        assert post("/sets/import", {}, file=large.encode()).status == 200

    @pytest.mark.parametrize("field", ["file", "text"])
    def test_so_with_the_token_as_a_field_as_a_form_without_script_sends_it(self, large, client, post, field):
        data = {"token": client.environ_base.pop("HTTP_X_TOKEN")}
        if field == "text":
            data["text"] = large
        page = post("/sets/import", data, file=large.encode() if field == "file" else b"")
        assert page.status == 200


class TestWhatHangs:
    """The record warns of what hangs as the sheet and the tags do."""

    def test_it_says_how_it_matches_and_what_to_check_as_on_paper(self, act, read, get):
        act("hung", ["CTO 1/4"])
        read("3650", "0.0036", behind="hung", hung="CTO 1/4")  # as behind the full one
        record = get("/sets/1/record").text.split("What was done")[0]
        said = "Check the gel: it reads like full CTO, not ¼ CTO"
        assert said in record and said in get("/sets/1/sheet").text and said in get("/sets/1/tags").text
        assert "Obvious, metered" in record

    def test_what_drifted_or_is_the_closest_is_said_too(self, act, read, get):
        act("hung", ["CTO 1/4"])
        read("4900", "0.0040", "700", behind="hung", hung="CTO 1/4")
        record, sheet = get("/sets/1/record").text, get("/sets/1/sheet").text
        for said in (", the closest there is", ", the daylight drifted"):
            assert (said in record) == (said in sheet)
        assert any(said in record for said in ("the closest there is", "the daylight drifted"))
