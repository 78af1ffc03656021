"""A gel is taught on its own page, and on a head that was read bare and can be read behind it alone."""

from tests.web.working import CTO, buttons

TEACH = "Teach ¼ CTO"


def taught(page) -> list[str]:
    return sorted(words for words in buttons(page) if words.startswith("Teach"))


def test_a_bare_head_teaches_none(sample, get):
    assert all(taught(get(f"/sources/{number}")) == [] for number in range(1, 7))


def test_what_hangs_alone_can_be_read_and_taught(act, read, get):
    assert taught(act("hung", CTO)) == [TEACH]
    page = read("4700", "0.0040", "700", behind="hung", hung="CTO 1/4")
    assert taught(page) == [f"{TEACH} from these readings"]
    assert taught(act("clear")) == [TEACH]  # it was read behind it
    [link] = [link for link in get("/sources/1").links if "teach" in link]
    assert get(link.replace("&amp;", "&")).fields["gelled_cct"] == "4700"


def test_a_light_that_moved_in_between_is_no_pair(act, read):
    """It was read bare while the sky was cooler; what was read behind the gel goes with the sky before."""
    act("hung", CTO)
    for _ in range(2):
        page = read("5610", "0.0031", behind="hung", hung="CTO 1/4")
        assert taught(page) == [f"{TEACH} from these readings"]
    read("9500", "0.004", behind="bare", hung="CTO 1/4")
    page = read("5615", "0.0031", behind="hung", hung="CTO 1/4")
    assert "Confirmed: 5 615 K" in page.text and taught(page) == [TEACH]


def test_two_sheets_teach_neither_and_what_is_kept_counts_for_none(act, change):
    assert taught(act("hung", ["CTO 1/4", "Minus green 1/8"])) == []
    change(1, keep=["Minus green 1/8"])
    assert taught(act("hung", ["CTO 1/4", "Minus green 1/8"])) == [TEACH]


def test_a_head_without_a_bare_reading_teaches_none(act, post, stores):
    act("hung", CTO)
    stores.sets.strike(stores.sets.readings_of(1)[0].id)
    page = post("/sources/1/reading", {"cct": "4700", "duv": "0", "behind": "hung", "hung": "CTO 1/4"})
    assert page.status == 200 and taught(page) == []


def test_a_doubted_gel_is_not_taught(act, read):
    act("hung", CTO)
    assert taught(read("3650", "0.0036", behind="hung", hung="CTO 1/4")) == []


def test_the_gel_itself_offers_it(sample, get):
    assert "Teach it from a meter" in buttons(get("/gels/edit?name=CTO+1%2F4"))
