"""Forms of two: each keeps the fields that they changed, and only what both changed is asked about."""

import re
from concurrent.futures import ThreadPoolExecutor

import pytest

from advisor.model import Reading, Target
from advisor.web.pages.sources import head
from tests.conftest import own_pages


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
        assert source.on_subject is None

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
        assert page.status == 422 and "Open the page again" in " ".join(page.alerts)
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
