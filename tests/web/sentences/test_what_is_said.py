"""What the advisor says: in one file that is not stale, and by the rules of its voice.

Our rules: short sentences, since they are read once, in the dark. No semicolon. Nothing for programmers.
"""

import html
import re

import pytest

from tests.web.sentences.collect import FILE, everything, listed, of_module, of_script, of_template

FOR_PROGRAMS = {
    "advisor/model/told.py",
    "advisor/model/advice.py",
    "advisor/model/asked_light.py",
    "advisor/model/asked_plans.py",
    "advisor/web/access/guard.py",
    "advisor/web/api/openapi.py",
    "advisor/web/api/properties.py",
    "advisor/web/forms/files.py",
}
"""Places whose texts no page shows: the description of the API, and headers."""
ABOUT = "templates/about.html"
MOST_WORDS = 14


@pytest.fixture(scope="module")
def said():
    return [(place, one) for place, some in everything() if place not in FOR_PROGRAMS for one in some]


def test_the_file_is_as_the_advisor_speaks_now():
    """Run ``python -m tests.web.sentences.collect``, and read what changed."""
    assert FILE.read_text(encoding="utf-8") == listed()


@pytest.mark.parametrize(
    ("read", "source", "says"),
    [
        (of_template, "<p>Hang <b>{{ a }}</b> now.</p><p>Then meter.</p>", ["Hang … now.", "Then meter."]),
        (of_template, '{{ field(form, "cct", "CCT", hint="As read.") }}', ["CCT", "As read."]),
        (of_template, '<svg aria-label="A plane"></svg>{# no words #}', ["A plane"]),
        (of_script, "tell(`Read at ${x}.`); // a note", ["Read at …."]),
        (of_module, '"""Doc string."""\nx = f"Hang {a} now"', ["Hang … now"]),
        (of_module, 'x = "a_key"\ny = r"\\d a pattern"', []),
    ],
)
def test_sentences_are_found(read, source, says):
    assert [one for one in read(source) if one != "…"] == says


def test_no_semicolon(said):
    assert [pair for pair in said if ";" in pair[1]] == []


def test_nothing_for_programmers_but_on_its_own_page(said):
    words = re.compile("from memory|common practice|our judgement", re.IGNORECASE)
    assert {place for place, one in said if words.search(one)} == {ABOUT}


def test_no_plus_minus_is_printed(said):
    """It stands on the button that changes a sign, and where a paste is understood."""
    found = [pair for pair in said if "±" in pair[1] and not pair[0].startswith("advisor/imports/")]
    assert found == []


def sentences(page):
    """Return the sentences of a page: each part of its text, parted at full stops and at points between."""
    text = re.sub(r"(?s)<(script|style|svg|title|select|textarea|nav)\b.*?</\1>", "", page)
    text = re.sub(r"</?(?:b|strong|em|span|a|time|sub|sup|i)\b[^>]*>", "", text)
    for part in re.split(r"<[^>]*>", text):
        for one in re.split(r"(?<=[.?!:])\s| · ", re.sub(r"[ \n\t]+", " ", html.unescape(part))):
            if one.strip():
                yield one.strip()


def test_no_sentence_on_an_answer_is_long(shipped, client):
    heads = [f"/sources/{number}" for number in range(1, 7)]
    quick = ["/?cct=6800&duv=0.004", "/?cct=2300&duv=-0.004&kind=led-white"]
    sets = [
        f"/sets/1{page}" for page in ("", "?view=plane", "/compare", "/plans", "/light", "/pulls", "/sheet")
    ]
    wrong = []
    for path in (*quick, *heads, *sets):
        page = client.get(path).get_data(as_text=True)
        found = list(sentences(page[page.index("<main") :]))
        assert len(found) > 3, path
        for one in found:
            words = re.findall(r"[^\W_]\S*", re.sub("[\u00a0\u202f]", "", one))
            if len(words) > MOST_WORDS or ";" in one or re.search("±.|from memory|common practice", one):
                wrong.append((path, one))
    assert wrong == [], "\n".join(map(str, wrong))


def test_about_the_numbers_is_one_tap_from_answers_and_from_more(shipped, client):
    for path in ("/?cct=6800&duv=0.004", "/sources/1", "/look", "/gels", "/sets/1/edit"):
        assert 'href="/about"' in client.get(path).get_data(as_text=True), path
    more = client.get("/sets/1").get_data(as_text=True).partition("<summary>More</summary>")[2]
    assert 'href="/about"' in more.partition("</details>")[0]


STEP = 0.0011
"""[Δu′v′] CIE TN 001:2014, from memory."""


def test_about_the_numbers_says_what_the_check_found(client):
    """The figures of the tables that the check of the accuracy wrote into README.md."""
    readme = (FILE.parents[1] / "README.md").read_text(encoding="utf-8")
    said = re.sub(r"\s+", " ", client.get("/about").get_data(as_text=True))

    def row(name):
        [line] = [line for line in readme.splitlines() if line.startswith(f"| {name} |")]
        return [cell.strip() for cell in line.strip("|").split("|")[1:]]

    def told(number):
        return f"{float(number) / STEP:.1f}"

    assert f"Half of its predictions lie within {told(row('median')[2])} step of" in said
    labels, _, ours = row("90 % are within")
    assert f"Nine in ten lie within {told(ours)} steps." in said
    assert f"Adding up the labels, nine in ten lie within {told(labels)} steps." in said
    assert f"meter: within {told(row('90 % are within, where the meter prints Ra and R9')[2])}." in said
    measured = row("90 % are within, where the spectrum was measured")[2]
    assert f"With a measured spectrum, nine in ten lie within {told(measured)} steps." in said
    assert (row("mean of what was stated")[7], row("share that truly is within")[7]) == ("0.75", "0.77")
    assert "A chance of about 8 in 10 came true 77 times in 100." in said
    assert row("truly within three steps by then")[1:3] == ["95.8 %", "99.0 %"]
    assert "One more reading with the gel on: 96 in 100 landed close. Two more: 99." in said
