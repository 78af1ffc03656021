"""The form of one reading of a head's test: what the meter printed, or its spectrum as text."""

from typing import Any

from ...advice.known_heads.doubts import agrees
from ...advice.readings.chromaticity import measure
from ...imports import read_spectra
from ...imports.spectra.read import NamedSpectrum
from ...model import HeadReading, Problem, Refused, Setting, Spectrum
from ...model.sets.known_head import HeadStep
from ..wording.values import plain
from .form import Form, make
from .source_form import fields_of_reading, reading_from

SPECTRUM = "spectrum_text"
"""The field that holds a spectrum as text, as it was pasted or as a file had it."""
SET_AS = ("level", "modifier", "dial_cct", "dial_green")
"""The fields that say how the head was set, where that is not as the test asks."""
_NOT_TYPED = (*SET_AS, SPECTRUM)
_DOUBTED = "doubted_"


def step_reading(form: Form, step: HeadStep) -> HeadReading:
    """Read what the meter said at a step of a test; raises Refused, also for what no light can be.

    Where the form says that the head was set otherwise, that is where it was read. A spectrum tells the
    colour, and CCT and Duv beside it are the meter's own. What the text gives beside the spectrum stands for
    what nobody typed.
    """
    own = {**_set_as(form, step), "watts": form.value("watts").strip() or None}
    typed = {k: form.value(k) for k in form.values if k not in _NOT_TYPED}
    if text := form.value(SPECTRUM).strip():
        found = _one_spectrum(text)
        said = {**_beside(found), **{k: v for k, v in typed.items() if v.strip()}}
        reading = reading_from(Form(said), spectrum=found.spectrum)
    else:
        reading = reading_from(Form(typed))
    left = reading.model_dump(exclude={"level", "modifier", "dial", "spectrum"})
    taken = make(HeadReading, {**left, "spectrum": reading.spectrum, **own})
    measure(taken)
    return taken


def fields_of_setup(step: HeadStep) -> dict[str, str]:
    """Return what stands in the fields that say how the head is set at a step."""
    dial = step.setup.dial
    return {
        "level": plain(step.level),
        "modifier": step.setup.modifier,
        "dial_cct": plain(dial.cct) if dial else "",
        "dial_green": plain(dial.green) if dial else "",
    }


def fields_of_doubted(reading: HeadReading) -> dict[str, str]:
    """Return what a form carries of a reading that was asked about, to know it when it is read again."""
    white = measure(reading)
    said = {"cct": f"{white.cct!r}", "duv": f"{white.duv!r}", "lux": plain(reading.lux)}
    return {_DOUBTED + name: text for name, text in said.items()}


def read_again(form: Form, reading: HeadReading) -> bool:
    """Whether a form carries a reading that was asked about, and this one agrees with it."""
    said = {name: form.value(_DOUBTED + name).strip() or None for name in ("cct", "duv", "lux")}
    try:
        return agrees(reading, make(HeadReading, {**said, "level": reading.level}))
    except Refused:
        return False


def _set_as(form: Form, step: HeadStep) -> dict[str, Any]:
    """Return how a form says that the head was set: what it does not show, or shows unchanged, is the step's.

    A level or a dial's CCT that was emptied is the step's too, and an empty green dial is none.
    """
    shown = fields_of_setup(step)
    typed = {name: form.value(name).strip() for name in SET_AS if name in form.values}
    changed = {name: text for name, text in typed.items() if text != shown[name]}
    dial: Setting | dict[str, Any] | None = step.setup.dial
    if step.setup.dial and {"dial_cct", "dial_green"} & changed.keys():
        cct, green = (typed.get(name, shown[name]) for name in ("dial_cct", "dial_green"))
        dial = {"cct": cct or shown["dial_cct"], "green": green or "0"}
    modifier = changed.get("modifier", step.setup.modifier)
    return {"level": changed.get("level") or step.level, "modifier": modifier, "dial": dial}


def fields_of_step(reading: HeadReading) -> dict[str, str]:
    """Return what stands in the fields of a step that was read."""
    text = _as_text(reading.spectrum) if reading.spectrum else ""
    return {**fields_of_reading(reading), "watts": plain(reading.watts), SPECTRUM: text}


def _one_spectrum(text: str) -> NamedSpectrum:
    """Return the spectrum of a text; raises Refused, at its field, where there is none, or more than one."""
    try:
        found = read_spectra(text)
    except Refused as no:
        raise Refused([_at_field(problem) for problem in no.problems]) from None
    if len(found) > 1:
        says = f"there are {len(found)} spectra in it"
        raise Refused.one(
            SPECTRUM, says, "the one of this reading. A whole test is pasted from the head's page"
        )
    return found[0]


def _at_field(problem: Problem) -> Problem:
    says = problem.says if problem.where == "text" else f"{problem.where}: {problem.says}"
    return Problem(where=SPECTRUM, says=says, allowed=problem.allowed)


def _beside(found: NamedSpectrum) -> dict[str, Any]:
    """Return the figures that a text gives beside its spectrum, as fields; half a white is none."""
    said = {
        name: f"{plain(value)} lx" if name == "lux" else plain(value) for name, value in found.figures.items()
    }
    if ("cct" in said) != ("duv" in said):
        said = {name: value for name, value in said.items() if name not in ("cct", "duv")}
    if found.ssi:
        reference, value = next(iter(found.ssi.items()))
        said |= {"ssi": plain(value), "ssi_reference": reference}
    return said


def _as_text(spectrum: Spectrum) -> str:
    """Write a spectrum as it can be read again: a line for each wavelength [nm]."""
    at = (spectrum.start + spectrum.step * k for k in range(len(spectrum.values)))
    return "\n".join(f"{nm:g} {value!r}" for nm, value in zip(at, spectrum.values, strict=True))
