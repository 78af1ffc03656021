"""Texts as a crew would send them, read without anything being read that is not there.

Each was written with the readings that are truly in it by somebody who had not read the importer: see the
page beside them. A text is understood wholly where every reading is right and nothing is asked for nothing,
asked where a question says what is doubtful, and wrong in silence where a number is read that is not there.
"""

import json
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import pytest

from advisor.imports import read_anything
from advisor.model import Reading, Refused

HERE = Path(__file__).parent / "layouts"
LAYOUTS = sorted(path.stem for path in HERE.glob("*.txt"))
WITHIN = {"cct": 1.0, "duv": 0.00006, "lux": 1.0, "level": 0.5, "x": 0.0011, "y": 0.0011}
"""How far a number may be off what is truly there: its rounding."""
GOAL = 0.8


@dataclass
class Outcome:
    """What became of one text: what is `wrong` in silence, and what is `missing`."""

    wrong: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    @property
    def word(self) -> str:
        """How it is counted."""
        if self.wrong:
            return "wrong in silence"
        if self.missing:
            return "not wholly"
        return "wholly"


@cache
def outcome_of(name: str) -> Outcome:
    """Read one text, answer what is asked as its writer finds likely, and compare."""
    text = (HERE / f"{name}.txt").read_text(encoding="utf-8")
    truth = json.loads((HERE / f"{name}.json").read_text(encoding="utf-8"))
    out = Outcome()
    try:
        paste = read_anything(text)
        out.asked = [question.says for question in paste.asked]
        likely = {q.key: q.likely or q.choices[0].value for q in paste.asked}
        _silent(paste.sources and [row for row in paste.rows if row.source], truth, out, bool(out.asked))
        paste = read_anything(text, likely) if likely else paste
    except Refused as no:
        out.missing.append(f"refused: {no}")
        return out
    if len(paste.rows) != len(truth["readings"]):
        out.missing.append(f"{len(paste.rows)} readings of {len(truth['readings'])}")
    else:
        for row, true in zip(paste.rows, truth["readings"], strict=True):
            if row.source is None and _coloured(true):
                out.missing.append(f"line {row.line}: {row.problems[0].says}")
            elif row.source is not None:
                out.missing += _differences(row, true, numbers=True, words=True)
    if truth["asked"] and not out.asked:
        out.wrong.append(f"not asked: {truth['asked'][0]['question']}")
    return out


def _silent(rows, truth, out, asked):
    """Find numbers that were read before anything was answered, and are not there."""
    left = list(truth["readings"])
    for row in rows or []:
        best = min(
            left, key=lambda true: len(_differences(row, true, numbers=True, words=True)), default=None
        )
        if best is None:
            out.wrong.append(f"line {row.line}: {_reading(row)} is no reading")
            continue
        left.remove(best)
        out.wrong += _differences(row, best, numbers=True, words=False)


def _coloured(true) -> bool:
    """Whether what is in the text is enough for a reading; else its row stays, and says what is lacking."""
    return "cct" in true or "x" in true


def _reading(row) -> Reading:
    return row.source.reading


def _differences(row, true, *, numbers, words):
    """Say in what a row differs from what is truly in the text; a number that is lacking counts as words."""
    reading = _reading(row)
    x, y = reading.xy or (None, None)
    seen = {
        "cct": reading.cct,
        "duv": reading.duv,
        "lux": reading.lux,
        "level": reading.level,
        "x": x,
        "y": y,
    }
    out = []
    given = "cct" in true and "duv" in true
    for what, value in seen.items():
        real = true.get(what)
        if value is None and real is not None and words and not (what in "xy" and given):
            if not (what in ("cct", "duv") and x is not None):
                out.append(f"line {row.line}: {what} {real} is lost")
        elif what == "duv" and value == 0 and real is None and (words or reading.duv_assumed):
            pass  # it is said that it counts as 0, or it was asked for
        elif value is not None and numbers and (real is None or abs(value - real) > WITHIN[what]):
            out.append(f"line {row.line}: {what} {value:g} is {real}")
    if not words:
        return out
    source = row.source
    gels = " + ".join(reading.gels)
    told = {
        "name": source.name if row.named else None,
        "modifier": reading.modifier or None,
        "note": source.note or None,
        "time": row.time or None,
    }
    out += [f"line {row.line}: {w} {v!r} is {true.get(w)!r}" for w, v in told.items() if v != true.get(w)]
    if bool(gels) != bool(true.get("gel")):
        out.append(f"line {row.line}: gel {gels!r} is {true.get('gel')!r}")
    if true.get("kind") not in (None, source.kind.value):
        out.append(f"line {row.line}: kind {source.kind.value!r} is {true['kind']!r}")
    return out


@pytest.mark.parametrize("name", LAYOUTS)
def test_nothing_is_read_in_silence_that_is_not_there(name):
    assert outcome_of(name).wrong == []


def test_most_are_understood_wholly():
    outcomes = {name: outcome_of(name) for name in LAYOUTS}
    wholly = [name for name, outcome in outcomes.items() if outcome.word == "wholly"]
    rest = {name: outcome.missing + outcome.wrong for name, outcome in outcomes.items() if name not in wholly}
    assert len(wholly) >= GOAL * len(LAYOUTS), rest
