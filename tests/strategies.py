"""Hypothesis strategies for the models' values, with the ranges that the models themselves state."""

import unicodedata
from collections.abc import Sequence
from typing import Any, get_args

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from advisor.model import (
    Gel,
    GelTable,
    Kind,
    Known,
    LightSet,
    Limits,
    Locus,
    NoGel,
    Reading,
    Source,
    Spectrum,
    Target,
)
from advisor.model.basis import quantities as q
from advisor.model.basis.quantities import Quantity

#: For every property test: no time limit of any kind, since the machine may be busy.
STEADY = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])

_PRINTABLE = st.characters(exclude_categories=["C", "Z"], include_characters=" ")


def quantity(annotated: Any) -> st.SearchStrategy[Any]:
    """Make any value of a quantity of `model.basis.quantities`, such as `quantity(q.CCT)`, ends included."""
    of = next(a for a in get_args(annotated) if isinstance(a, Quantity))
    return st.integers(int(of.low), int(of.high)) if of.whole else st.floats(of.low, of.high)


def _text(shortest: int, longest: int) -> st.SearchStrategy[str]:
    text = st.text(_PRINTABLE, min_size=shortest, max_size=longest).map(str.strip)
    return text.filter(lambda value: len(value) >= shortest)


def names() -> st.SearchStrategy[str]:
    return _text(1, 80)


def notes() -> st.SearchStrategy[str]:
    return _text(0, 500)


def readings_cct_duv() -> st.SearchStrategy[Reading]:
    return st.builds(Reading, cct=quantity(q.CCT), duv=quantity(q.Duv), lux=st.none() | quantity(q.Lux))


def readings_xy() -> st.SearchStrategy[Reading]:
    """Make readings of any x and y that the model takes; many are far from white, or no colour at all."""
    xy = st.tuples(quantity(q.ChromaticityX), quantity(q.ChromaticityY))
    return st.builds(Reading, xy=xy, lux=st.none() | quantity(q.Lux))


@st.composite
def spectra(draw: st.DrawFn) -> Spectrum:
    """Make spectra from 380 nm to 780 nm in steps of 5 or 10 nm, with some light."""
    step = draw(st.sampled_from([5.0, 10.0]))
    count = int(400 / step) + 1
    values = draw(st.lists(st.floats(0, 1e6), min_size=count, max_size=count).filter(any))
    return Spectrum(start=380.0, step=step, values=values)


def readings_spectrum() -> st.SearchStrategy[Reading]:
    return st.builds(Reading, spectrum=spectra(), lux=st.none() | quantity(q.Lux))


def readings() -> st.SearchStrategy[Reading]:
    return readings_cct_duv() | readings_xy() | readings_spectrum()


def sources(
    name: st.SearchStrategy[str] | None = None, reading: st.SearchStrategy[Reading] | None = None
) -> st.SearchStrategy[Source]:
    return st.builds(
        Source,
        name=names() if name is None else name,
        kind=st.sampled_from(Kind),
        reading=readings() if reading is None else reading,
        note=notes(),
        keep=st.lists(names(), max_size=4),
        max_layers=st.none() | quantity(q.MaxLayers),
        no_gel=st.none() | st.sampled_from(NoGel),
        only_gels=st.none() | st.lists(names(), max_size=3),
    )


def source_lists(
    max_size: int = 5, reading: st.SearchStrategy[Reading] | None = None
) -> st.SearchStrategy[list[Source]]:
    """Make lists of sources with names that differ by more than case."""

    def key(source: Source) -> str:
        return unicodedata.normalize("NFC", source.name.casefold())

    return st.lists(sources(reading=reading), max_size=max_size, unique_by=key)


def targets(source_names: Sequence[str] = ()) -> st.SearchStrategy[Target]:
    """Make whites on either locus, and matches of the sources named."""
    offset = quantity(q.Duv)
    planckian = st.builds(Target, cct=quantity(q.CCT), locus=st.just(Locus.PLANCKIAN), duv_offset=offset)
    daylight_cct = quantity(q.CCT).filter(lambda cct: cct >= 4000)
    daylight = st.builds(Target, cct=daylight_cct, locus=st.just(Locus.DAYLIGHT), duv_offset=offset)
    if not source_names:
        return planckian | daylight
    matched = st.builds(
        Target, source=st.sampled_from(source_names), locus=st.sampled_from(Locus), duv_offset=offset
    )
    return planckian | daylight | matched


def limits() -> st.SearchStrategy[Limits]:
    return st.builds(
        Limits,
        tolerance_steps=quantity(q.ToleranceSteps),
        max_layers=quantity(q.MaxLayers),
        max_stops=st.none() | quantity(q.MaxStops),
    )


@st.composite
def light_sets(
    draw: st.DrawFn, max_sources: int = 5, reading: st.SearchStrategy[Reading] | None = None
) -> LightSet:
    """Make sets whose target may match one of their sources."""
    made = draw(source_lists(max_sources, reading))
    return LightSet(
        name=draw(names()),
        note=draw(notes()),
        target=draw(targets([s.name for s in made])),
        limits=draw(limits()),
        sources=made,
    )


def fractions() -> st.SearchStrategy[str]:
    return st.sampled_from(["1/8", "1/4", "1/2", "3/4", "full", "0.15", "0.3", "0.6", "1.2"])


def families() -> st.SearchStrategy[str]:
    return st.from_regex(
        r"[A-Za-zÄÖÜß][A-Za-zÄÖÜß0-9.&()+-]{0,12}( [A-Za-z0-9.&()+-]{1,12}){0,2}", fullmatch=True
    )


@st.composite
def gels(draw: st.DrawFn) -> Gel:
    """Make rows of a gel table: colour gels of any shift, and neutral ones, which give their stops."""
    neutral = draw(st.booleans())
    mired = 0.0 if neutral else draw(quantity(q.GelMired))
    cc = 0.0 if neutral else draw(quantity(q.GelCC))
    stops = quantity(q.GelStops)
    return Gel(
        family=draw(families()),
        fraction=draw(fractions()),
        mired=mired,
        cc=cc,
        stops=draw(stops if mired == 0 and cc == 0 else st.none() | stops),
        stock=draw(st.none() | quantity(q.Stock)),
        note=draw(notes()),
        on=draw(st.booleans()),
        reference=draw(st.none() | quantity(q.GelReference)),
        known=draw(st.none() | st.sampled_from(Known)),
        percent=draw(st.none() | quantity(q.RowPercent)),
    )


def gel_tables(max_size: int = 8) -> st.SearchStrategy[GelTable]:
    """Make tables in which each gel's name stands once."""
    return st.builds(
        GelTable, rows=st.lists(gels(), max_size=max_size, unique_by=lambda gel: gel.name.casefold())
    )
