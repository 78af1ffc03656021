"""Write luxpy_rendition.csv beside this file: colour rendition of CIE's FL1 to FL12 as luxpy computes it.

Run it with luxpy 1.12, which needs numpy below 2.3, in an environment of its own:
``python make_luxpy_rendition.py``. luxpy is under the GPL: it is run here as a reference and is never a
dependency. It brings CIE's illuminants itself, so that spectra, methods and code are all its own; only
the figures are kept.

Ra and R9 are CIE 13.3-1995, Rf and Rg ANSI/IES TM-30-18. luxpy rounds each R_i to a whole number before
it averages them, so its Ra is a multiple of 1/8.
"""

import csv
from pathlib import Path

import luxpy
import numpy as np


def main() -> None:
    known = luxpy._CIE_ILLUMINANTS
    spectra = np.vstack([known["F1"][:1], *(known[f"F{i}"][1:2] for i in range(1, 13))])
    ra = luxpy.cri.spd_to_ciera(spectra, out="Rf").ravel()
    special = luxpy.cri.spd_to_cri(spectra, cri_type="ciera-14", out="Rfi")
    rf = luxpy.cri.spd_to_iesrf(spectra, cri_type="iesrf-tm30-18", out="Rf").ravel()
    rg = luxpy.cri.spd_to_iesrg(spectra, cri_type="iesrf-tm30-18", out="Rg").ravel()
    with Path(__file__).with_name("luxpy_rendition.csv").open("w", newline="", encoding="utf-8") as file:
        rows = csv.writer(file, lineterminator="\n")
        rows.writerow(["FL", "Ra", "R9", "Rf", "Rg"])
        for i in range(12):
            rows.writerow([i + 1, *(f"{v:.4f}" for v in (ra[i], special[8, i], rf[i], rg[i]))])


if __name__ == "__main__":
    main()
