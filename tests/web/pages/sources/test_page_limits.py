"""What may hang: families left out, only what is cut, one stock for all; and why runners-up stand below."""

import re

from tests.web.page import plain
from tests.web.tables import imported


def changed(get, post, **fields):
    return post("/sets/1/edit", {**get("/sets/1/edit").fields, **fields})


def hung(get):
    """Return what the set's page says to hang, source by source."""
    return [plain(what) for what in re.findall(r'<span class="what">([^<]*)</span>', get("/sets/1").html)]


def test_a_family_that_is_left_out_hangs_nowhere(sample, get, post):
    assert [what for what in hung(get) if "CTB" in what]
    assert changed(get, post, exclude_families=["CTB"]).alerts == []
    assert not [what for what in hung(get) if "CTB" in what]
    assert 'name="exclude_families" value="CTB" checked' in get("/sets/1/edit").html


def test_only_what_is_cut_hangs(sample, get, post, stores):
    changed(get, post, only_cut="yes", only_gels=["CTO 1/4"])
    assert stores.sets.get_set(1).limits.only_gels == ["CTO 1/4"]
    assert "¼ CTO" in hung(get)
    hangs = "stays bare|bare, closest there is|((two|three) )?¼ CTO|gel can’t fix this one"
    assert all(re.fullmatch(hangs, what) for what in hung(get))


def test_unticked_the_cut_gels_are_no_limit(sample, get, post, stores):
    changed(get, post, only_cut="", only_gels=["CTO 1/4"])
    assert stores.sets.get_set(1).limits.only_gels is None


def test_one_stock_is_shared_and_the_head_says_what_it_got(sample, get, post, stores):
    rows = "family,fraction,mired,cc,stock\nCTB,1/2,-70,0,1\nCTB,full,-134,0,1\nCTO,1/4,40,0,1\n"
    imported(post, {"text": rows})
    alone = sum("full CTB" in what for what in hung(get))
    changed(get, post, share_stock="yes")
    assert stores.sets.get_set(1).limits.share_stock
    shared = sum("full CTB" in what for what in hung(get))
    assert alone > 1 >= shared
    said = [get(f"/sources/{i}").text for i in range(1, 7)]
    assert [text for text in said if "Gets the last" in text or "went to" in text or "too few" in text]


def test_every_runner_up_says_why_it_stands_below(sample, get):
    text = get("/sources/1").text
    runners = text.split(" Or ")[1].split("Build a stack by hand")[0]
    reasons = re.findall("(?:The first|This one|The two|Looks the same) ", runners)
    assert len(reasons) == len(re.findall("[○◔◑●]", runners)) > 1
    assert re.search(
        r"The first [\w ]+, this one is obvious. But the first loses \d\.\d stops? more\.", runners
    )


def test_a_stack_by_hand_says_where_it_would_stand(sample, get):
    worse = get("/sources/1?gel=CTO+1%2F4&gel=CTO+1%2F4&gel=&gel=").text.split("What will it do")[1]
    assert re.search(r"\d+(st|nd|rd|th) of \d+: .+ beats it: that one", worse)
    best = get("/sources/1?gel=CTO+1%2F4&gel=&gel=&gel=").text.split("What will it do")[1]
    assert "First of" in best and "nothing beats it" in best
