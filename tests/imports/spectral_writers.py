"""Spectra written in each layout that is read, and an invented light to write."""

import math
from collections.abc import Sequence

from advisor.model import Spectrum

#: An invented light: a broad hump with a narrow peak, from 380 to 780 nm in steps of 5 nm.
LIGHT = Spectrum(
    start=380.0,
    step=5.0,
    values=[
        round(math.exp(-(((380 + 5 * i - 570) / 90) ** 2)) + (0.7 if i == 14 else 0.0), 6) for i in range(81)
    ],
)


def wavelengths(spectrum: Spectrum) -> list[float]:
    return [spectrum.start + spectrum.step * i for i in range(len(spectrum.values))]


def scaled(factor: float, form: str) -> str:
    """Write the invented light with each wavelength times a factor, in a form such as “.3f”."""
    return "".join(
        f"{w * factor:{form}} {v}\n" for w, v in zip(wavelengths(LIGHT), LIGHT.values, strict=True)
    )


def columns(
    spectra: Sequence[Spectrum], names: Sequence[str] = (), *, mark: str = ",", decimal: str = "."
) -> str:
    """Write spectra of the same wavelengths side by side, under headings if there are names."""
    rows = [[repr(w), *(repr(s.values[i]) for s in spectra)] for i, w in enumerate(wavelengths(spectra[0]))]
    head = [["Wavelength (nm)", *names]] if names else []
    return _joined([*head, *([c.replace(".", decimal) for c in row] for row in rows)], mark)


def rows(
    spectra: Sequence[Spectrum], names: Sequence[str] = (), *, mark: str = ",", decimal: str = ".", unit="nm"
) -> str:
    """Write spectra of the same wavelengths beneath a line of wavelengths, behind their names if given."""
    corner = ["name"] if names else []
    head = [*corner, *(f"{w!r}{unit}" for w in wavelengths(spectra[0]))]
    lines = [
        [*([names[i]] if names else []), *(repr(v).replace(".", decimal) for v in s.values)]
        for i, s in enumerate(spectra)
    ]
    return _joined([head, *lines], mark)


def tm27(
    samples: Sequence[tuple[float | str, float | str]],
    *,
    prefix: str = "",
    bandwidth: str = "2.0",
    quantity: str = "relative",
    description: str = "Invented light",
) -> str:
    """Write an ANSI/IES TM-27-14 document; `prefix` is a namespace prefix such as ``ies:``."""
    p = prefix
    space = f"xmlns:{p[:-1]}" if p else "xmlns"
    data = "\n".join(f'<{p}SpectralData wavelength="{w}">{v}</{p}SpectralData>' for w, v in samples)
    return (
        f'<?xml version="1.0" encoding="utf-8"?>\n<{p}IESTM2714 {space}="iestm2714" version="1.0">\n'
        f"<{p}Header><{p}Manufacturer>Invented</{p}Manufacturer>"
        f"<{p}Description>{description}</{p}Description></{p}Header>\n"
        f"<{p}SpectralDistribution><{p}SpectralQuantity>{quantity}</{p}SpectralQuantity>"
        f"<{p}BandwidthFWHM>{bandwidth}</{p}BandwidthFWHM>\n{data}\n"
        f"</{p}SpectralDistribution></{p}IESTM2714>\n"
    )


def samples(spectrum: Spectrum) -> list[tuple[float | str, float | str]]:
    return list(zip(wavelengths(spectrum), spectrum.values, strict=True))


def _joined(lines: Sequence[Sequence[str]], mark: str) -> str:
    return "\n".join(mark.join(line) for line in lines) + "\n"
