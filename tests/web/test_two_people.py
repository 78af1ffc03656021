"""Two people at one source: the second one sees both values and chooses; nobody's reading is dropped."""

import re
from concurrent.futures import ThreadPoolExecutor

import pytest

from advisor.model import Limits, Reading, Stage, Target, WantedOffset, Work
from advisor.web.pages.gels import formats
from advisor.web.plans import new_reading
from tests.conftest import own_pages

READING = {"cct": "5600", "duv": "0.001"}
SHIFT = {"wanted": "shift", "mired": "66.9643", "duv": "0"}


@pytest.fixture
def first(stores, sample):
    """Mia was first: she changed the level of source 5, where she also read it, and what is wanted of it."""
    sets = stores.sets.by("Mia")
    source = sets.get_source(5).source
    reading = source.reading.model_copy(update={"level": 60.0})
    changes = {"reading": reading, "level": 60.0, "aim": WantedOffset(leave=True), "work": HUNG}
    return sets.update_source(5, source.model_copy(update=changes))


@pytest.fixture
def match(client):
    """Send a form without a revision, which If-Match gives."""

    def send(path, data, tag):
        return client.post(path, data=data, headers={"If-Match": tag})

    return send


HUNG = Work(stage=Stage.HUNG, gels=["CTO 1/2"])
WRITES = {
    "level": ("/sources/5/use", {"use_level": "45"}, "at 60 %", "at 45 %"),
    "work": (
        "/sources/5/work",
        {"action": "plan", "stack": '{"gels": ["CTB full"]}'},
        "hung: ½ CTO",
        "planned: full CTB",
    ),
    "aim": ("/sources/5/aim", SHIFT, "stays bare", "kept ¼ to ½ CTO warm"),
}


@pytest.mark.parametrize("what", WRITES)
def test_the_second_sees_both_values(first, post, stores, what):
    path, data, theirs, mine = WRITES[what]
    page = post(path, {**data, "revision": "1"})
    assert page.status == 409
    assert "Mia changed this source meanwhile. Nothing was overwritten." in page.alerts[0]
    assert re.search(rf"{theirs} \(Mia\).*{mine}", page.alerts[0])
    assert stores.sets.get_source(5) == first


def test_who_says_that_it_hangs_after_another_one_metered_it_is_not_asked(act, read, stores):
    """It was “somebody changed it meanwhile”, though both had hung the same."""
    act("hung", ["CTB full"], number=5)
    read("5400", "0.001", number=5, behind="hung", hung="CTB full")
    now = stores.sets.get_source(5)
    page = act("hung", ["CTB full"], number=5, revision=1)
    assert page.status == 200 and page.alerts == []
    assert stores.sets.get_source(5) == now
    assert act("hung", ["CTB 1/2"], number=5, revision=1).status == 409


def test_both_did_the_same_and_nobody_is_asked(act, stores, get):
    seen = stores.sets.get_source(1).revision
    assert act("hung", ["CTB full"], revision=seen).status == 200
    assert act("hung", ["CTB full"], revision=seen).status == 200
    assert act("hung", ["CTB 1/2"], revision=seen).status == 409
    assert stores.sets.get_source(1).source.work.gels == ["CTB full"]


def test_who_was_first_on_another_page_is_told_as_you(client, act, stores):
    client.set_cookie("who", "Bea")
    seen = stores.sets.get_source(1).revision
    act("hung", ["CTB full"], revision=seen)
    page = act("hung", ["CTB 1/2"], revision=seen)
    assert "You changed this source meanwhile" in page.alerts[0] and "Bea" not in page.alerts[0]


def test_nothing_chosen_is_refused_in_words(act, stores):
    page = act("hung", stack="")
    assert page.status == 422 and "nothing was chosen" in page.text
    assert stores.sets.get_source(1).source.work is None


@pytest.mark.parametrize("what", ["level", "work"])
def test_the_second_puts_theirs_in_its_place(first, post, stores, what):
    path, data, *_ = WRITES[what]
    html = post(path, {**data, "revision": "1"}).html
    choose = next(f for f in re.findall(r"<form.*?</form>", html, re.DOTALL) if "Use mine" in f)
    fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', choose.replace("&#34;", "'")))
    fields = {k: v.replace("'", '"') for k, v in fields.items() if k != "token"}
    page = post(re.search(r'action="([^"]+)"', choose)[1], fields)
    assert page.status == 200
    source = stores.sets.get_source(5).source
    planned = source.work.instead and source.work.instead.gels
    assert (source.level, source.work.stage, planned) == {
        "level": (45.0, Stage.HUNG, None),
        "work": (60.0, Stage.HUNG, ["CTB full"]),
    }[what], "what hangs stays what hangs"


def test_or_keeps_what_is_there(first, post):
    path, data, *_ = WRITES["level"]
    page = post(path, {**data, "revision": "1"})
    assert '<a class="button" href="/sources/5">Keep Mia’s</a>' in page.html


@pytest.mark.parametrize("what", WRITES)
def test_what_the_first_did_to_something_else_is_in_nobodys_way(sample, post, stores, what):
    path, data, *_ = WRITES[what]
    mia = stores.sets.by("Mia")
    mia.add_reading(5, Reading(cct=3100, duv=0.001))
    mia.change_source(5, {"note": "Mia's", "name": "Rim"})
    assert post(path, {**data, "revision": "1"}).status == 200
    source = stores.sets.get_source(5).source
    assert (source.name, source.note, source.reading.cct) == ("Rim", "Mia's", 3100)
    assert {"level": source.level == 45, "work": source.work is not None, "aim": source.aim.mired > 0}[what]


@pytest.mark.parametrize("what", WRITES)
def test_if_match_is_the_revision_where_a_form_has_none(first, match, stores, what):
    path, data, *_ = WRITES[what]
    assert match(path, data, '"1"').status_code == 412
    assert stores.sets.get_source(5) == first
    assert match(path, data, '"2"').status_code == 302
    assert stores.sets.get_source(5).revision == 3


def test_any_revision_matches_a_star(first, match, stores):
    assert match("/sources/5/use", {"use_level": "45"}, "*").status_code == 302
    assert stores.sets.get_source(5).source.level == 45


@pytest.mark.parametrize("tag", ["1", 'W/"1"', '"x"', '"1", "2"', '"-1"', '"' + "9" * 16 + '"'])
def test_a_tag_that_is_no_revision_is_refused_in_words(first, match, stores, tag):
    answer = match("/sources/5/use", {"use_level": "45"}, tag)
    assert answer.status_code == 422
    assert "is not a revision" in answer.get_data(as_text=True)
    assert stores.sets.get_source(5) == first


@pytest.mark.parametrize("typed", ["x", "-1", "1.0", "9" * 16])
@pytest.mark.parametrize(
    ("path", "data"),
    [
        *((path, data) for path, data, *_ in WRITES.values()),
        ("/sources/5/edit", {"name": "Rim", "kind": "unknown", **READING}),
        ("/sets/1/edit", {"name": "Other", "target_cct": "5600", "target_locus": "daylight"}),
        ("/sets/1/exposure", {"iso": "800", "frame_rate": "25", "constant": "250"}),
    ],
)
def test_a_revision_that_is_none_never_overwrites(first, post, stores, path, data, typed):
    before = stores.sets.get_set(1)
    page = post(path, {**data, "revision": typed})
    assert page.status == 422
    assert any("is not a revision" in alert for alert in page.alerts)
    assert stores.sets.get_set(1) == before


def test_a_reading_stops_nobody_who_changes_the_set(sample, get, post, client):
    seen = get("/sets/1/edit").fields
    post("/sources/5/reading", READING)
    assert client.post("/sets/1/edit", data={**seen, "target_cct": "4300"}).status_code == 302
    assert client.post("/sets/1/edit", data={**seen, "target_cct": "5000"}).status_code == 409
    assert client.post("/sets/1/edit", data={**seen, "note": "day two"}).status_code == 302


@pytest.mark.parametrize("path", ["/sources/5/edit", "/sets/1/edit"])
def test_the_forms_of_edits_take_if_match_too(sample, get, match, path):
    fields = {k: v for k, v in get(path).fields.items() if k not in ("revision", "tap", "token")}
    assert match(path, {**fields, "name": "Rim"}, '"7"').status_code == 412
    assert match(path, {**fields, "name": "Rim"}, '"1"').status_code == 302


def test_a_field_decides_over_a_header(first, match):
    assert match("/sources/5/use", {"use_level": "45", "revision": "1"}, '"2"').status_code == 409


def test_sizes_that_somebody_keeps_meanwhile_are_not_overwritten(get, post, stores, monkeypatch):
    """Mia keeps hers after the form was compared with what is kept, and before it is kept."""
    fields = get("/formats").fields
    read = formats._formats_from

    def meanwhile(form, before):
        monkeypatch.setattr(formats, "_formats_from", read)
        rows = [row.model_copy(update={"name": f"Mia's {row.name}"}) for row in before.rows]
        stores.choices.by("Mia").save(
            "gel formats", before.model_copy(update={"rows": rows}).model_dump_json()
        )
        return read(form, before)

    monkeypatch.setattr(formats, "_formats_from", meanwhile)
    page = post("/formats", {**fields, "name_0": "Mine"})
    assert page.status == 409
    assert page.alerts[0].startswith("Mia changed “Size 1” too, at ")
    assert "Keep Mia’s: Name Mia's Sheet Use mine: Name Mine" in page.alerts[0]
    assert page.fields["name_0"] == "Mine"
    assert "Mia's Sheet" in stores.choices.load("gel formats")


def test_two_readings_at_once_are_two_readings(app, sample, stores):
    def read(k):
        client = own_pages(app)
        data = {**READING, "cct": str(5000 + k), "revision": "1"}
        return client.post("/sources/5/reading", data=data).status_code

    with ThreadPoolExecutor(8) as pool:
        assert set(pool.map(read, range(16))) == {302}
    kept = [r.reading.cct for r in stores.sets.readings_of(5)]
    assert sorted(kept) == [3190, *(5000 + k for k in range(16))]


@pytest.mark.parametrize(
    ("other", "status"), [(None, 422), (Work(stage=Stage.HUNG, gels=["CTB full"], read_bare=None), 302)]
)
def test_a_reading_never_undoes_what_was_done_to_the_work_meanwhile(
    sample, client, stores, monkeypatch, other, status
):
    """Mia takes the gel off, or says anew that it hangs, while a reading behind it is being looked at."""
    sets = stores.sets.by("Mia")
    source = sets.get_source(5).source
    hung = Work(stage=Stage.HUNG, gels=["CTB full"], read_bare=source.reading)
    sets.update_source(5, source.model_copy(update={"work": hung}))
    found = new_reading.works_found

    def meanwhile(now, work, reading):
        monkeypatch.setattr(new_reading, "works_found", found)
        sets.update_source(5, source.model_copy(update={"work": other}))
        return found(now, work, reading)

    monkeypatch.setattr(new_reading, "works_found", meanwhile)
    answer = client.post("/sources/5/reading", data={**READING, "behind": "hung", "hung": "CTB full"})
    now = sets.get_source(5)
    assert answer.status_code == status
    assert now.readings == (1 if other is None else 2)
    assert (now.source.work and now.source.work.read_bare) is None


class TestWhatAPhoneIsTold:
    """A phone that did several things without a link goes on from the revision that its own writes made."""

    @pytest.fixture
    def send(self, client, sample):
        keys = iter(range(100, 200))

        def write(path, data):
            headers = {"Idempotency-Key": f"0123456789abcdef{next(keys)}", "Accept": "application/json"}
            return client.post(path, data=data, headers=headers).json

        return write

    def test_a_reading_tells_what_it_raised(self, send):
        told = send("/sources/5/reading", READING)
        assert (told["was"], told["revision"]) == (1, 2)

    def test_a_change_does(self, send):
        told = send("/sources/5/use", {"use_level": "45", "revision": "1"})
        assert (told["was"], told["revision"]) == (1, 2)

    @pytest.mark.parametrize(
        ("path", "data"),
        [
            ("/sets/1/spare", {"spare_percent": "20"}),
            ("/sources/5/openings", {"width_0": "1", "height_0": "2"}),
            ("/sets/1/whites", {"cct": "4800", "locus": "daylight", "tint": "0"}),
        ],
    )
    def test_so_do_those_of_other_pages(self, send, path, data):
        told = send(path, {**data, "revision": "1"})
        assert (told["was"], told["revision"]) == (1, 2)

    def test_a_change_that_changes_nothing_raises_nothing(self, send):
        told = send("/sources/5/use", {"use_level": "", "revision": "1"})
        assert (told["was"], told["revision"]) == (1, 1)

    def test_a_write_that_checked_nothing_tells_nothing(self, send):
        assert "was" not in send("/sources/5/use", {"use_level": "45"})


def test_who_saves_a_reading_is_told_that_the_target_moved_meanwhile(sample, get, post, stores):
    page = get("/sources/5")
    stores.sets.by("Bo").update_set(sample, target=Target(cct=5000, locus="daylight"))
    saved = post("/sources/5/reading", {**READING, "seen_target": page.fields["seen_target"]})
    assert "Target is now 5 000 K daylight. Bo changed it." in saved.text
    stores.sets.update_set(sample, limits=Limits(max_layers=1))
    again = post("/sources/5/reading", {**READING, "seen_target": saved.fields["seen_target"]})
    assert "Target is now" not in again.text, "it was in sight"


def test_a_refused_reading_still_knows_the_target_that_it_was_typed_for(sample, get, post, stores):
    seen = get("/sources/5").fields["seen_target"]
    stores.sets.update_set(sample, target=Target(cct=5000, locus="daylight"))
    refused = post("/sources/5/reading", {"cct": "501", "duv": "0", "seen_target": seen})
    assert (refused.status, refused.fields["seen_target"]) == (422, seen)
    saved = post("/sources/5/reading", {**READING, "seen_target": seen})
    assert "Target is now 5 000 K daylight. It was changed meanwhile." in saved.text
