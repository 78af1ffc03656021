"""What takes long to read is refused at once, with the number that is too large and what is allowed."""

import time

import pytest

from advisor.imports import read_anything
from advisor.imports.gels.draft import draft_gels
from advisor.model import Refused

LARGEST = 1_000_000
TEXTS = {
    "one line of cells": ("1\t" * (LARGEST // 2), "the text has 500 000 cells", "at most 100 000"),
    "line ends": ("1" + "\n" * (LARGEST - 2) + "1", "the text has 999 999 lines", "at most 40 000"),
    "quotation marks": ('"' * LARGEST, "line 1 has 1 000 000 characters", "at most 20 000 in a line"),
    "pairs of them": ('""\n' * (LARGEST // 3), "the text has 333 334 lines", "at most 40 000"),
    "a wide row": ("name\n" + "5600," * 2500, "line 2 has 2 501 cells", "at most 2 000 in a line"),
    "JSON": ("[" + '{"cct":5600},' * 5000 + "{}]", "the JSON has 5 002 objects", "at most 5 000"),
    "a web page": ("<table>" + "<tr><td>5600" * 10_000, "the text has 20 001 tags", "at most 20 000"),
    "tags without end": ("<a>" * (LARGEST // 3), "the text has 333 333 tags", "at most 20 000"),
}
"""Each with the beginning of what is said, and of what is allowed."""


@pytest.mark.parametrize("name", TEXTS)
@pytest.mark.parametrize("read", [read_anything, draft_gels])
def test_too_much_is_refused_with_its_number(read, name):
    text, says, allowed = TEXTS[name]
    with pytest.raises(Refused) as refused:
        read(text)
    [problem] = refused.value.problems
    assert problem.says.startswith(says) and problem.allowed.startswith(allowed)


def test_looking_takes_less_than_reading_a_tenth_of_what_is_allowed():
    """A ratio in one run: nothing was begun before it was refused."""
    table = "name,CCT,Duv,lux\n" + "".join(f"K{i},{5000 + i},0.001,{800 + i}\n" for i in range(200))
    read, refused = [], []
    for _ in range(3):
        began = time.process_time()
        read_anything(table)
        read.append(time.process_time() - began)
        began = time.process_time()
        for text, *_ in TEXTS.values():
            with pytest.raises(Refused):
                read_anything(text)
        refused.append((time.process_time() - began) / len(TEXTS))
    assert min(refused) < min(read)


def test_what_is_just_within_is_read():
    lines = "\n".join(f"K{i} 5600 .001" for i in range(400)) + "\n" * 39_000
    assert len(read_anything(lines).rows) == 400


@pytest.mark.parametrize(
    ("text", "says", "allowed"),
    [
        (("CCT,Duv,name," * 20 + "\n") * 901, "the text has 54 060 cells", "50 000"),
        ("name,mired\nCTO,9\nname,cc\nCTO,9\n" * 60, "headings stand on more than 100 lines", "100 tables"),
        ("1;2\n" * 12_001, "the text has 12002 lines", "at most 12000"),
        (
            "family,fraction,mired\n" + "".join(f"F{i},full,{i % 90 + 1}\n" for i in range(501)),
            "the table has more than 500 rows",
            "at most 500",
        ),
    ],
)  # fmt: skip
def test_so_much_of_a_gel_table_is_read(text, says, allowed):
    with pytest.raises(Refused) as refused:
        draft_gels(text)
    [problem] = refused.value.problems
    assert problem.says == says and allowed in problem.allowed
