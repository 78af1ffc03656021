"""The light at the subject: f-number, ratios, the mix, and how the camera is set."""

import re

import pytest

from advisor.model import Exposure, Kind, LightSet, Predicted, Reading, Role, Source, Target, Work

GOOD = {"iso": "400", "frame_rate": "25", "shutter_angle": "172.8", "shutter_time": "", "constant": "250"}


@pytest.fixture
def keep(stores):
    """Keep a set of sources, and return its id."""
    return lambda *sources, target=None: stores.sets.create_set(
        LightSet(name="Stage 4", target=target or Target(cct=5600), sources=list(sources))
    )


def lamp(name, lux, role=Role.OTHER, cct=5600.0, **extra):
    return Source(
        name=name, kind="daylight", reading=Reading(cct=cct, duv=0.0033, lux=lux), role=role, **extra
    )


def cells_of(page, nth):
    """Return the cells of a page's table, a list for each row."""
    body = re.findall(r"<table.*?</table>", page.html, re.S)[nth]
    rows = re.findall(r"<tr>(.*?)</tr>", body, re.S)
    cells = [re.findall(r"<t[hd].*?>(.*?)</t[hd]>", row, re.S) for row in rows]
    return [[" ".join(re.sub(r"<[^>]+>", " ", cell).split()) for cell in row] for row in cells]


class TestReadBehindGelAlone:
    """Nobody read its light bare; what was read behind its gel is the light that falls there."""

    @pytest.fixture
    def page(self, keep, get):
        gels = ["CTO 1/4"]
        found = Reading(cct=5590, duv=0.003, lux=300, gels=gels)
        bare = Reading(cct=6900, duv=0.004)
        work = Work(
            stage="confirmed",
            gels=gels,
            read_bare=bare,
            predicted=Predicted(cct=5600, duv=0.003, uncertainty_steps=3),
            read_behind=found,
        )
        fill = Source(
            name="Fill", kind=Kind.LED_WHITE, role="fill", reading=bare, readings=[found], work=work
        )
        keep(lamp("Key", 900, "key", level=None), fill)
        return get("/sets/1/light")

    def test_it_counts_behind_the_gels(self, page):
        summed, levels = cells_of(page, 0), cells_of(page, 1)
        assert summed[1][1].endswith("900 lx") and summed[1][2].endswith("1 200 lx")
        assert summed[3] == ["Key to fill", "not known", "4:1 2 stops over"]
        assert levels[2][2].startswith("300 lx")
        assert "Bare, without Fill: no lux was read." in page.text

    def test_nobody_is_told_to_read_it_again(self, page):
        assert "Without lux" not in page.text and "has no lux" not in page.text


class TestAnswer:
    def test_the_mix_of_the_sample(self, sample, get):
        page = get("/sets/1/light")
        assert page.heading == "The mix will be close", "within the tolerance"
        assert "Bare: " in page.text and "With gels: " in page.text
        assert page.text.count("it would be") == 1, "of the light as it is now, which is far off"

    def test_what_was_read_behind_the_gels_counts_and_is_marked(self, sample, get, stores):
        head = stores.sets.get_set(sample).sources[0]
        found = Reading(cct=5600, duv=0.003, lux=321, gels=["CTO 1/4"])
        predicted = Predicted(cct=5600, duv=0.003, lux=600, uncertainty_steps=1)
        work = Work(stage="hung", gels=["CTO 1/4"], predicted=predicted, read_behind=found)
        stores.sets.update_source(head.id, head.source.model_copy(update={"work": work}))
        rows = [cells[2] for cells in cells_of(get("/sets/1/light"), 1)[1:]]
        assert re.fullmatch("321 lx .*metered", rows[0]) and not any("metered" in row for row in rows[1:])

    def test_beyond_the_tolerance_it_says_what_spoils_it(self, sample, get, stores):
        limits = stores.sets.get_set(sample).limits.model_copy(update={"tolerance_steps": 1.0})
        stores.sets.update_set(sample, limits=limits)
        page = get("/sets/1/light")
        assert re.fullmatch(r"The mix will be a bit off, thrown off most by .+", page.heading)
        assert re.search(r"Without \w.+ it would match\.", page.text)
        assert re.search(r"With gels: \d\.\d steps? off\. Without \w.+: 0\.\d step\.", page.text)

    def test_the_f_number_of_what_falls_on_the_subject(self, keep, get):
        # 2 048 lx, ISO 800, 1/48 s, C 340: N² = 2048 · 800 / 48 / 340 = 100.4; f/10 is f/8 and two thirds
        keep(lamp("Key", 1024, "key"), lamp("Fill", 1024, "fill"), lamp("Wall", 9999, on_subject=False))
        page = get("/sets/1/light")
        assert 'class="answer">f/8 ⅔<' in page.html
        assert cells_of(page, 0)[1][:2] == ["At the subject", "f/8 ⅔ 2 050 lx"]
        assert cells_of(page, 0)[2][:2] == ["Key alone", "f/5.6 ⅔ 1 020 lx"]

    def test_matched(self, keep, get):
        keep(lamp("A", 10))
        page = get("/sets/1/light")
        assert page.heading == "The mix will match"
        assert "Only A is in it." in page.text

    def test_without_a_target_now_is_all_there_is(self, keep, stores, get):
        keep(lamp("A", 10), lamp("B", 10), target=Target(source="A"))
        stores.sets.delete_source(1)
        page = get("/sets/1/light")
        assert re.fullmatch(r"The mix reads 5\s600 K, Duv \+0\.0033", page.heading)
        assert "With gels" not in page.text
        assert "That source is removed" in page.alerts[0]

    def test_too_far_from_white_is_said(self, keep, get):
        keep(
            Source(name="Red", reading=Reading(cct=1000, duv=0, lux=9), aim={"leave": True}),
            Source(name="Blue", reading=Reading(cct=25000, duv=-0.02, lux=9), aim={"leave": True}),
        )
        page = get("/sets/1/light")
        assert page.status == 200
        assert "no CCT" in page.text and "too far from white to have a CCT" in page.text

    def test_foot_candles(self, sample, client, get):
        client.set_cookie("light", "fc")
        assert "76.2 fc" in get("/sets/1/light").text  # 820 lx / 10.764


class TestNothingToSay:
    @pytest.mark.parametrize(
        ("sources", "heading"),
        [
            ([], "No source, so no light yet"),
            ([lamp("A", None)], "No source on the subject has a lux reading"),
            ([lamp("A", 10, on_subject=False)], "No source falls on the subject"),
            ([Source(name="A", reading=Reading(xy=(0.5, 0.51), lux=7))], "No white to mix"),
        ],
    )
    def test_it_says_why(self, keep, get, sources, heading):
        keep(*sources)
        page = get("/sets/1/light")
        assert (page.status, page.heading) == (200, heading)

    def test_what_has_no_lux_is_named_with_a_way_to_read_it(self, keep, get):
        keep(lamp("A", 10, "key"), lamp("Dark", None, "fill"))
        page = get("/sets/1/light")
        assert "At least that: Dark has no lux." in page.text
        assert "No key-to-fill ratio: the fill, Dark, has no lux." in page.text
        assert "Not in the mix: Dark has no lux." in page.text
        assert "No ratio of A to Dark: Dark without lux." in page.text
        assert "Light counted" not in page.text
        assert "/sources/2" in page.links
        assert cells_of(page, 1)[2][1:] == ["no lux", "no lux", "0"]

    def test_what_has_no_white_is_summed_and_not_mixed(self, keep, get):
        keep(lamp("A", 10), Source(name="Neon", reading=Reading(xy=(0.7, 0.29), lux=30)))
        page = get("/sets/1/light")
        assert "40 lx" in cells_of(page, 0)[1][1]
        assert "Light counted, colour left out: Neon reads too far from white." in page.text

    def test_roles_that_nobody_has(self, sample, keep, get):
        keep(lamp("A", 10))
        text = get("/sets/2/light").text
        assert "No key-to-fill ratio: no source is the key, no source is the fill." in text


class TestRatios:
    def test_key_to_fill(self, keep, get):
        keep(lamp("Key", 300, "key"), lamp("Fill", 100, "fill"))
        page = get("/sets/1/light")
        assert cells_of(page, 0)[3][:2] == ["Key to fill", "4:1 2 stops over"]
        assert "The key alone: 1.6 stops over the fill bare (3:1)" in page.text
        assert cells_of(page, 1)[2][1] == "100 lx −1.6"

    def test_any_two_can_be_chosen(self, keep, get):
        keep(lamp("A", 400), lamp("B", 100), lamp("C", 100))
        page = get("/sets/1/light")
        assert (page.fields["first"], page.fields["second"]) == ("1", "2")
        assert "A: 2 stops over B bare (4:1)" in page.text
        page = get("/sets/1/light?first=3&second=2")
        assert "C: even with B bare (1:1)" in page.text
        assert (page.fields["first"], page.fields["second"]) == ("3", "2")

    @pytest.mark.parametrize("query", ["first=99&second=x", "first=&second=-1", "first=1e9"])
    def test_what_is_not_there_is_the_key_against_the_fill(self, keep, get, query):
        keep(lamp("A", 400), lamp("F", 100, "fill"), lamp("K", 100, "key"))
        page = get(f"/sets/1/light?{query}")
        assert (page.fields["first"], page.fields["second"]) == ("3", "2")

    def test_without_a_fill_the_key_stands_against_another(self, keep, get):
        keep(lamp("A", 400), lamp("K", 100, "key"), lamp("C", 100))
        page = get("/sets/1/light")
        assert (page.fields["first"], page.fields["second"]) == ("2", "1")

    def test_a_limit_over_the_key(self, keep, get):
        keep(lamp("Key", 100, "key"), lamp("Window", 400, over_key=1), lamp("Lamp", 25, over_key=0))
        text = get("/sets/1/light").text
        assert "Window: 2 stops over the key bare, 1 stop over it with gels" in text
        assert "Lamp: 2 stops under the key bare" in text and "within its limit of 0 stops over" in text


class TestCamera:
    def test_it_is_set(self, sample, get, post, stores):
        revision = get("/sets/1/light").fields["revision"]
        page = post("/sets/1/exposure", {**GOOD, "revision": revision})
        assert page.status == 200
        assert stores.sets.get_set(1).exposure == Exposure(
            iso=400, frame_rate=25, shutter_angle=172.8, constant=250
        )
        assert "ISO 400, 25 fps, 1/52 s, C 250" in page.text
        assert {k: page.fields[k] for k in GOOD} == GOOD

    @pytest.mark.parametrize("typed", ["1/50", " 1 / 50 s", "0.02", "0,02"])
    def test_an_exposure_time_as_cameras_show_it(self, sample, post, stores, typed):
        page = post("/sets/1/exposure", {**GOOD, "shutter_angle": "", "shutter_time": typed})
        assert stores.sets.get_set(1).exposure.shutter_time == pytest.approx(0.02)
        assert (page.fields["shutter_time"], page.fields["shutter_angle"]) == ("1/50", "")

    def test_twice_the_speed_is_a_stop(self, keep, post):
        keep(lamp("A", 1000))
        # N² = 1000 · 200 · 0.0192 / 250 = 15.4, N = 3.9; at four times the speed twice that
        for iso, stop in (("200", "f/4"), ("800", "f/8")):
            assert f'class="answer">{stop}<' in post("/sets/1/exposure", {**GOOD, "iso": iso}).html

    @pytest.mark.parametrize(
        ("bad", "says", "allowed"),
        [
            ({"iso": ""}, "ISO is empty", "1 to 1 000 000"),
            ({"iso": "0"}, "ISO 0 is out of range", "1 to 1 000 000"),
            ({"iso": "fast"}, "ISO 'fast' is not a number", "1 to 1 000 000"),
            ({"frame_rate": "0"}, "Frame rate 0 is out of range", "0.01 to 10 000 fps"),
            ({"shutter_angle": "400"}, "Shutter angle 400 is out of range", "0.1 to 360 °"),
            ({"shutter_time": "1/0", "shutter_angle": ""}, "Exposure time '1/0' is not a number", "3 600 s"),
            ({"shutter_time": "1/50"}, "the shutter is given twice", "one of the two"),
            ({"shutter_time": "1/12", "shutter_angle": ""}, "is longer than a frame at 25 fps", "0.04 s"),
            ({"constant": "20"}, "C 20 is out of range", "100 to 600"),
        ],
    )
    def test_what_cannot_be_is_refused_and_given_back(self, sample, post, stores, bad, says, allowed):
        before = stores.sets.get_set(1)
        page = post("/sets/1/exposure", {**GOOD, **bad})
        assert page.status == 422
        [alert] = [a for a in page.alerts if says in a]
        assert allowed in alert.split("Allowed: ")[1].replace("\u202f", " ")
        assert {k: page.fields[k] for k in GOOD} == {**GOOD, **bad}
        assert "<details open>" in page.html
        assert stores.sets.get_set(1) == before

    def test_two_who_set_it_lose_nothing(self, sample, get, post, stores):
        revision = get("/sets/1/light").fields["revision"]
        post("/sets/1/exposure", {**GOOD, "iso": "1600", "revision": revision})
        page = post("/sets/1/exposure", {**GOOD, "revision": revision})
        assert page.status == 409
        assert "Somebody changed this set meanwhile" in page.alerts[0]
        assert "ISO 1600, 25 fps" in page.alerts[0]
        assert page.fields["iso"] == "400"
        assert stores.sets.get_set(1).exposure.iso == 1600
        assert post("/sets/1/exposure", {**GOOD, "revision": page.fields["revision"]}).status == 200
        assert stores.sets.get_set(1).exposure.iso == 400

    def test_a_set_that_is_not_there(self, client):
        assert client.get("/sets/9/light").status_code == 404
        assert client.post("/sets/9/exposure", data=GOOD).status_code == 404
