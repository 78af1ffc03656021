"""Gels that are named as people write them (`¼ CTO`, `quarter CTO`), found in a table, or reckoned."""

from collections.abc import Mapping, Sequence

from pydantic import ValidationError

from ...model import Gel, GelTable, Known, Limits, Reading, Source, Work
from ...model.basis.base import name_key
from ..vocabulary.gel_headings import GelColumn
from ..vocabulary.gel_names import family_of, known_family, understand_name
from ..vocabulary.gel_strengths import nominal


class NamesInTable:
    """Finds the gels of a table by any of their names; a name that it does not know stays as it is."""

    def __init__(self, gels: Sequence[Gel]) -> None:
        self._names = {name_key(gel.name): gel.name for gel in gels}
        self._families = {name_key(gel.family): gel.family for gel in gels}
        for gel in gels:  # which may call a family by another of its names
            if (known := known_family(gel.family)) is not None:
                self._names.setdefault(name_key(f"{known} {gel.fraction}"), gel.name)
                self._families.setdefault(name_key(known), gel.family)

    def of(self, names: Sequence[str]) -> list[str]:
        """Return names as the table writes them."""
        return [self._one(name) for name in names]

    def of_source(self, source: Source) -> Source:
        """Return a source whose gels are named as in the table, those of its readings too."""
        changed: dict[str, object] = {
            field: self.of(names)
            for field in ("keep", "only_gels", "hung")
            if (names := getattr(source, field))
        }
        if source.work:
            changed["work"] = self._work(source.work)
        if source.reading.gels:
            changed["reading"] = self.of_reading(source.reading)
        if source.readings:
            changed["readings"] = [self.of_reading(reading) for reading in source.readings]
        return source.model_copy(update=changed) if changed else source

    def of_reading(self, reading: Reading) -> Reading:
        """Return a reading whose gels are named as in the table."""
        return reading.model_copy(update={"gels": self.of(reading.gels)}) if reading.gels else reading

    def of_limits(self, limits: Limits) -> Mapping[str, object]:
        """Return the fields of limits that name gels or families, as the table writes them."""
        only = None if limits.only_gels is None else self.of(limits.only_gels)
        return {"exclude_families": self.of_families(limits.exclude_families), "only_gels": only}

    def of_families(self, families: Sequence[str]) -> list[str]:
        """Return families as the table writes them."""
        return [self._families.get(name_key(family_of(family)), family) for family in families]

    def _work(self, work: Work) -> Work:
        other = self._work(work.instead) if work.instead else None
        return work.model_copy(update={"gels": self.of(work.gels), "instead": other})

    def _one(self, name: str) -> str:
        shown = " ".join(name.split())
        if found := self._names.get(name_key(shown)):
            return found
        meant = understand_name(shown)
        if meant is None:
            return name
        fractions = (meant.fraction, *meant.others) if meant.fraction else ("full",)
        keys = (name_key(f"{meant.family} {fraction}") for fraction in fractions)
        return next((self._names[key] for key in keys if key in self._names), name)


class Reckoned:
    """Knows the gels of a table in force, by whatever word it has for their families."""

    def __init__(self, base: GelTable | None) -> None:
        gels = base.rows if base is not None else []
        self._asked = base is not None
        self._gels = {name_key(gel.name): gel for gel in gels}
        self._families = {known: gel.family for gel in gels if (known := known_family(gel.family))}

    def family(self, family: str) -> str:
        """Return a family by the word that the table has for it; one that it has not as it is."""
        return self._families.get(known_family(family) or "", family)

    def gel(self, values: Mapping[str, object]) -> tuple[Gel | None, str]:
        """Return the gel of a row's family and fraction, and where its figures are from; None of none."""
        family, fraction = str(values.get("family", "")), str(values.get("fraction", ""))
        if (own := self._gels.get(name_key(f"{family} {fraction}"))) is not None:
            return own, "as in your table"
        usual = nominal(family, fraction) if self._asked else None
        if usual is None or usual[0] not in (GelColumn.MIRED, GelColumn.CC):
            return None, ""
        figure = {usual[0].value: round(usual[1], 1)}
        try:
            return Gel(
                family=family, fraction=fraction, known=Known.GENERIC, **figure
            ), "as the trade reckons"
        except ValidationError:
            return None, ""  # 3 1/2 CTO is no gel
