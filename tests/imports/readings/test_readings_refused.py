"""Inputs that cannot be read at all, and inputs made to hurt."""

import re
import time

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from advisor.imports import read_gels, read_readings
from advisor.model import Refused
from tests.thorough import cases

HEAD = "name,CCT,Duv,lux\n"
MEGA = 1_000_000


@pytest.mark.parametrize(
    ("data", "says", "allowed"),
    [
        ("", "no text", "at least one"),
        (b"", "no text", "at least one"),
        (" \n\t\n\ufeff", "no text", "at least one"),
        ("CCT,Duv\n5600,\x00\n", "line 2 holds the control character U+0000", "CSV"),
        (b"\x89PNG\x1a\n\x00\x00", "control character", "CSV"),
        (b"PK\x03\x04rest", "spreadsheet or archive", "CSV"),
        ("CCT,Duv\n5600,0\x1b[0m", "line 2 holds the control character U+001B", "CSV"),
        (b"\xff\xfeC\x00C", "UTF-16", "CSV"),
        ("<!DOCTYPE html><p>CCT", "web page", "copy"),
        ("  <HTML>", "web page", "copy"),
        ("<?xml version='1.0'?><a/>", "XML", "CSV"),
        ("<reading><watts>5600</watts></reading>", "XML", "CSV"),
        ("a" * 1_000_001, "1 000 001 characters", "1 000 000 bytes"),
        (b"a" * 1_000_001, "1 000 001 bytes", "1 000 000 bytes"),
        ("é" * 500_001, "1 000 002 bytes", "1 000 000 bytes"),
    ],
)
@pytest.mark.parametrize("read", [read_readings, read_gels])
def test_what_is_no_text(read, data, says, allowed):
    with pytest.raises(Refused) as refused:
        read(data)
    (problem,) = refused.value.problems
    assert problem.where
    assert says in problem.says
    assert allowed in problem.allowed


@pytest.mark.parametrize(
    ("read", "says", "allowed"),
    [
        (read_readings, "web page", "copy"),
        (read_gels, "no table of gels is in the text", "a row of headings"),
    ],
)
def test_a_page_with_one_number(read, says, allowed):
    with pytest.raises(Refused) as refused:
        read("CCT<table><tr><td>5600</td>")
    (problem,) = refused.value.problems
    assert says in problem.says
    assert allowed in problem.allowed


@pytest.mark.parametrize(
    ("text", "says", "allowed"),
    [
        (HEAD, "there is no reading under the headings on line 1", "at least one row"),
        (HEAD + "a,5600,0,1\n" * 501, "more than 500 rows", "at most 500"),
        ("CCT: 5600\nDuv: 0\n\n" * 501, "501 readings", "at most 500"),
        ("a: b\n" * 20_001, "20001 lines", "at most 500"),
        ("alpha,beta\n1,2", "no headings", "CCT"),
        ("name,kind\nInvented,LED", "no line of it tells a reading", "CCT"),
    ],
)
def test_a_text_that_cannot_be_read_as_a_whole(text, says, allowed):
    with pytest.raises(Refused) as refused:
        read_readings(text)
    assert says in refused.value.problems[0].says
    assert allowed in refused.value.problems[0].allowed


def test_five_hundred_rows_are_read():
    assert len(read_readings(HEAD + "a,5600,0,1\n" * 500).sources) == 500


@pytest.mark.parametrize(
    "encode",
    [
        lambda t: t.encode(),
        lambda t: t.encode("utf-8-sig"),
        lambda t: t.encode("utf-16"),
        lambda t: t.encode("utf-16-le"),
        lambda t: t.encode("utf-16-be"),
        lambda t: t.encode("cp1252"),
        lambda t: t.replace("\n", "\r\n").encode(),
        lambda t: t.replace("\n", "\r"),
        lambda t: "\ufeff" + t,
    ],
)
def test_encodings(encode):
    (row,) = read_readings(encode("name;Tcp;Duv\nKüche – links;5600;0,001\n")).rows
    assert row.source.name == "Küche – links"
    assert row.source.reading.duv == 0.001


def test_a_tag_in_a_note_is_no_web_page():
    assert (
        read_readings("CCT,Duv,note\n5600,0,<table> by the <div>ider").sources[0].note
        == "<table> by the <div>ider"
    )
    assert read_gels("family,fraction,mired,note\nCTO,full,134,<table>").rows[0].note == "<table>"


def test_half_a_surrogate_pair_does_no_harm():
    assert read_readings("name,CCT,Duv\nA\ud800,5600,0").sources[0].name == "A?"


def test_signs_without_width_do_no_harm():
    source = read_readings("name,CCT,Duv\n\u200eKey,5600\u200b,\ufeff0").sources[0]
    assert (source.name, source.reading.cct) == ("Key", 5600)


SHAPES = {
    "one line of letters": "a" * MEGA,
    "commas": "," * MEGA,
    "headings and commas": HEAD + "," * (MEGA - 20),
    "quotes": HEAD + '"' * (MEGA - 20),
    "lines of one quote": "CCT,Duv\n" + '"\n' * (MEGA // 2 - 20),
    "quotes that never pair": HEAD + ('"' + "x" * 1900 + "\n") * 500,
    "quotes that open again": HEAD + 'a"b,"c\n' * (MEGA // 7 - 20),
    "line breaks": "x" + "\n" * (MEGA - 1),
    "spaces": "CCT" + " " * (MEGA - 4) + "a",
    "tabs and spaces": " \t" * (MEGA // 2 - 1) + "a",
    "digits": HEAD + "1" * (MEGA - 20),
    "colons": ":" * MEGA,
    "pairs without a measurement": "a:b\n" * 19_999,
    "pairs on long lines": (("CCT: 5600, " * 450) + "\n") * 200,
    "unknown pairs on long lines": (("a: b, " * 800) + "\n") * 200,
    "headings without end": ("CCT " * 1200 + "\n") * 200,
    "scales": "CCT ×10" * (MEGA // 7 - 1),
    "a cell without end": HEAD + "a," + "9" * (MEGA - 100) + ",0,1\n",
    "wide rows": HEAD + ("x" * 1950 + ",5600,0,1\n") * 499,
    "angle brackets": "<" * MEGA,
    "high bytes": b"\x80" * MEGA,
    "a gel header of one name": "family," * (MEGA // 8),
    "a gel header without end": "family,fraction" + ",a" * 450_000,
    "gel comments": "family,fraction\n" + "#\n" * 400_000,
    "gel quotes": "family,fraction,note\n" + ('"' + '""\n' * 300 + "\n") * 900,
    "gel rows that are all wrong": "family,fraction,mired,note\n" + ("x" * 480 + ",1/4,q,1\n") * 1999,
}


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("read", [read_readings, read_gels])
def test_a_megabyte_made_to_hurt_comes_to_an_end(read, shape):
    data = SHAPES[shape]
    assert len(data) <= MEGA
    start = time.process_time()
    try:
        read(data)
    except Refused as refused:
        assert refused.problems
    # A guard against a hang (seconds to years), not a measurement; these take about a second at most.
    assert time.process_time() - start < 30


PIECES = st.sampled_from(
    [
        *(
            "CCT",
            "Duv",
            "name",
            "lux",
            "x",
            "y",
            "u'",
            "v′",
            "Δuv",
            "×10⁻³",
            "family",
            "fraction",
            "mired",
            "note",
        ),
        *(
            "5600",
            "0,003",
            "5.600",
            "−1",
            "1/4",
            "full",
            "e999",
            "K",
            "fc",
            "yes",
            "LED",
            "#",
            "'",
            "(",
            ")",
            "-",
        ),
        *(",", ";", "\t", "|", "  ", " ", "\n", "\n\n", "\r\n", ":", "=", '"', '""', "<"),
    ]
)


@given(st.text() | st.lists(PIECES, max_size=60).map("".join))
@settings(deadline=None, max_examples=cases(400))
def test_no_text_raises_anything_but_refused(text):
    for read in (read_readings, read_gels):
        try:
            read(text)
        except Refused as refused:
            assert all(p.where and p.says and p.allowed for p in refused.problems)


@given(st.lists(PIECES, max_size=60).map("".join))
@example("CCT CCT\n5600")
@settings(deadline=None, max_examples=cases(200))
def test_nothing_pasted_beneath_headings_is_lost(text):
    try:
        paste = read_readings("CCT,Duv,note\n" + text)
    except Refused:
        return
    kept = "".join(row.text for row in paste.rows) + "\n".join(left.text for left in paste.left_out)
    kept += "\n" + ",".join(c.heading for c in [*paste.columns, *paste.unused])
    for line in text.replace("\r", "\n").split("\n"):
        cells = [c.strip(' "') for c in re.split(r"[,;|\t]|\s{2,}", line)]
        blank_or_rule = not any(c.strip("|+:=- \t") for c in cells)
        units_or_headings = set(re.split(r"[,;|\s()\"-]+", line)) <= {"", "K", "CCT", "Duv", "note"}
        assert line.strip() in kept or blank_or_rule or units_or_headings


@given(st.binary())
@settings(deadline=None, max_examples=cases(200))
def test_no_bytes_raise_anything_but_refused(data):
    for read in (read_readings, read_gels):
        try:
            read(data)
        except Refused as refused:
            assert refused.problems
