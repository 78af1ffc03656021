"""A reading that is wrong is mended where it stands: what was typed, and when it was taken."""

import re
from datetime import UTC, datetime, timedelta

import pytest

from advisor.model import Kind, LightSet, Reading, Refused, Source, Stage, Target
from advisor.web.forms.form import Form
from advisor.web.forms.taken import time_typed
from advisor.web.plans.kept import plan_for
from tests.advice.lamps import read as meter
from tests.bakery import bakery
from tests.web.mending import LAMP, REALLY, SAID, ids, told
from tests.web.phones import joined, open_app


class TestTyped:
    def test_one_digit_is_one_tap(self, hang, metered, post, stores):
        hang(SAID)
        page = metered(SAID, cct=round(meter(LAMP, [SAID]).cct) - 3000)
        meant = round(meter(LAMP, [SAID]).cct)
        [said] = re.findall(r"It was (\d.\d{3}).K", page.text)
        assert int(re.sub(r"\D", "", said)) == meant
        assert re.search(r"Strike out \d.\d{3}.K", page.text)
        page = post(f"/readings/{ids(stores, 1)[-1]}/mend", {"cct": str(meant)})
        assert round(stores.sets.get_source(1).source.work.read_behind.cct) == meant
        assert re.search(r"Was \d.\d{3}.K\. Fixed \d\d:\d\d", page.text)

    @pytest.mark.parametrize("wrong", ["bare", "behind"])
    def test_a_sign_put_right_leaves_nothing_of_the_wrong_one(self, wrong, app, stores, post):
        """The head is as if it had been read right at once: what is learned of it, and what is found."""

        def head(bare, behind):
            lamp = Source(name="Tube", kind=Kind.FLUORESCENT, reading=Reading(cct=4100, duv=bare))
            owner = stores.sets.create_set(LightSet(name="Set", target=Target(cct=5600), sources=[lamp]))
            number = stores.sets.get_set(owner).sources[0].id
            stack = '{"gels": ["CTB 1/2", "Minus green 1/4"]}'
            post(f"/sources/{number}/work", {"action": "hung", "stack": stack, "revision": 1})
            post(f"/sources/{number}/reading", {"cct": "5350", "duv": str(behind), "behind": "hung"})
            return owner, number

        def known(owner):
            with app.test_request_context():
                now = stores.sets.get_set(owner)
                found = plan_for(now).heads[0]
            left = found.check and round(found.check.left, 6)
            due = found.due and (found.due.off, found.due.on)
            return found.advice, left, due, found.left_out, found.stage

        right, _ = head(0.008, 0.0035)
        mended, number = head(-0.008 if wrong == "bare" else 0.008, -0.0035 if wrong == "behind" else 0.0035)
        assert known(mended) != known(right)
        place, duv = {"bare": (0, "0.008"), "behind": (1, "0.0035")}[wrong]
        post(f"/readings/{ids(stores, number)[place]}/mend", {"duv": duv})
        assert known(mended) == known(right)
        assert stores.sets.get_source(number).source.work.steps_off is None

    def test_the_form_opens_filled_and_keeps_what_was_not_typed(self, lamp, get, post, stores):
        sets = stores.sets.by("Al")
        precise = Reading(cct=7394.4321, duv=0.00123456, lux=812.345, level=60.0, modifier="grid", ra=91.0)
        sets.add_reading(lamp, precise)
        number = ids(stores, lamp)[-1]
        page = get(f"/readings/{number}/mend")
        assert page.fields["lux"] == "812" or page.fields["lux"].startswith("812")
        assert (page.fields["level"], page.fields["modifier"]) == ("60", "grid")
        post(f"/readings/{number}/mend", {**page.fields, "cct": "5394"})
        new = stores.sets.readings_of(lamp)[-1]
        assert new.reading == precise.model_copy(update={"cct": 5394.0})
        assert new.who == "Al"

    def test_its_time_can_be_put_right_on_its_day(self, lamp, get, post, stores):
        """Drift goes by when readings were taken, and which counts by which was taken last."""
        stores.sets.by("Al").add_reading(lamp, Reading(cct=3300, duv=0, lux=800))
        stores.sets.by("Bo").add_reading(lamp, Reading(cct=3400, duv=0, lux=800))
        early, last = ids(stores, lamp)[-2:]
        at = datetime.fromisoformat(stores.sets.readings_of(lamp)[-1].taken_at).astimezone()
        page = get(f"/readings/{last}/mend")
        assert page.fields["time"] == f"{at:%H:%M}"
        midnight = at.replace(hour=0, minute=0, second=0, microsecond=0)
        page = post(f"/readings/{last}/mend", {**page.fields, "time": "0:00", "from": "record"})
        assert "read 3 400 K, Duv 0.0000, 800 lx, time fixed" in page.text
        kept = next(r for r in stores.sets.readings_of(lamp) if r.struck is None and r.reading.cct == 3400)
        assert (datetime.fromisoformat(kept.taken_at), kept.who) == (midnight, "Bo")
        assert stores.sets.get_source(lamp).source.reading.cct == 3300, "it was taken last"
        assert "Was read " in get(f"/sources/{lamp}").text
        stores.sets.undo(stores.sets.history(1)[-1].id)
        assert stores.sets.get_source(lamp).source.reading.cct == 3400
        assert early in ids(stores, lamp)

    @pytest.mark.parametrize("typed", ["noon", "24:10", "9:61"])
    def test_a_time_that_is_none_comes_back_as_typed(self, typed, lamp, post, stores):
        before = told(stores, lamp)
        page = post(f"/readings/{ids(stores, lamp)[-1]}/mend", {"time": typed})
        assert page.status == 422 and f"{typed}' is not a time" in page.text and "such as 16:05" in page.text
        assert page.fields["time"] == typed
        assert told(stores, lamp) == before

    def test_a_time_that_has_yet_to_come_is_refused(self):
        begun = datetime.now(UTC) + timedelta(days=366)
        with pytest.raises(Refused, match="yet to come"):
            time_typed(Form({"time": f"{(begun.astimezone().hour + 1) % 24}:00"}), begun.isoformat())

    def test_from_the_record_it_leads_back_there(self, lamp, get, post, stores):
        number = ids(stores, lamp)[-1]
        record = get("/sets/1/record")
        assert f"/readings/{number}/mend?from=record" in record.html
        page = post(f"/readings/{number}/mend", {"cct": "3394", "from": "record"})
        assert "fixed, read 3 394 K" in page.text and "was 3 200 K" in page.text

    @pytest.mark.parametrize(
        ("fields", "says"),
        [({"cct": "54k"}, "CCT"), ({"cct": ""}, "CCT"), ({"duv": "0.2"}, "Duv"), ({"level": "400"}, "400")],
    )
    def test_what_cannot_be_comes_back_as_typed(self, lamp, post, stores, fields, says):
        before = told(stores, lamp)
        page = post(f"/readings/{ids(stores, lamp)[-1]}/mend", {"lux": "777", **fields})
        assert page.status == 422 and says in page.text
        assert page.fields["lux"] == "777"
        assert told(stores, lamp) == before

    def test_a_spectrum_stays_unless_a_colour_is_typed(self, lamp, get, post, stores):
        spectrum = {"start": 380, "step": 5, "values": [1.0 + 0.01 * k for k in range(81)]}
        stores.sets.add_reading(lamp, Reading(spectrum=spectrum, lux=500.0))
        number = ids(stores, lamp)[-1]
        page = get(f"/readings/{number}/mend")
        assert "A spectrum. It stays" in page.text
        post(f"/readings/{number}/mend", {**page.fields, "lux": "600"})
        new = stores.sets.readings_of(lamp)[-1].reading
        assert new.spectrum is not None and new.lux == 600.0

    def test_what_it_was_read_behind_can_be_mended_too(self, hang, metered, get, post, stores):
        hang(SAID)
        metered(SAID)
        number = ids(stores, 1)[-1]
        page = get(f"/readings/{number}/mend")
        post(f"/readings/{number}/mend", {**page.fields, "read_behind": [REALLY, "", ""]})
        source = stores.sets.get_source(1).source
        assert source.readings[-1].gels == [REALLY] and source.readings[-1].gels_checked
        assert (source.work.gels, source.work.read_behind) == ([SAID], None)

    def test_a_reading_mended_to_be_right_confirms(self, hang, metered, post, get, stores):
        hang(SAID, "Plus green 1/8")
        true = meter(LAMP, [SAID, "Plus green 1/8"])
        metered(SAID, "Plus green 1/8", cct=true.cct - 900)
        assert stores.sets.get_source(1).source.work.stage is Stage.HUNG
        post(f"/readings/{ids(stores, 1)[-1]}/mend", {"cct": f"{true.cct:.0f}"})
        assert stores.sets.get_source(1).source.work.stage is Stage.CONFIRMED


class TestTwoPeople:
    @pytest.fixture
    def app(self, tmp_path):
        app = open_app(tmp_path / "data")
        app.extensions["advisor"].sets.create_set(bakery())
        return app

    @pytest.fixture
    def number(self, app):
        return app.extensions["advisor"].sets.readings_of(1)[-1].id

    def mend(self, browser, number, **fields):
        return browser.post(f"/readings/{number}/mend", fields)

    def test_the_second_sees_what_the_first_made_of_it_and_may_put_theirs(self, app, number):
        sets = app.extensions["advisor"].sets
        sets.by("Mia").mend(1, {number: Reading(cct=5600, duv=0.001)})
        browser = joined(app, "meter")
        browser.open("/sources/1")
        answer = self.mend(browser, number, cct="5700", duv="0.001")
        assert answer.status_code == 409
        page = answer.get_data(as_text=True)
        assert "Mia fixed it" in page and "Use mine" in page
        over = re.search(r'name="over" value="(\d+)"', page)[1]
        answer = self.mend(browser, number, cct="5700", duv="0.001", over=over)
        assert answer.status_code in (302, 303)
        assert sets.get_source(1).source.reading.cct == 5700

    def test_one_that_was_struck_out_meanwhile_is_brought_back_first(self, app, number):
        sets = app.extensions["advisor"].sets
        sets.by("Mia").strike(number)
        browser = joined(app, "meter")
        browser.open("/sources/1")
        answer = self.mend(browser, number, cct="5700")
        assert answer.status_code == 409
        assert "Mia struck it out" in answer.get_data(as_text=True)

    def test_who_may_meter_undoes_a_mend_where_the_reading_stands(self, app, number):
        sets = app.extensions["advisor"].sets
        before = sets.get_source(1).source
        sets.by("Mia").mend(1, {number: Reading(cct=5600, duv=0.001)})
        browser = joined(app, "meter")
        page = browser.open("/sources/1").html
        assert f"/readings/{number}/back" in page
        browser.post(f"/readings/{number}/back", {})
        assert sets.get_source(1).source == before


class TestBareReading:
    def test_typed_wrong_it_is_put_right_from_behind_the_gel(self, hang, metered, stores, get, post):
        right = stores.sets.get_source(1).source.reading
        wrong = right.model_copy(update={"cct": 2330.0})
        stores.sets.add_reading(1, wrong)
        hang(SAID)
        metered(SAID)
        page = get("/sources/1")
        assert re.search(r"Bare, 2\s330\sK for 3\s230\sK\? Two digits swapped\.", page.text)
        bare = next(r.id for r in reversed(stores.sets.readings_of(1)) if not r.reading.gels)
        [form] = re.findall(
            rf'<form method="post" action="/readings/{bare}/mend"[^>]*>.*?</form>', page.html, re.S
        )
        assert re.search(r"Bare it was 3\s230\sK", form)
        post(f"/readings/{bare}/mend", {"cct": re.search(r'name="cct" value="(\d+)"', form)[1]})
        now = stores.sets.get_source(1).source
        assert now.reading.cct == now.work.read_bare.cct == 3230
        assert now.work.gels == [SAID]
        assert "Two digits swapped" not in get("/sources/1").text
