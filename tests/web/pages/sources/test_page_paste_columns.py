"""A paste is asked about with taps: what a column holds, where headings are, what a cell should say."""

import pytest

from advisor.web.pastes import looks
from tests.web.pasting import names

GERMAN = "name;CCT;Duv;Feld vorn\nTür;6800;0,0040;900\nTafel;5480;-0,0021;410\n"
LUX = {"is-column-4": "lux"}


@pytest.fixture
def tap(paste):
    """Send the page of a paste on, with something tapped or chosen on it."""

    def run(page, text, **changed):
        given = {key.replace("_", "-"): value for key, value in changed.items()}
        return paste(text, {**page.fields, **dict(page.ticked), **given})

    return run


@pytest.fixture
def put(paste, stores):
    """Save the page of a paste as it stands."""
    return lambda page, text: paste(text, {**page.fields, **dict(page.ticked), "save": "yes"})


def test_each_column_is_shown_with_what_it_was_taken_for(paste):
    page = paste(GERMAN)
    shown = {name: value for name, value in page.fields.items() if name.startswith("is-column")}
    assert shown == {"is-column-1": "name", "is-column-2": "cct", "is-column-3": "duv", "is-column-4": "-"}
    assert "“Feld vorn” not used" in page.text
    assert "900, 410" in page.text
    assert "900 lx" not in page.text


def test_what_is_chosen_of_a_column_changes_the_rows_and_is_saved(paste, tap, put, stores):
    page = tap(paste(GERMAN), GERMAN, is_column_4="lux")
    assert "6 800 K, Duv +0.0040, 900 lx" in page.text
    put(page, GERMAN)
    assert [s.source.reading.lux for s in stores.sets.get_set(1).sources[6:]] == [900, 410]


def test_a_scale_is_chosen_with_it(paste, tap):
    text = GERMAN.replace("900", "0,9").replace("410", "0,41")
    assert "900 lx" in tap(paste(text), text, is_column_4="lux-k").text


def test_two_columns_are_never_the_same_the_one_said_last_counts(paste, tap):
    text = "name;CCT;Duv;Wert\nTür;6800;0,0040;5600\n"
    page = tap(paste(text), text, is_column_4="cct")
    assert "5 600 K, Duv +0.0040" in page.text
    page = tap(page, text, is_column_2="cct")
    assert "6 800 K, Duv +0.0040" in page.text


def test_nothing_is_saved_that_was_not_shown(paste, stores):
    page = paste(GERMAN)
    page = paste(GERMAN, {**page.fields, **dict(page.ticked), **LUX, "save": "yes"})
    assert page.status == 422
    assert "nothing is saved yet" in page.alerts[0]
    assert "900 lx" in page.text
    assert names(stores) == []


class TestNextTime:
    def test_it_is_proposed_by_the_same_headings(self, paste, tap, put):
        put(tap(paste(GERMAN), GERMAN, is_column_4="lux"), GERMAN)
        other = GERMAN.replace("6800", "7000").replace("Tür", "Tor").replace("name;CCT", "Name ;cct")
        page = paste(other)
        assert "Columns as you said last time" in page.text
        assert "7 000 K, Duv +0.0040, 900 lx" in page.text
        assert "last time" not in paste(GERMAN.replace("vorn", "hinten")).text

    def test_what_was_not_saved_is_not_remembered(self, paste, tap):
        tap(paste(GERMAN), GERMAN, is_column_4="lux")
        assert "last time" not in paste(GERMAN.replace("900", "901")).text

    def test_it_can_be_forgotten(self, paste, tap, put, stores):
        put(tap(paste(GERMAN), GERMAN, is_column_4="lux"), GERMAN)
        other = GERMAN.replace("900", "901").replace("Tür", "Tor")
        page = tap(paste(other), other, forget="yes")
        assert "901 lx" not in page.text
        put(page, other)
        assert "901 lx" not in paste(other).text

    def test_what_was_said_of_the_text_before_holds_for_one_with_the_same_headings(self, paste, tap):
        page = tap(paste(GERMAN), GERMAN, is_column_4="lux")
        assert "905 lx" in tap(page, GERMAN.replace("900", "905")).text

    def test_rows_swapped_with_columns_are_proposed_too(self, paste, tap, put, stores):
        text = "zz;Tor;Tafel\nCCT;6800;5480\nDuv;0,0040;-0,0021\n"
        page = paste(text)
        if "Tor" not in page.fields.values():
            page = tap(page, text, set="turned=yes")
        page = tap(page, text, is_column_1="name")
        put(page, text)
        assert {"Tor", "Tafel"} <= set(names(stores))


class TestReadOnce:
    @pytest.fixture
    def count(self, monkeypatch):
        """Count how often a text is read."""
        read, done = looks.read_anything, []

        def counted(*args):
            done.append(args)
            return read(*args)

        monkeypatch.setattr(looks, "read_anything", counted)
        return done

    def test_looking_and_saving_share_what_was_read(self, paste, put, count):
        put(paste(GERMAN), GERMAN)
        assert len(count) == 1

    def test_after_a_restart_the_text_is_read_again_and_saved_as_it_was_shown(
        self, paste, tap, put, app, stores, count
    ):
        page = tap(paste(GERMAN), GERMAN, is_column_4="lux", name_2="Kitchen door")
        app.extensions.pop("pastes")
        done = len(count)
        put(page, GERMAN)
        assert len(count) == done + 1
        assert names(stores) == ["Kitchen door", "Tafel"]
        assert stores.sets.get_set(1).sources[6].source.reading.lux == 900

    def test_only_a_few_texts_are_kept_of_a_phone_and_for_some_hours(self, paste, count, monkeypatch):
        for n in range(6):
            paste(GERMAN.replace("900", str(900 + n)))
        assert len(count) == 6
        paste(GERMAN.replace("900", "905"))
        assert len(count) == 6
        paste(GERMAN)
        assert len(count) == 7
        now = looks.time.monotonic()
        monkeypatch.setattr(looks.time, "monotonic", lambda: now + 4 * 3600)
        paste(GERMAN)
        assert len(count) == 8


class TestMendedInPlace:
    BAD = "name,CCT,Duv\nKey,56000,0.001\nRim,3200,x1\nFill,4300,0.002\n"

    def test_what_a_cell_likely_means_is_a_button(self, paste, tap):
        page = paste(self.BAD)
        assert "56000: 5 600 K" in page.text
        page = tap(page, self.BAD, set="cell-2-CCT=5600")
        assert "5 600 K, Duv +0.0010" in page.text
        assert page.heading == "2 of 3 rows understood"
        page = tap(page, self.BAD, set="cell-3-Duv=0")
        assert page.heading == "3 of 3 rows understood"
        assert len(page.ticked) == 3

    def test_a_cell_is_typed_anew(self, paste, tap):
        page = tap(paste(self.BAD), self.BAD, **{"is_cell_2_CCT": "5650"})
        assert "5 650 K, Duv +0.0010" in page.text

    def test_a_cell_that_is_still_wrong_stays_to_be_mended(self, paste, tap):
        page = tap(paste(self.BAD), self.BAD, **{"is_cell_2_CCT": "wrong"})
        assert page.fields["is-cell-2-CCT"] == "wrong"
        assert page.heading == "1 of 3 rows understood"

    def test_rows_to_mend_come_before_the_others(self, paste):
        html = paste(self.BAD).html
        assert html.index("is-cell-2-CCT") < html.index("use-4")


@pytest.mark.parametrize(
    "chosen", ["{", "[]", '{"answers": 1}', '{"names": {"a": 1}}', '{"what": {}}', "[" * 9999]
)
def test_nonsense_about_what_was_chosen_is_refused_in_words(paste, chosen):
    page = paste(GERMAN, {"chosen": chosen})
    assert page.status == 422
    assert page.alerts[0].startswith("the page does not say what was chosen")
    assert page.fields["text"] == GERMAN


def test_many_sources_have_their_fields_where_they_are_asked_for(paste, tap, put, stores):
    text = "name,cct,duv\n" + "".join(f"R{n},5600,0\n" for n in range(20))
    page = paste(text)
    assert "name-5" not in page.fields
    page = tap(page, text, open="5")
    assert page.fields["name-5"] == "R3"
    put(tap(page, text, name_5="Rim", kind_5="tungsten"), text)
    source = stores.sets.get_set(1).sources[9].source
    assert (source.name, source.kind) == ("Rim", "tungsten")


def test_what_one_phone_read_is_not_there_for_another():
    look = looks.Look("key", "text", {}, looks.Paste(rows=[], columns=[], ignored=[]), [], ())
    kept = looks.KeptLooks()
    kept.keep(1, look)
    assert kept.find(1, "key") is look
    assert kept.find(2, "key") is None
    assert kept.find(None, "key") is None


def test_of_many_phones_24_texts_are_kept():
    kept = looks.KeptLooks()
    for phone in range(30):
        kept.keep(phone, looks.Look("key", "text", {}, looks.Paste(rows=[], columns=[], ignored=[]), [], ()))
    assert [phone for phone in range(30) if kept.find(phone, "key")] == list(range(6, 30))
