"""The sheet of a tested head: what it reads, what to hang, what light there is, what to carry."""

import itertools
import re

import pytest

from advisor.advice.stacks.kept import Kept
from advisor.model import HeadReading, HeadSetup, HeadTest
from advisor.web.views.known_heads import hang
from advisor.web.wording.short import short
from tests.heads import PANEL, READINGS, keep_tested


def test_the_sheet_says_the_head(stores, get):
    keep_tested(stores.heads)
    text = get("/tests/1/sheet").text
    assert "half an eighth magenta against the Planckian locus" in text
    assert "At 10 % it is a touch warmer, a little over an eighth greener." in text
    assert re.search("For the daylight locus carry:? ⅛ plus green at ", text)
    assert "The light follows the dimmer's number: half is 1.0 stop down." in text
    assert "1.0 stop down" in text
    # N² = E·S·t/C (ISO 2720): 2000 · 800 / 48 / 340 = 98.0, so f/9.9, a third under f/11
    assert "f/8 ⅔" in text
    assert "2 readings left." in text


def test_the_sheet_says_what_to_hang_for_each_locus(stores, get):
    keep_tested(stores.heads)
    page = get("/tests/1/sheet")
    assert "Hang for 5 600 K." in page.text
    assert 'data-is="Hang, Planckian"' in page.html
    assert 'data-is="Hang, daylight"' in page.html
    stores.heads.change_head(1, PANEL.model_copy(update={"nominal": 3200.0}))
    page = get("/tests/1/sheet")
    assert "Hang for 3 200 K." in page.text
    assert 'data-is="Hang, daylight"' not in page.html


def test_what_is_said_of_its_colour_agrees_with_what_the_table_hangs(stores, get):
    """An eighth magenta at full, and two steps greener at 50 %: one needs gel, the other none."""
    head_id = stores.heads.add_head(PANEL)
    for duv, said in (
        (-0.0008, "It stays close to full down to 50"),
        (-0.0029, "It holds its colour down to 50"),
    ):
        test_id = stores.heads.begin_test(head_id, HeadTest(levels=[100, 50]))
        for level, read in ((100, -0.003), (50, duv)):
            stores.heads.take_reading(test_id, HeadReading(cct=5600, duv=read, level=level))
        page = get(f"/tests/{test_id}/sheet")
        hung = re.findall(r'data-is="Hang, Planckian"[^>]*>(.*?)</td>', page.html)
        assert said in page.text
        assert (len(set(hung)) == 1) is said.startswith("It holds")


def test_the_sheet_says_the_light_elsewhere(stores, get):
    keep_tested(stores.heads)
    text = get("/tests/1/sheet").text
    # 2 000 lx at 3 m: 18 000 at 1 m, 4 500 at 2 m, 720 at 5 m; √(720 · 800 / 48 / 340) = 5.94
    assert "1 m 18 000 lx f/22 ⅔, 2 m 4 500 lx f/11 ⅔, 5 m 720 lx f/5.6" in text


def test_the_sheet_draws_the_spectra_that_were_read(stores, get):
    _, test_id = keep_tested(stores.heads)
    assert "Spectrum" not in get("/tests/1/sheet").text
    spectrum = {"start": 380, "step": 10, "values": [1.0] * 41}
    stores.heads.take_reading(test_id, HeadReading(spectrum=spectrum, level=50, modifier="dish"))
    page = get("/tests/1/sheet")
    assert "Spectrum" in page.text
    assert page.html.count("Spectrum, 380 to 780 nm") == 1
    # Equal energy reads 5 455 K, on the magenta side of both loci (CIE 15:2018).
    assert re.search(r"Ra 9\d · R9 \d+ · Rf 9\d · Rg \d+ · SSI \d+ \(P545\d\)", page.text)


@pytest.mark.parametrize(
    ("words", "brief"),
    [
        ("about half an eighth magenta against the Planckian locus", "half an ⅛ magenta"),
        ("a little over an eighth green against the daylight locus", "over ⅛ green"),
        ("between an eighth and a quarter green against the daylight locus", "⅛ to ¼ green"),
        ("between a half and three quarters green against the daylight locus", "½ to ¾ green"),
        ("about three quarters green against the daylight locus", "¾ green"),
        ("about a full green against the Planckian locus", "full green"),
        ("on the daylight locus", "on"),
        ("about a quarter CTO warmer, a touch greener", "¼ CTO warmer, a touch greener"),
    ],
)
def test_a_cell_is_short(words, brief):
    assert short(words) == brief


def test_the_sheet_answers_a_level_that_was_not_read_and_refuses_one_too_far(stores, get):
    keep_tested(stores.heads)
    said = get("/tests/1/sheet?level=30").text
    assert re.search(r"30 %, bare: about 5 750 K, Duv \S+\. Planckian: bare\. Daylight: ⅛ plus green\.", said)
    assert re.search(r"50 %, bare: 5 790 K, Duv −0\.0010\. Planckian: ", get("/tests/1/sheet?level=50").text)
    page = get("/tests/1/sheet?level=2")
    assert page.status == 422
    assert "the lowest level read is 10 %" in page.text


def test_the_sheet_scales_the_light_with_its_caution(stores, get):
    keep_tested(stores.heads)
    text = get("/tests/1/sheet?distance=6").text
    assert "500 lx" in text
    assert "It fails close to a large source" in text


def test_a_new_reading_has_one_cell_of_the_sheet_worked_out(stores, get, post, monkeypatch):
    """The others follow from what they followed from before, under their own colour, kind, white and gels."""
    made = []
    original = hang.to_hang

    def counting(kind, readings, target, gels):
        made.append(len(readings))
        return original(kind, readings, target, gels)

    monkeypatch.setattr(hang, "to_hang", counting)
    monkeypatch.setattr(hang, "_STACKS", Kept(100))
    _, test = keep_tested(stores.heads)
    before = get(f"/tests/{test}/sheet").text
    assert made == [4, 4]  # four readings, on the two loci
    get(f"/tests/{test}/sheet")
    assert made == [4, 4]
    post(f"/tests/{test}?at=2", {"cct": "5500", "duv": "0.0020", "lux": "210", "sure": "yes"})
    after = get(f"/tests/{test}/sheet").text
    assert made == [4, 4, 1, 1]
    assert before != after
    rows = stores.gels.in_force().table.rows
    hang.hung_said(PANEL, {HeadSetup(""): READINGS[:1]}, rows)
    assert made[4:] == []
    hang.hung_said(PANEL, {HeadSetup(""): READINGS[:1]}, rows[1:])
    assert made[4:] == [1, 1]


def test_what_to_carry_is_what_the_table_says_at_each_level(stores, get):
    head = stores.heads.add_head(PANEL)
    test = stores.heads.begin_test(head, HeadTest(levels=[100, 50, 10]))
    for level, cct, duv in ((100, 5600, 0.0004), (50, 5560, 0.0045), (10, 5350, 0.0095)):
        stores.heads.take_reading(test, HeadReading(level=level, cct=cct, duv=duv))
    page = get(f"/tests/{test}/sheet")
    said = page.text
    hung = re.findall(r'data-is="Hang, Planckian" class="hang">([^<]*)<', page.html)
    hung = [one.replace("\xa0", " ").partition(", ")[0] for one in hung]
    assert hung[0] == "bare" and len(set(hung)) == 3
    assert f"For the Planckian locus carry: {hung[1]} at 50 % {hung[2]} at 10 %" in said


def test_three_levels_in_a_row_that_need_the_same_are_told_from_the_first_to_the_last(stores, get):
    head = stores.heads.add_head(PANEL)
    levels = [100, 80, 60, 40, 20, 10]
    test = stores.heads.begin_test(head, HeadTest(levels=levels, modifiers=["", "dish"]))
    green = {"": [80, 60, 40, 10], "dish": [100, 80, 40, 20]}
    for modifier, level in itertools.product(green, levels):
        duv = 0.0090 if level in green[modifier] else 0.0
        read = HeadReading(level=level, modifier=modifier, cct=5600, duv=duv)
        stores.heads.take_reading(test, read)
    said = get(f"/tests/{test}/sheet").text
    [sheet] = set(re.findall(r"For the Planckian locus carry: (.+?) at", said))
    assert f"carry: {sheet} at 80 to 40 and 10 %, bare {sheet} at 100, 80, 40 and 20 %, dish" in said


def test_a_head_on_its_white_needs_no_gel(stores, get):
    head = stores.heads.add_head(PANEL.model_copy(update={"nominal": 3200.0}))
    test = stores.heads.begin_test(head, HeadTest(levels=[100]))
    stores.heads.take_reading(test, HeadReading(level=100, cct=3200, duv=0.0))
    assert "Carry no gel for it." in get(f"/tests/{test}/sheet").text


def test_what_to_carry_names_the_modifier_where_only_that_needs_it(stores, get):
    head = stores.heads.add_head(PANEL)
    test = stores.heads.begin_test(head, HeadTest(levels=[100, 50], modifiers=["", "dish"]))
    read = ((100, "", 0.0045), (50, "", 0.0045), (100, "dish", 0.0045), (50, "dish", 0.0095))
    for level, modifier, duv in read:
        stores.heads.take_reading(test, HeadReading(level=level, modifier=modifier, cct=5560, duv=duv))
    page = get(f"/tests/{test}/sheet")
    said = page.text
    hung = re.findall(r'data-is="Hang, Planckian" class="hang">([^<]*)<', page.html)
    less, same, also, more = (one.replace("\xa0", " ").partition(", ")[0] for one in hung)
    assert less == same == also != more
    assert f"For the Planckian locus carry: {less} at 100 and 50 %, bare " in said
    assert f"{less} at 100 %, dish {more} at 50 %, dish" in said


def test_a_level_that_was_asked_for_prints(stores, get):
    """What paper leaves out is marked: the answer stands outside of it, and the form within."""
    keep_tested(stores.heads)
    page = get("/tests/1/sheet?level=75")
    answer, form = page.html.index('<p role="status">75'), page.html.index('<form method="get"')
    assert answer < form and 'class="noprint"' in page.html[form : form + 80]
    assert "noprint" not in page.html[page.html.index('id="asked"') : answer]
