"""Commas between digits: decimal marks, thousands, or what parts two numbers. All that a line can mean."""

import itertools
import re
from collections.abc import Iterator

_RUN = re.compile(r"(?<![\w.])(?<!\d,)[-+]?\d+(?:,[-+]?(?:\d+(?:\.\d+)?|\.\d+))+")
# Numbers with both marks leave no doubt.
_BOTH = re.compile(
    r"(?<![\d.,])(\d{1,3}(?:\.\d{3}){1,3}),(\d{1,4})(?![\d.,])|(?<![\d.,])(\d{1,3}(?:,\d{3}){1,3})\.(\d{1,4})(?![\d.,])"
)
_MOST_PARTS = 6
_MOST_WAYS = 32
_THOUSANDS, _DECIMAL, _BETWEEN = "'", ".", " , "


def ways(line: str) -> list[str]:
    """Return the line as it reads for each sense of its commas, the likeliest first, with decimal points.

    “5600,0,003” is “5600 , 0.003” in one of them. At most `_MOST_WAYS`; the line itself where no comma stands
    between digits, or where there are too many to tell.
    """
    line = _BOTH.sub(_plain, line)
    runs = list(itertools.islice(_RUN.finditer(line), 9))
    if not runs or len(runs) > 8 or any(run[0].count(",") >= _MOST_PARTS for run in runs):
        return [line]
    pointed = bool(re.search(r"(?<!\d)[-+]?0?\.\d|\d\.\d{4}", line))
    choices = [list(_senses(run[0])) for run in runs]
    found: list[tuple[int, str]] = []
    for chosen in itertools.islice(itertools.product(*choices), 4 * _MOST_WAYS):
        marks = set().union(*(marks for marks, _ in chosen))
        if _DECIMAL in marks and (_THOUSANDS in marks or pointed):
            continue
        pieces, at = [], 0
        for run, (_, text) in zip(runs, chosen, strict=True):
            pieces += [line[at : run.start()], text]
            at = run.end()
        found.append((len(marks), "".join([*pieces, line[at:]])))
    return [text for _, text in found[:_MOST_WAYS]] or [line]


def _plain(found: re.Match[str]) -> str:
    whole, part = (found[1], found[2]) if found[1] else (found[3], found[4])
    return re.sub("[.,]", "", whole) + "." + part


def _senses(run: str) -> Iterator[tuple[frozenset[str], str]]:
    """Yield the marks used and the text for each sense of a run such as 5600,0,003."""
    parts = run.split(",")
    for joins in itertools.product((_THOUSANDS, _BETWEEN, _DECIMAL), repeat=len(parts) - 1):
        text = parts[0]
        last = _BETWEEN
        for mark, part in zip(joins, parts[1:], strict=True):
            text += mark + part
            if not _may(mark, last, text, part):
                break
            last = mark
        else:
            if all(_whole(number) for number in text.split(_BETWEEN)):
                yield frozenset(joins) - {_BETWEEN}, text


def _may(mark: str, last: str, text: str, part: str) -> bool:
    """Whether `part` may follow `mark`, which follows `last`."""
    if mark == _BETWEEN:
        return True
    if not part.isdigit():
        return False
    number = text.split(_BETWEEN)[-1]
    if mark == _THOUSANDS:
        return last != _DECIMAL and bool(re.fullmatch(r"[-+]?[1-9]\d{0,2}(?:'\d{3})+", number))
    return bool(re.fullmatch(r"[-+]?(?:\d+|[1-9]\d{0,2}(?:'\d{3})+)\.\d+", number))


def _whole(number: str) -> bool:
    """Whether it may be a number of its own: 003 is none."""
    return not re.match(r"[-+]?0\d", number)
