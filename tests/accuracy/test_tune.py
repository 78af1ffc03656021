"""The script that tunes constants: that it changes what it says it changes, and tells what differs."""

import ast
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

import advisor
from advisor.advice.stacks import uncertainty
from advisor.model import Kind
from tests.accuracy.constants import CONSTANTS
from tests.accuracy.lamps import lamps
from tests.accuracy.tune import judged, main, tune, verdict

SCALE, *_ = CONSTANTS
SCORES = {constant.score.words: constant.score for constant in CONSTANTS}
by_name = pytest.mark.parametrize("constant", CONSTANTS, ids=lambda constant: constant.name)


@pytest.fixture
def even(folder):
    return [lamp for lamp in lamps(folder) if not lamp.odd]


@by_name
def test_what_the_module_holds_is_on_the_grid(constant):
    assert constant.held in constant.grid and len(set(constant.grid)) == len(constant.grid)
    assert constant.kind in (None, *Kind)


@by_name
def test_a_constant_is_another_meanwhile_and_the_old_one_again(constant):
    before = getattr(constant.module, constant.attribute)
    *_, other = (value for value in constant.grid if value != constant.held)
    with constant.as_if(other):
        assert getattr(constant.module, constant.attribute) != before
        assert constant.part.startswith("ranges") or constant.held == pytest.approx(other)
    assert getattr(constant.module, constant.attribute) is before


@pytest.mark.parametrize("score", SCORES.values(), ids=SCORES)
def test_a_score_is_a_number_of_each_lamp_and_the_same_again(score, even):
    found = score.of(even)
    assert found.shape == (2,) and (found[np.isfinite(found)] >= 0.0).all() and np.isfinite(found).any()
    assert score.of(even) == pytest.approx(found, nan_ok=True)


def test_the_score_is_worked_out_with_the_constant_changed(even):
    held = tune(SCALE, even)
    assert SCALE.held == uncertainty.SCALE
    assert len({one.score for one in held.tried}) == len(SCALE.grid)
    [itself] = [one for one in held.tried if one.value == SCALE.held]
    assert (itself.more, itself.error) == (0.0, 0.0) and held.lamps == 2


def test_the_script_prints_the_grid_and_the_verdict(folder, capsys):
    status = main(["--data", str(folder), "--only", "uncertainty.SCALE"])
    printed = capsys.readouterr().out
    assert "interval score of the stated 90 %" in printed and "2 lamps" in printed
    last = printed.splitlines()[-1].split()
    assert last[:2] == ["advice.stacks.uncertainty.SCALE", "1.35"]
    assert status == (1 if last[-1] == "differs" else 0)


def test_without_data_there_is_no_verdict(tmp_path):
    assert main(["--data", str(tmp_path)]) == 1


def test_a_word_in_no_name_is_refused_with_the_names(capsys):
    with pytest.raises(SystemExit):
        main(["--only", "SCALES"])
    assert "advice.stacks.uncertainty.SCALE" in capsys.readouterr().err


class TestJudged:
    def scores(self, better_by, noise):
        """Return scores of 100 lamps, of which one value's are so much lower, give or take."""
        draw = np.random.default_rng(3)
        own = 3.0 + draw.normal(size=100)
        return {
            1.35: own,
            1.25: own - better_by + noise * draw.normal(size=100),
            1.6: own + 0.5 + noise * draw.normal(size=100),
        }

    def test_a_value_that_is_surely_better_differs(self):
        found = judged(SCALE, self.scores(0.3, 0.1))
        assert not found.stands and found.says == 1.25
        assert verdict([found]).rows[0][-1] == "differs"

    def test_what_is_kept_for_a_reason_says_so(self):
        found = judged(replace(SCALE, kept="a reason"), self.scores(0.3, 0.1))
        assert found.says == 1.25 and found.comes == "kept"

    def test_what_nobody_would_notice_is_flat(self):
        assert judged(SCALE, self.scores(0.1, 0.01)).stands

    def test_what_the_lamps_cannot_tell_apart_is_flat(self):
        found = judged(SCALE, self.scores(0.01, 0.2))
        assert found.stands and found.says == 1.35 and found.as_good == "1.25 to 1.35"

    def test_lamps_without_a_score_do_not_count(self):
        scores = self.scores(0.1, 0.1)
        scores[1.6][:40] = np.nan
        found = judged(SCALE, scores)
        assert found.lamps == 60 and np.isfinite([one.score for one in found.tried]).all()


def test_what_the_advisor_says_was_tuned_is_tuned_here():
    """Every constant whose comment names the even rows is in the script, and nothing else is."""
    said = set()
    for path in Path(advisor.__file__).parent.rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        if "even" not in text:
            continue
        for made, words in pairwise(ast.parse(text).body):
            if not isinstance(made, ast.Assign) or not isinstance(words, ast.Expr):
                continue
            if isinstance(words.value, ast.Constant) and "even rows" in " ".join(words.value.value.split()):
                names = (name.id for name in ast.walk(made.targets[0]) if isinstance(name, ast.Name))
                said |= {(path.stem, name) for name in names}
    assert said == {(one.module.__name__.rpartition(".")[2], one.attribute) for one in CONSTANTS}
