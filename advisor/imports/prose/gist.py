"""The gist of a line: for each CCT that was read, whose it is, and what goes with it."""

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..messages.lettered import JOINT
from ..messages.ranges import without_ranges
from ..sentences.commas import ways
from ..sentences.spoken import Spoken
from ..sentences.values import value_of
from ..vocabulary.headings import Field
from ..vocabulary.spoken import sign_said
from . import vocabulary as w
from .clauses import DUVS, Told, clause, is_cct
from .figures import give_figures
from .item import Is, Item
from .items import items_of
from .naming import give_names, with_stem
from .plain_sense import is_plain
from .series import names_of, with_series_held
from .was_read import read_of

_SAME_CCT = 0.01
"""A CCT in kelvin and one in whole mired are the same if they differ by less than this share. [1]"""
_MOST_WAYS = 8
_MOST_PLAIN = 12
_OF_WHOM = frozenset({"you", "he", "she", "they", "thats", "moment"})
_TELLING = (
    (w.WANTED | w.TOLD | w.NOT | w.OTHERS | w.DITTO | w.ALL | w.ASKING | w.POINTING | w.VAGUE) - w.COPULAS
    | w.FORMERLY
    | _OF_WHOM
)
# "5 480" is one CCT, unless the 5 is the number of a head.
_APART = re.compile(
    r"(?P<word>[^\W\d_]+)?(?P<between>[^\w.,]*)(?<![\w.,'-])(?P<first>[2-9]|1\d) (?P<rest>\d{3})"
    r"(?![\w.,]*\d|\s?(?:lx|lux|fc))"
)


_THOUSANDS = re.compile(r"(?<![\w.,])[2-9]['’ ]\d{3}\s?K\b")
# "5600 and 5400" are the CCTs of two sources; "between 5600 and 5400" is a range.
_TWO = re.compile(r"\d{4}\s?k?\sand\s\d{4}", re.IGNORECASE)


@dataclass
class Talk:
    """What the lines before told: the last name, the noun of the last series of heads, the last reading.

    `plain` is whether the last line left no doubt.
    """

    name: str = ""
    noun: str = ""
    last: Spoken | None = None
    plain: bool = False


def is_prose(text: str) -> bool:
    """Whether a line may mean more than its figures in their order: it is long, or its words say so."""
    said = re.findall(r"[^\W\d_][\w'’]*", text.casefold())
    return len(said) > _MOST_PLAIN or bool(_TELLING & set(said))


def gist_of(text: str, talk: Talk) -> list[Spoken]:
    """Return the readings that a line most likely tells, and bring `talk` up to date for the next line."""
    held, talk.noun = with_series_held(_APART.sub(_joined, text), talk.noun)
    two = JOINT in held or (_TWO.search(held) and "between" not in held)
    plain = without_ranges(held, ccts=not two)[0]
    items = max((items_of(way) for way in ways(plain)[:_MOST_WAYS]), key=_sense)
    told = [Told(i, {item.field: item.text}) for i, item in enumerate(items) if is_cct(item) and item.field]
    told = [each for i, each in enumerate(told) if not i or not _again(told[i - 1], each)]
    kept = read_of(items, told)
    give_figures(items, told, kept)
    give_names(items, kept, talk.name, talk.last.name if talk.last else "")
    talk.plain = is_plain(items, told, kept)
    found = [
        (each.at, Spoken(name=name, cells=dict(each.cells), gels=list(each.gels)))
        for each in kept
        for name in (each.names or [""])
    ]
    out = _dittoed(items, found, talk)
    lit = [item.text for item in items if item.kind is Is.NAME and item.lit]
    if out:
        talk.last, talk.name = out[-1], out[-1].name or talk.name
    elif lit:
        talk.name = names_of(lit[0])[0]
    return out


def _joined(found: re.Match[str]) -> str:
    word = (found["word"] or "").casefold()
    if _THOUSANDS.search(found.string):
        word = ""  # with one "5 530 K" in it, the text has a space in all its thousands
    counts = (not found["between"].strip() and word in w.LIGHTS) or sign_said(word) != 0
    return found[0] if counts else f"{found['word'] or ''}{found['between']}{found['first']}'{found['rest']}"


def _sense(items: Sequence[Item]) -> int:
    figures = sum(item.kind is Is.FIGURE for item in items)
    return 2 * figures - sum(item.kind is Is.UNKNOWN for item in items)


def _again(first: Told, second: Told) -> bool:
    """Whether the second CCT repeats the first in the other unit, kelvin or mired."""
    one, other = value_of(next(iter(first.cells.values()))), value_of(next(iter(second.cells.values())))
    return set(first.cells) != set(second.cells) and abs(one * other / 1e6 - 1) < _SAME_CCT


def _dittoed(items: Sequence[Item], found: list[tuple[int, Spoken]], talk: Talk) -> list[Spoken]:
    """Return all readings of a line, with those added that it tells by "the same", or a Duv by "ditto".

    `found` holds each reading with the index of its item. "The same" copies the reading before it.
    """
    out = list(found)
    for i, item in enumerate(items):
        if item.kind is not Is.DITTO:
            continue
        start, end = clause(items, i)
        ahead = [each for at, each in out if at < i]
        last = ahead[-1] if ahead else None
        own = any(each.kind is Is.NAME for each in items[start:i])
        if any(map(is_cct, items[start:end])) or (not own and start > 0 and is_cct(items[start - 1])):
            before = talk.last if len(ahead) < 2 else ahead[-2]
            if last is not None and before is not None and not DUVS & set(last.cells):
                last.cells |= {f: t for f, t in before.cells.items() if f in DUVS}
            continue
        model = last or talk.last
        if model is None or any(each.text == "as" for each in items[i:end]):
            continue
        at = max([own for own, _ in out if own < i], default=-1)
        named = max((k for k in range(i) if items[k].kind is Is.NAME and items[k].lit), default=i)
        rest = [*items[max(named, at) + 1 : i], *items[i + 1 :]]
        copies = [
            (at, Spoken(name=name, cells=_but_for(model.cells, rest), gels=list(model.gels)))
            for name in _who_is_same(items, i, (start, end), model.name)
        ]
        where = len([own for own, _ in out if own <= at])
        out[where:where] = copies
    return [each for _, each in out]


def _but_for(cells: Mapping[Field, str], behind: Sequence[Item]) -> dict[Field, str]:
    """Return a copy of the cells of a reading, changed by the figures that stand `behind` "the same"."""
    ends = (Is.END, Is.NAME, Is.DITTO)
    own = list(itertools.takewhile(lambda item: item.kind not in ends and not is_cct(item), behind))
    said = {item.field: item.text for item in own if item.kind is Is.FIGURE and item.field is not None}
    kept = {f: t for f, t in cells.items() if not (f in DUVS and DUVS & set(said))}
    return kept | said


def _who_is_same(items: Sequence[Item], at: int, bounds: tuple[int, int], model: str) -> list[str]:
    """Return the names of the heads that are said to read like `model`; none where it is mere talk."""
    start, end = bounds
    here = [each for each in items[start:end] if each.kind is Is.NAME]
    first = next((each for each in items[start:end] if each.text not in w.ARTICLES), None)
    names = [each for each in here if each.lit or each.led or (each is first and len(here) == 1)]
    led = at > start and items[at - 1].kind is Is.NAME and items[at - 1].lit
    led = led and not (at > 1 and items[at - 2].kind is Is.DITTO)
    follows = at + 1 < end and items[at + 1].kind is Is.NAME
    idle = items[at].text == "same" and follows and not led  # "same lamp, same spot"
    if led:  # "fill same backlight 5600"
        names = [items[at - 1]]
    elif not here and start > 1 and items[start - 1].kind is Is.PART:  # "fill's a stop under, same colour"
        ahead = items[clause(items, start - 2)[0] : start]
        before = [each for each in ahead if each.kind is Is.NAME and each.lit]
        names = before if len(before) == 1 else []
    if names and not idle:
        return [_with_noun_for_one(name, model) for name in names_of(with_stem(names[0], model))]
    other = any(each.text == "other" for each in items[at:end])
    return [f"{model}, the other one"] if other and model and not names else []


def _with_noun_for_one(name: str, before: str) -> str:
    return re.sub(r"\bones?\b", before.split()[-1], name) if before else name
