"""Two people at one source: the second one sees both values and chooses; nobody's reading is dropped."""

import re
from concurrent.futures import ThreadPoolExecutor

import pytest

from advisor.model import Reading, Stage, Target, WantedOffset, Work
from advisor.web.pages.gels import formats
from advisor.web.pages.sources import head
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
    "aim": ("/sources/5/aim", SHIFT, "left as it is", "kept ¼ to ½ CTO warm"),
}


@pytest.mark.parametrize("what", WRITES)
def test_the_second_sees_both_values(first, post, stores, what):
    path, data, theirs, mine = WRITES[what]
    page = post(path, {**data, "revision": "1"})
    assert page.status == 409
    assert "Mia changed this source meanwhile; nothing was overwritten." in page.alerts[0]
    assert re.search(rf"{theirs} \(Mia\).*{mine}", page.alerts[0])
    assert stores.sets.get_source(5) == first


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
    assert "is no revision" in answer.get_data(as_text=True)
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
    assert any("is no revision" in alert for alert in page.alerts)
    assert stores.sets.get_set(1) == before


@pytest.fixture
def as_who(client):
    """Send what follows as somebody."""
    return lambda name: client.set_cookie("who", name)


EDIT = "/sources/5/edit"


def opened(get, path=EDIT):
    """Return all that a form sends as it is shown, its ticks too."""
    page = get(path)
    ticks = {name: sorted(v for k, v in page.ticked if k == name) for name, _ in page.ticked}
    return {**page.fields, **ticks}


class TestOneFormOfTwo:
    """A form that was opened before somebody else saved theirs."""

    def test_each_keeps_what_they_changed(self, sample, get, post, stores):
        seen = opened(get)
        post(EDIT, {**seen, "note": "on the left stand", "over_key": "1", "name": "Rim"})
        assert post(EDIT, {**seen, "watts": "650"}).status == 200
        source = stores.sets.get_source(5).source
        assert (source.note, source.over_key, source.name, source.watts) == (
            "on the left stand",
            1,
            "Rim",
            650,
        )
        assert source.on_subject

    def test_saving_a_note_is_no_reading_and_undoes_no_rename(self, sample, get, post, stores):
        """The reading had more digits than its field, and a newer one was taken meanwhile."""
        stores.sets.add_reading(5, Reading(cct=5599.6, duv=0.00123, lux=641.26))
        seen = opened(get)
        mia = stores.sets.by("Mia")
        mia.add_reading(5, Reading(cct=5700, duv=0.002, lux=600))
        mia.change_source(5, {"name": "Rim"})
        assert post(EDIT, {**seen, "note": "barn doors"}).status == 200
        now = stores.sets.get_source(5)
        assert (now.source.name, now.source.note, now.readings) == ("Rim", "barn doors", 3)
        assert now.source.reading == Reading(cct=5700, duv=0.002, lux=600)

    @pytest.mark.parametrize("typed", ["5599.6", "5 599.6", "5599,6", " 5599.60 "])
    def test_a_reading_that_comes_back_as_shown_is_none(self, sample, get, post, stores, typed):
        stores.sets.add_reading(5, Reading(cct=5599.6, duv=0.0012))
        post(EDIT, {**opened(get), "cct": typed, "note": "x"})
        assert stores.sets.get_source(5).readings == 2

    def test_one_field_of_both_is_asked_about_alone_with_the_name(self, sample, get, post, stores, as_who):
        seen = opened(get)
        as_who("Mia")
        post(EDIT, {**seen, "note": "on the left stand", "watts": "650"})
        as_who("Bo")
        before = stores.sets.get_source(5)
        page = post(EDIT, {**seen, "note": "warm", "over_key": "1"})
        assert page.status == 409 and stores.sets.get_source(5) == before
        assert "Mia changed “Note” too, at " in page.alerts[0]
        assert "Keep Mia’s: on the left stand Use mine: warm" in page.alerts[0]
        assert "Over the key" not in page.alerts[0] and "Power" not in page.alerts[0]
        assert (page.fields["watts"], page.fields["over_key"]) == ("650", "1")

    @pytest.mark.parametrize(("pick", "note"), [("mine", "warm"), ("theirs", "on the left stand")])
    def test_either_is_one_tap(self, sample, get, post, stores, pick, note):
        seen = opened(get)
        post(EDIT, {**seen, "note": "on the left stand", "watts": "650"})
        asked = post(EDIT, {**seen, "note": "warm", "over_key": "1"})
        page = post(EDIT, {**asked.fields, "on_subject": "yes", "pick_note": pick})
        assert page.status == 200
        source = stores.sets.get_source(5).source
        assert (source.note, source.watts, source.over_key) == (note, 650, 1)

    def test_what_is_not_picked_is_asked_again(self, sample, get, post, stores):
        seen = opened(get)
        post(EDIT, {**seen, "note": "on the left stand"})
        asked = post(EDIT, {**seen, "note": "warm"})
        again = post(EDIT, {**asked.fields, "on_subject": "yes"})
        assert again.status == 409 and "Use mine: warm" in again.alerts[0]
        assert stores.sets.get_source(5).source.note == "on the left stand"

    def test_a_third_one_is_asked_about_too(self, sample, get, post, stores):
        seen = opened(get)
        post(EDIT, {**seen, "note": "on the left stand"})
        asked = post(EDIT, {**seen, "note": "warm"})
        stores.sets.by("Zoe").change_source(5, {"note": "on the right stand"})
        again = post(EDIT, {**asked.fields, "on_subject": "yes", "pick_note": "mine"})
        assert again.status == 409 and "Keep Zoe’s: on the right stand" in again.alerts[0]

    def test_half_of_one_reading_and_half_of_another_is_none(self, sample, get, post, stores):
        seen = opened(get)
        stores.sets.by("Mia").add_reading(5, Reading(cct=3100, duv=0.001, lux=640))
        page = post(EDIT, {**seen, "lux": "700"})
        assert page.status == 409 and "Mia changed “Reading” too" in page.alerts[0]
        assert "Keep Mia’s: CCT 3100, Duv 0.001, Illuminance 640" in page.alerts[0]
        assert stores.sets.get_source(5).readings == 2
        assert post(EDIT, {**page.fields, "on_subject": "yes", "pick_reading": "mine"}).status == 200
        assert stores.sets.get_source(5).source.reading.lux == 700

    def test_a_reading_that_somebody_struck_out_says_who(self, sample, get, post, stores):
        stores.sets.add_reading(5, Reading(cct=3100, duv=0.001, lux=600))
        seen = opened(get)
        stores.sets.by("Mia").strike(stores.sets.readings_of(5)[-1].id)
        page = post(EDIT, {**seen, "lux": "700"})
        assert page.status == 409 and "Mia changed “Reading” too" in page.alerts[0]

    def test_several_fields_are_asked_about_one_by_one(self, sample, get, post, stores):
        seen = opened(get)
        post(EDIT, {**seen, "note": "on the left stand", "name": "Rim"})
        asked = post(EDIT, {**seen, "note": "warm", "name": "Kicker"})
        assert len(re.findall('type="radio" name="pick_', asked.html)) == 4
        picks = {"pick_note": "theirs", "pick_name": "mine", "on_subject": "yes"}
        assert post(EDIT, {**asked.fields, **picks}).status == 200
        source = stores.sets.get_source(5).source
        assert (source.name, source.note) == ("Kicker", "on the left stand")

    def test_ticks_are_merged_one_by_one(self, sample, get, post, stores):
        stores.sets.change_source(5, {"keep": ["ND 0.3"]})
        seen = opened(get)
        post(EDIT, {**seen, "keep": ["ND 0.3", "Diffusion full"]})
        assert post(EDIT, {**seen, "keep": ["ND 0.6"]}).status == 200
        assert stores.sets.get_source(5).source.keep == ["Diffusion full", "ND 0.6"]

    def test_who_writes_between_the_lines_is_merged_too(self, sample, get, post, stores, monkeypatch):
        seen = opened(get)
        read = head.source_from

        def meanwhile(*given):
            monkeypatch.setattr(head, "source_from", read)
            stores.sets.change_source(5, {"name": "Rim"})
            return read(*given)

        monkeypatch.setattr(head, "source_from", meanwhile)
        assert post(EDIT, {**seen, "note": "warm"}).status == 200
        source = stores.sets.get_source(5).source
        assert (source.name, source.note) == ("Rim", "warm")

    @pytest.mark.parametrize("text", ["{", "[]", '{"name": 1}', '{"keep": [1]}', "[" * 100_000])
    def test_what_no_page_showed_is_refused(self, sample, get, post, stores, text):
        before = stores.sets.get_source(5)
        page = post(EDIT, {**opened(get), "note": "warm", "showed": text})
        assert page.status == 422 and "open the page anew" in " ".join(page.alerts)
        assert page.fields["note"] == "warm" and stores.sets.get_source(5) == before

    def test_a_form_that_does_not_say_what_it_showed_overwrites_nothing(self, sample, get, post, stores):
        seen = {k: v for k, v in opened(get).items() if k != "showed"}
        stores.sets.change_source(5, {"note": "theirs"})
        assert post(EDIT, {**seen, "watts": "650"}).status == 409
        assert stores.sets.get_source(5).source.note == "theirs"


class TestOneSetOfTwo:
    def test_each_keeps_what_they_changed(self, sample, get, post, stores):
        seen = opened(get, "/sets/1/edit")
        post("/sets/1/edit", {**seen, "target_cct": "4300", "exclude_families": ["CTB"]})
        assert post("/sets/1/edit", {**seen, "max_layers": "2", "exclude_families": ["ND"]}).status == 200
        now = stores.sets.get_set(1)
        assert (now.target.cct, now.limits.max_layers) == (4300, 2)
        assert now.limits.exclude_families == ["CTB", "ND"]

    def test_a_target_of_both_is_asked_about_with_the_name(self, sample, get, post, stores):
        seen = opened(get, "/sets/1/edit")
        stores.sets.by("Mia").update_set(1, target=Target(cct=4300, locus="planckian"))
        page = post("/sets/1/edit", {**seen, "target_cct": "5000", "note": "day two"})
        assert page.status == 409
        assert "Mia changed “Target CCT” too" in page.alerts[0]
        theirs, mine = "Target CCT 4300, Target is on planckian", "Target CCT 5000, Target is on daylight"
        assert f"Keep Mia’s: {theirs} Use mine: {mine}" in page.alerts[0]
        assert stores.sets.get_set(1).target.cct == 4300
        post("/sets/1/edit", {**page.fields, "pick_target_cct": "theirs"})
        now = stores.sets.get_set(1)
        assert (now.target, now.note) == (Target(cct=4300, locus="planckian"), "day two")

    def test_a_limit_keeps_its_digits_and_makes_no_change(self, sample, get, post, stores):
        tolerance = 2.345678901234567
        limits = stores.sets.get_set(1).limits.model_copy(update={"tolerance_steps": tolerance})
        stores.sets.update_set(1, limits=limits)
        post("/sets/1/edit", {**opened(get, "/sets/1/edit"), "note": "day two"})
        now = stores.sets.get_set(1)
        assert (now.note, now.limits.tolerance_steps) == ("day two", tolerance)

    def test_the_camera_of_two(self, sample, get, post, stores):
        seen = opened(get, "/sets/1/light")
        post("/sets/1/exposure", {**seen, "iso": "1600"})
        assert post("/sets/1/exposure", {**seen, "frame_rate": "50"}).status == 200
        exposure = stores.sets.get_set(1).exposure
        assert (exposure.iso, exposure.frame_rate) == (1600, 50)
        page = post("/sets/1/exposure", {**seen, "iso": "400"})
        assert page.status == 409 and "Use mine: 400" in page.alerts[0]

    def test_a_spare_of_both_says_whose(self, sample, post, stores):
        stores.sets.by("Mia").update_set(1, spare_percent=30)
        page = post("/sets/1/spare", {"spare_percent": "20", "revision": "1"})
        assert page.status == 409 and "Mia changed this set meanwhile" in page.alerts[0]
        stores.sets.update_set(1, note="x")
        assert (
            post("/sets/1/whites", {"cct": "4800", "locus": "daylight", "tint": "0", "revision": "1"}).status
            == 200
        )
        assert stores.sets.get_set(1).spare_percent == 30

    def test_openings_of_another_are_in_nobodys_way(self, sample, get, post, stores):
        seen = opened(get, "/sources/5/openings")
        stores.sets.change_source(5, {"note": "theirs"})
        assert post("/sources/5/openings", {**seen, "width_0": "1", "height_0": "2"}).status == 200
        assert len(stores.sets.get_source(5).source.openings) == 1


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


def test_many_who_change_one_source_at_once_each_keep_their_field(app, sample, get, stores):
    """Sixteen phones opened the form before any of them saved; each changed a field of its own."""
    seen = opened(get)
    texts = {
        "name": "Rim",
        "note": "left",
        "watts": "650",
        "over_key": "1",
        "kind": "led-white",
        "role": "back",
    }
    texts |= {"max_layers": "2", "tolerance_steps": "2.5", "no_gel": "heat", "reach_cct_to": "5600"}
    typed = [{name: text} for name, text in texts.items() if name != "reach_cct_to"]
    typed += [{"keep": [gel]} for gel in ("ND 0.3", "ND 0.6", "Diffusion 1/2", "Diffusion full")]
    typed += [{"reach_cct_from": "3200", "reach_cct_to": "5600"}, {"ra": "95"}, {"only_cut": "yes"}]

    def save(own):
        return own_pages(app).post(EDIT, data={**seen, **own}).status_code

    with ThreadPoolExecutor(8) as pool:
        assert list(pool.map(save, typed)) == [302] * 16
    source = stores.sets.get_source(5).source
    assert (source.name, source.note, source.watts, source.over_key) == ("Rim", "left", 650, 1)
    assert (source.kind, source.role, source.max_layers) == ("led-white", "back", 2)
    assert (source.tolerance_steps, source.no_gel, source.only_gels) == (2.5, "heat", [])
    assert sorted(source.keep) == ["Diffusion 1/2", "Diffusion full", "ND 0.3", "ND 0.6"]
    assert source.reach.cct_to == 5600 and source.reading.ra == 95
    assert stores.sets.get_source(5).revision == 17


def test_of_many_who_change_one_field_one_is_first_and_the_others_are_asked(app, sample, get, stores):
    seen = opened(get)

    def save(k):
        return own_pages(app).post(EDIT, data={**seen, "note": f"phone {k}"}).status_code

    with ThreadPoolExecutor(8) as pool:
        assert sorted(pool.map(save, range(16))) == [302, *[409] * 15]
    assert stores.sets.get_source(5).revision == 2


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
    found = head.works_found

    def meanwhile(now, work, reading):
        monkeypatch.setattr(head, "works_found", found)
        sets.update_source(5, source.model_copy(update={"work": other}))
        return found(now, work, reading)

    monkeypatch.setattr(head, "works_found", meanwhile)
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
