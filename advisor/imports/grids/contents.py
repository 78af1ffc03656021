"""What a column holds, as known from its cells: a CCT, a Duv, lux with its unit, names, kinds, gels."""

import re
from collections import Counter
from collections.abc import Sequence

from pydantic_core import PydanticCustomError

from ...model.basis import numbers
from ..text.cells import Cell, bare_each, number, telling
from ..vocabulary.headings import FIGURES, MEASURED, Field, Heading
from ..vocabulary.hung import GEL, is_gel
from ..vocabulary.kinds import kinds_of
from ..vocabulary.languages import folded
from ..vocabulary.qualifiers import is_wanted
from ..vocabulary.spoken import MODIFIERS

_SAMPLED = 200
_ENOUGH = 0.8
_MOST_OF = 0.6
_MOST_ALIKE = 4
_WAYS = ({Field.CCT, Field.DUV}, {Field.X, Field.Y}, {Field.U76, Field.V76}, {Field.U60, Field.V60})
_NOT_THESE = re.compile(
    r"serial|seriennummer|\bs/?n\b|\bno\.?\b|\bnr\.?\b|number|\bid\b|index|#|address|adresse|universe|channel"
    r"|kanal|\bch\b|watt|power|leistung|puissance|potencia|volt|amp|current|height|angle|beam"
    r"|winkel|hours|stunden|year|date|datum|fecha|humid|feucht|error|fehler|toleran|target|soll|delta|diff"
    r"|count|anzahl|weight|gewicht|price|preis|iso|shutter|fps|f.?stop|t.?stop|blende|\bev\b|exposure|dmx|page"
    # The distance from the locus is a Duv: "Abstand zur Kurve".
    r"|(?:distan|abstand)(?!.*(?:kurve|curve|courbe|curva|locus|planck|black.?body|corps noir|bbl))"
    r"|\bx10\b|\by10\b|10\s?(?:deg|°)|std|dev|peak|wavelength|flicker"
)
_TIME = re.compile(
    r"(?:\d{1,4}[./-]\d{1,2}[./-]\d{1,4}[ T,]+)?\d{1,2}[:h.]\d{2}(?::\d{2})?(?:\s?[ap]\.?m\.?)?", re.I
)
_DATE = re.compile(r"\d{1,4}[./-]\d{1,2}[./-]\d{1,4}|\d{1,2}[. ]?\s?[^\W\d_]{3,9}\.?,?\s?\d{2,4}")
_LIGHT = re.compile(
    r"\blight\b|\blicht|\blumi|\billum|beleucht|eclair|ilumin|\bluz\b|\bluce\b|verlicht|oswietl|natez|bright|hellig"
    r"|intens|\blevel\b|niveau|nivel|livello|poziom|照|明るさ"
)
_MOST_PERCENT = 100
_WARMTH = re.compile(r"temp|colou?r|kelvin|farb|coul|barw|kleur|warm|色")
NO_HEADING = re.compile(r"column \d+")
_CHANNELS = frozenset(
    {"ch", "chan", "channel", "channels", "circuit", "circ", "dimmer", "kanal", "kreis", "voie", "circuit no"}
    | {
        "spot",
        "point",
        "points",
        "punkt",
        "messpunkt",
        "position",
        "pos",
        "place",
        "punto",
        "punkty",
        "mp",
        "測定点",
    }
    | {"canal", "circuito", "canale", "kanaal", "obwod", "チャンネル", "ch no", "channel no", "kan"}
)
_NUMBERS = frozenset(
    {"no", "nr", "num", "number", "id", "unit", "unit no", "fixture no", "fixture id", "head no", "lamp no"}
    | {"asset", "inv", "inv nr", "n", "numero", "nummer", "numer", "番号", "light no", "fix", "fixt"}
)
_HEADS = frozenset(
    {"unit", "unit no", "fixture no", "fixture id", "head no", "lamp no", "light no", "fix", "fixt"}
)
"""Those of them that count lights, and not rows."""
_STATES = MODIFIERS | {"bare", "open", "none", "naked", "no", "and", "with"}
"""Words of a column that says what stands in front of its sources."""
_LUX_UNITS = frozenset({"lx", "lux", "fc", "klx", "ftc"})


def holds_colour(columns: Sequence[Sequence[str]]) -> bool:
    """Whether some columns can be a CCT and one a Duv; which CCT, where there are several, is asked."""
    kinds = [kind_in(_said(column)) for column in columns]
    return 1 <= kinds.count(Field.CCT) <= _MOST_ALIKE and kinds.count(Field.DUV) == 1


_CODE = re.compile(r"[^\W\d_]{0,3}[-_. ]?\d{1,5}[^\W\d_]?")
_UNIT = re.compile(r"[(\[,/]\s*°?(k|kelvins?|kk|lx|lux|klx|fc)\s*[)\]]?\s*", re.IGNORECASE)


def by_unit(heading: str) -> Field | None:
    """Return what a heading gives of which its unit alone is known: "Teplota (K)"; None of any other."""
    found = _UNIT.search(heading[:60])
    if found is None or found.end() < len(heading.rstrip()) or _NOT_THESE.search(folded(heading[:60])):
        return None
    return Field.CCT if found[1].casefold() in ("k", "kelvin", "kelvins", "kk") else Field.LUX


def by_content(
    headings: Sequence[str], found: Sequence[Heading | None], columns: Sequence[Sequence[str]]
) -> dict[int, Heading]:
    """Say what the columns hold whose headings nobody knows, where what is in them leaves little doubt.

    Nothing is proposed for what another column gives already. Where several columns could be the colour, all
    of them are, for somebody to choose one.
    """
    given = {heading.field for heading in found if heading is not None}
    given |= {Field.CCT} if Field.MIRED in given else set()
    given |= {Field.DUV} if Field.CC in given else set()
    whole = any(way <= given for way in _WAYS)
    candidates: dict[Field, list[int]] = {}
    for at, (heading, known) in enumerate(zip(headings, found, strict=True)):
        if known is None:
            kind = kind_in(_said(columns[at]))
            unit = by_unit(heading)
            if unit is Field.LUX and kind in (None, Field.CCT) and all(map(_read, _said(columns[at]))):
                kind = unit
            if kind in MEASURED and is_wanted(heading):
                continue  # it says what is to be, and not what was read
            ours = kind in MEASURED | FIGURES
            if kind is not None and not (ours and _NOT_THESE.search(folded(heading[:80]))):
                candidates.setdefault(kind, []).append(at)
    if Field.KIND in candidates and not {Field.NAME} & (given | set(candidates)):
        candidates[Field.NAME] = candidates.pop(Field.KIND)  # "window" is a name where nothing else is one
    named = candidates.get(Field.NAME, [])
    sorts = [at for at in named if None not in kinds_of(_said(columns[at]))]
    named.sort(key=lambda at: sum(_CODE.fullmatch(cell) is not None for cell in _said(columns[at])) > 0)
    if Field.KIND not in given | set(candidates) and sorts and (len(named) > 1 or Field.NAME in given):
        candidates[Field.KIND] = sorts[-1:]
        candidates[Field.NAME] = [at for at in named if at != sorts[-1]]
    out: dict[int, Heading] = {}
    for kind, indexes in candidates.items():
        if kind in given or not indexes:
            continue
        if kind in MEASURED and kind is not Field.LUX:
            partner = next(way - {kind} for way in _WAYS if kind in way)
            alone = not partner <= given | set(candidates)
            if alone and kind is Field.CCT:
                indexes = [at for at in indexes if _says_warmth(headings[at], _said(columns[at]))]
                alone = not indexes
            if whole or alone or len(indexes) > _MOST_ALIKE:
                continue
            out |= dict.fromkeys(indexes, Heading(kind))
            continue
        out[indexes[0]] = Heading(kind)
    if Field.LUX not in given | set(candidates):
        if {Field.CCT, Field.DUV} <= set(candidates):
            out |= _light_left(headings, out, columns)
        open_ = [at for at, known in enumerate(found) if known is None and at not in out]
        out |= _light_said(headings, open_, columns)
    return out


def _says_warmth(heading: str, cells: Sequence[str]) -> bool:
    """Whether a column of CCTs says that it is one, without a Duv beside it: "Temp" over "5510 K"."""
    kelvin = all(read is not None and read[1] in ("k", "°k") for read in _read_each(cells))
    return kelvin or by_unit(heading) is Field.CCT or _WARMTH.search(folded(heading[:60])) is not None


def _light_said(
    headings: Sequence[str], indexes: Sequence[int], columns: Sequence[Sequence[str]]
) -> dict[int, Heading]:
    """Take for lux the one column that says light, and no dim levels: "Light level" over 1 240."""
    said = [at for at in indexes if _LIGHT.search(folded(headings[at][:60])) and not _is_other(headings[at])]
    lit = [at for at in said if _are_lit(_said(columns[at]))]
    return {lit[0]: Heading(Field.LUX)} if len(lit) == 1 else {}


def _is_other(heading: str) -> bool:
    return "%" in heading or _NOT_THESE.search(folded(heading[:80])) is not None


def _are_lit(cells: Sequence[str]) -> bool:
    """Whether some cells are plain numbers of which one is no per cent."""
    read = _read_each(cells)
    plain = [each[0] for each in read if each is not None and not each[1] and each[0] >= 0]
    return 0 < len(cells) == len(plain) and max(plain) > _MOST_PERCENT


def _light_left(
    headings: Sequence[str], found: dict[int, Heading], columns: Sequence[Sequence[str]]
) -> dict[int, Heading]:
    """Take for lux the one column of numbers behind the colour, where no column has a heading."""
    if not all(NO_HEADING.fullmatch(heading) for heading in headings):
        return {}
    left = [
        at
        for at, column in enumerate(columns)
        if at not in found
        and all(at > index for index, heading in found.items() if heading.field in MEASURED)
        and (cells := _said(column))
        and all((read := _read(cell)) is not None and not read[1] and read[0] >= 1 for cell in cells)
    ]
    return {left[0]: Heading(Field.LUX)} if len(left) == 1 else {}


def _said(column: Sequence[str]) -> list[str]:
    return telling([cell.strip() for cell in column[:_SAMPLED]])


def kind_in(cells: Sequence[str]) -> Field | None:
    """Say what some cells hold, none of them empty; None where it may be this or that."""
    if not cells:
        return None
    read = _read_each(cells)
    numeric = [each for each in read if each is not None]
    if len(cells) > len(numeric) >= _MOST_OF * len(cells) and _of_numbers(numeric) is Field.CCT:
        return Field.CCT  # a word in one of its cells is a slip
    if len(numeric) == len(cells):
        return _of_numbers(numeric)
    if numeric and _are_names(cells):
        return Field.NAME
    if numeric and len(numeric) > (1 - _ENOUGH) * len(cells):
        return Field.TIME if all(_TIME.fullmatch(cell) for cell in cells) else None
    return _of_words(cells)


def _are_names(cells: Sequence[str]) -> bool:
    """Whether cells of which some begin with numbers are names: "18 ft frame", "Book light"."""
    worded = [cell for cell in cells if re.search(r"[^\W\d_]{3}", cell)]
    return len(worded) >= _ENOUGH * len(cells) and len(set(cells)) == len(cells) and _read(worded[-1]) is None


def _read(cell: str) -> tuple[float, str, bool] | None:
    """Return a cell's number, its unit, and whether it has places behind its mark."""
    return _read_each([cell])[0]


def _read_each(cells: Sequence[str]) -> list[tuple[float, str, bool] | None]:
    """Return of each cell what `_read` does."""
    parsed = numbers.parse_each(bare_each(cells))
    return [
        None if isinstance(found, numbers.NotANumber) else _figure(found, cell)
        for found, cell in zip(parsed, cells, strict=True)
    ]


def _figure(parsed: numbers.Parsed, cell: str) -> tuple[float, str, bool]:
    value = parsed.values[0] if abs(parsed.values[0]) >= 1000 else parsed.values[-1]
    if parsed.unit.strip() in ("k", "K", "kK") and 1 <= parsed.values[-1] <= 25:
        return parsed.values[-1] * 1000, "k", False  # "5.8k"
    return value, re.sub(r"\s", "", parsed.unit).casefold(), bool(re.search(r"[.,]\d{3}", cell))


def _of_numbers(read: Sequence[tuple[float, str, bool]]) -> Field | None:
    units = {unit for _, unit, _ in read}
    values = [value for value, _, _ in read]
    if units & _LUX_UNITS:
        return Field.LUX if units <= _LUX_UNITS | {""} else None
    if units - {"", "k", "°k"}:
        return None
    if all(1500 <= value <= 20000 for value in values):
        return Field.CCT
    if units != {""}:
        return None
    if all(abs(value) <= 0.05 for value in values) and any(fine for _, _, fine in read) and any(values):
        return Field.DUV
    return None


def _of_words(cells: Sequence[str]) -> Field | None:
    if all(_TIME.fullmatch(cell) for cell in cells):
        return Field.TIME
    if all(_DATE.fullmatch(cell) for cell in cells):
        return Field.DATE
    if any(GEL.search(cell[:200]) for cell in cells) and all(map(is_gel, cells)):
        return Field.GEL
    said = [set(re.findall(r"[^\W\d_]+", cell.casefold())) for cell in cells]
    if all(each and each <= _STATES for each in said):
        return Field.MODIFIER
    if len(set(cells)) * 2 <= len(cells) + 1 and None not in kinds_of(cells):
        return Field.KIND
    return Field.NAME if all(re.search(r"[^\W\d_]", cell) for cell in cells) else None


def is_number_name(heading: str, cells: Sequence[str]) -> bool:
    """Whether a column numbers channels or units, by which its rows go where they have no other name.

    A running number is a name only under a heading of channels or lights: under "No" it counts the rows.
    """
    said = re.sub(r"[\W_]+", " ", folded(heading[:40])).strip()
    often = set(Counter(cells).values())
    if said not in _CHANNELS | _NUMBERS or not cells or len(often) > 1:
        return False  # each stands there as often as the others, as where it was read in two ways
    cells = list(dict.fromkeys(cells))
    if not all(re.fullmatch(r"[^\W_]{0,3}[-./ ]?\d{1,5}[^\W\d_]?", cell) for cell in cells):
        return False
    values = [int(cell) for cell in cells if cell.isdecimal()]
    running = len(values) == len(cells) and values == list(range(values[0], values[0] + len(values)))
    return said in _CHANNELS | _HEADS or not running or values[0] > 1


def in_range(heading: Heading | None, cell: str) -> bool:
    """Whether a cell can stand under a heading: nothing, or a number in its range."""
    if heading is None or Cell(cell, "").empty or Cell(cell, "").unread:
        return True
    try:
        number(Cell(cell, ""), heading.field, factor=heading.factor, mark=".")
    except PydanticCustomError:
        return False
    return True
