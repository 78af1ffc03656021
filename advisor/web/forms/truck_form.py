"""The form that asks once which gels are on the truck, and the gel table that comes of it.

Each field bears the number of a row, and the form also sends the name of that row's gel. The table may have
changed since the form was shown: what was typed belongs to the gel, wherever its row is now.
"""

import re
from dataclasses import dataclass, replace

from ...advice.teaching.possible_rows import checked, is_taught, untaught_note
from ...model import Gel, GelTable, Known, Problem, Refused
from ...model.basis.numbers import same_as_written
from ...model.gels.series import Series, as_series, in_series, series_of
from ..wording.values import cc, fraction_said, mired, plain
from ..wording.values import gel as gel_words
from .form import Form, in_row, make
from .merge import ASKED, PICK, Contest, Merged, merge, same

SERIES = {Series.LIGHTER.value: "About 80", Series.STRONGER.value: "About 110", "": "Don’t know"}
"""The mired shifts that a half CTO may have, in words, by the value that the form sends."""
_TYPED = ("stock", "mired", "cc")
_NUMBERED = re.compile(r"(?:stock|mired|cc|row|figures)_(\d+)")
_LEAST = {"mired": 5.0, "cc": 1.0}
"""The least shift whose sign the gel's name tells. [MK⁻¹, CC] (our own judgement)"""


@dataclass(frozen=True)
class AskedRow:
    """A row as the form asks about it: a gel, and the number of its row in the table, from 0."""

    number: int
    gel: Gel

    @property
    def said(self) -> str:
        """The gel's fraction in words; the page prints it below the family's name."""
        return fraction_said(self.gel.fraction)

    @property
    def swatch(self) -> tuple[str, ...]:
        """The figures asked for: none of a neutral gel, and green only of one that has some."""
        if self.gel.neutral:
            return ()
        return ("cc", "mired") if self.gel.cc else ("mired",)

    @property
    def better(self) -> bool:
        """Whether the gel was taught or measured, which is surer than a swatch book."""
        return self.gel.knowledge in (Known.TAUGHT, Known.MEASURED)

    def signed(self, figure: str) -> bool:
        """Whether the sign of a figure has to be typed, since the gel's name does not say it."""
        return bool(abs(getattr(self.gel, figure)) < _LEAST[figure])


def families_of(table: GelTable) -> dict[str, list[AskedRow]]:
    """Return the rows by family, in the table's order."""
    families: dict[str, list[AskedRow]] = {}
    for number, gel in enumerate(table.rows):
        families.setdefault(gel.family, []).append(AskedRow(number, gel))
    return families


def fields_of(table: GelTable) -> Form:
    """Return the form filled in with what a table holds."""
    values: dict[str, object] = {
        "families": [name for name, rows in families_of(table).items() if any(row.gel.on for row in rows)],
        "on": [gel.name for gel in table.rows if gel.on],
        "series": series_of(table.rows) or "",
    }
    for number, gel in enumerate(table.rows):
        values |= {f"{name}_{number}": text for name, text in _shown(gel).items()}
    return Form(values)


def typed_over(form: Form, table: GelTable) -> Form:
    """Return the form of `table`, which may have changed since, with what was typed in `form`, gel by gel."""
    own = fields_of(table)
    asked = {
        str(name): key.removeprefix("gel_") for key, name in form.values.items() if key.startswith("gel_")
    }
    families = {table.rows[i].family for i in range(len(table.rows)) if table.rows[i].name in asked}
    values = {
        **own.values,
        "book": form.value("book"),
        "series": form.values.get("series", own.value("series")),
    }
    values["on"] = form.chosen("on") + [name for name in own.chosen("on") if name not in asked]
    values["families"] = form.chosen("families") + [f for f in own.chosen("families") if f not in families]
    for number, gel in enumerate(table.rows):
        if (was := asked.get(gel.name)) is not None:
            values |= {
                f"{n}_{number}": form.value(f"{n}_{was}") for n in _TYPED if f"{n}_{was}" in form.values
            }
    return Form(values)


def merged_over(form: Form, seen: GelTable, now: GelTable) -> Merged:
    """Merge what was typed into the table as it is `now`, gel by gel; `seen` is what the form showed."""
    mine, present = typed_over(form, now), dict(fields_of(now).values)
    was = {gel.name: gel for gel in seen.rows}
    values: dict[str, object] = dict(mine.values)
    showed: dict[str, object] = {
        k: v for k, v in fields_of(seen).values.items() if not _NUMBERED.fullmatch(k)
    }
    units = {}
    for n, gel in enumerate(now.rows):
        old, fields = was.get(gel.name, gel), (f"mired_{n}", f"cc_{n}")
        showed |= {f"{name}_{n}": text for name, text in _shown(old).items()}
        # The form shows a swatch book's figures alone; by `row` a change of other figures is seen too.
        showed[f"row_{n}"], present[f"row_{n}"] = _figures_said(old), _figures_said(gel)
        alike = all(same(f, values[f], present[f]) for f in fields)
        values[f"row_{n}"] = present[f"row_{n}"] if alike else showed[f"row_{n}"]
        units[f"figures_{n}"] = (*fields, f"row_{n}")
    values |= {ASKED: form.chosen(ASKED), **{k: form.value(k) for k in form.values if k.startswith(PICK)}}
    merged = merge(Form(values, form.problems), showed, present, units, _say, moved=seen != now)
    ticked = {*mine.chosen("on")} - {gel.name for gel in seen.rows if gel.on}
    families = [gel.family for gel in now.rows if gel.name in ticked]
    kept = dict.fromkeys([*merged.form.chosen("families"), *families])
    contests = [_told(contest, now, merged.form) for contest in merged.contests]
    return Merged(Form({**merged.form.values, "families": list(kept)}), tuple(contests))


def said_of(unit: str, gel: str, table: GelTable) -> object:
    """Return what a table holds for a contested unit: the series of CTO, or the stock or figures of a gel."""
    if unit == "series":
        return series_of(table.rows)
    row = table.find(gel)
    return row and (row.stock if unit.startswith("stock") else _figures(row))


def gel_of(unit: str, table: GelTable) -> str:
    """Return the name of the gel that a contested unit is about; empty for the series."""
    number = _NUMBERED.fullmatch(unit)
    return table.rows[int(number[1])].name if number else ""


def _told(contest: Contest, now: GelTable, form: Form) -> Contest:
    if contest.unit == "series":
        return replace(contest, what="Series of CTO")
    n = contest.unit.rpartition("_")[2]
    gel = now.rows[int(n)]
    if contest.unit.startswith("stock"):
        return replace(contest, what=f"Sheets of {gel_words(gel.name)}")
    typed = [
        f"{text} {unit}" for k, unit in (("mired", "mired"), ("cc", "CC")) if (text := form.value(f"{k}_{n}"))
    ]
    what = f"Figures of {gel_words(gel.name)}"
    return replace(contest, what=what, theirs=_figures_said(gel), mine=", ".join(typed) or "empty")


def _say(field: str, value: str) -> str:
    return SERIES.get(value, value) if field == "series" else value or "plenty"


def _figures_said(gel: Gel) -> str:
    parts = [mired(gel.mired), cc(gel.cc) if gel.cc else "", gel.knowledge.words if gel.knowledge else ""]
    return ", ".join(part for part in parts if part)


def table_from(form: Form, before: GelTable) -> GelTable:
    """Return the table that a form over `before` asks for. Raises Refused with every problem in it.

    Figures that were typed count as the swatch book's. All others stay as they were, to the last digit,
    except in generic rows of CTO, which take the figures of the series that was chosen.
    """
    wanted = _series(form)
    turned = wanted != series_of(before.rows)
    rows, wrong = [], list[Problem]()
    for number, gel in enumerate(before.rows):
        try:
            new = _row(form, number, gel)
            if turned and in_series(new):
                new = checked(as_series(new, wanted))
            rows.append(new)
        except Refused as no:
            wrong += in_row(_beside(no), number)
    for number, (family, asked) in enumerate(families_of(before).items()):
        none = not any(row.gel.name in form.chosen("on") or row.gel.on for row in asked)
        if none and family in form.chosen("families"):
            says = f"{family} is ticked, but no gel of it"
            wrong.append(
                Problem(where=f"family_{number}", says=says, allowed="at least one of it, or untick it")
            )
    if wrong:
        raise Refused(wrong)
    return make(GelTable, {"rows": rows})


def said(before: GelTable, after: GelTable) -> str:
    """Return the line of the table's history: what the form changed, in words."""
    parts = [f"gels on the truck: {sum(gel.on for gel in after.rows)} of {len(after.rows)}"]
    if (series := series_of(after.rows)) != series_of(before.rows):
        parts.append(f"half CTO {SERIES[series or ''].lower()}" if series else "series of CTO not known")
    typed = [g for g, old in zip(after.rows, before.rows, strict=True) if _figures(g) != _figures(old)]
    if book := sum(gel.known is Known.SWATCH for gel in typed):
        parts.append(f"{book} from the swatch book")
    return ", ".join(parts)


def _figures(gel: Gel) -> tuple[object, ...]:
    return gel.mired, gel.cc, gel.known


def _shown(gel: Gel) -> dict[str, str]:
    """Return what the fields of a row show; figures are shown only if they are the swatch book's."""
    book = gel.known is Known.SWATCH
    figures = {name: plain(getattr(gel, name)) if book else "" for name in ("mired", "cc")}
    return {"stock": plain(gel.stock), **figures}


def _series(form: Form) -> Series | None:
    if (typed := form.value("series")) not in SERIES:
        says = f"{typed[:20]!r} is not a CTO series"
        raise Refused.one("series", says, "about 80, about 110, or don’t know")
    return Series(typed) if typed else None


def _row(form: Form, number: int, gel: Gel) -> Gel:
    typed = {name: form.value(f"{name}_{number}").strip() for name in _TYPED}
    on = gel.name in form.chosen("on") and gel.family in form.chosen("families")
    changed: dict[str, object] = {"on": on, "stock": typed["stock"] or None}
    shown = _shown(gel)
    figures = {k: _with_sign(typed[k], getattr(gel, k)) for k in ("mired", "cc") if typed[k]}
    booked = any(typed[k] != shown[k] for k in figures)
    if gel.knowledge in (Known.TAUGHT, Known.MEASURED):  # stays so unless other figures are typed
        booked = not all(same_as_written(figures[k], getattr(gel, k)) for k in figures)
    if booked:
        if gel.cc and "cc" not in figures and gel.known is not Known.SWATCH:
            says = f"{gel_words(gel.name)} has a mired shift, and no green, from the swatch book"
            raise Refused.one("cc", says, "both, or green alone")
        changed |= {**figures, "known": Known.SWATCH, "percent": None, "transmittance": None}
        changed["note"] = untaught_note(gel.note) if is_taught(gel) else gel.note
    new = make(Gel, {**dict(gel), **changed})
    if booked:
        for name in figures:
            _refuse_turned(name, gel, new)
        checked(new)
    return new


def _with_sign(typed: str, own: float) -> str:
    """Return a figure as typed, with its gel's sign if none was typed: keypads may have no minus."""
    return typed if own >= 0 or re.match(r"[-+−–]", typed) else f"-{typed}"


def _refuse_turned(name: str, before: Gel, after: Gel) -> None:
    """Raise Refused where a figure has the opposite sign to the gel's own, which its name tells."""
    old, new = getattr(before, name), getattr(after, name)
    if abs(old) < _LEAST[name] or old * new > 0:
        return
    ways = {"mired": ("warms", "cools"), "cc": ("adds green", "takes green out")}[name]
    shift = mired(new) if name == "mired" else cc(new)
    says = f"{shift} is the wrong way for {gel_words(before.name)}: it {ways[old < 0]}"
    raise Refused.one(name, says, f"a number {'below' if old < 0 else 'above'} 0, or one without a sign")


def _beside(no: Refused) -> Refused:
    """Point each problem at a field of the form; it has none for light lost, so that points at the shift."""
    known = {"stock", "mired", "cc"}
    return Refused([p if p.where in known else p.model_copy(update={"where": "mired"}) for p in no.problems])
