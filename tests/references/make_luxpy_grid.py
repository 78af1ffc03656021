"""Write luxpy_grid.csv beside this file: CCT and Duv as luxpy finds them on a grid of chromaticities.

Run it with luxpy 1.12, which needs numpy below 2.3, in an environment of its own:
``python make_luxpy_grid.py``. luxpy is under the GPL: it is run here as a reference and is never a
dependency.

Of luxpy's methods the most exact is "li2016": Newton's method on Planck's law itself, as Li et al.
(2016), Optics Express 24(13), 14066–14078, give it. Against luxpy's own brute-force search it agrees
within 3e-8 of CCT; "ohno2014" by its table is off by up to 9e-7 in Duv.
"""

import csv
from pathlib import Path

import luxpy
import numpy as np

MIREDS = np.linspace(100.0, 500.0, 81)
DUVS = np.linspace(-0.02, 0.02, 21)


def main() -> None:
    mired, duv = (a.reshape(-1, 1) for a in np.meshgrid(MIREDS, DUVS, indexing="ij"))
    xyz = luxpy.cct_to_xyz(1e6 / mired, duv=duv, cieobs="1931_2")
    # The chromaticity is rounded first, so that CCT and Duv belong to what the file says.
    uv = luxpy.xyz_to_Yuv60(xyz)[:, 1:].round(10)
    xyz = luxpy.Yuv60_to_xyz(np.column_stack([np.ones(len(uv)), uv]))
    found = luxpy.xyz_to_cct(xyz, mode="li2016", cieobs="1931_2", out="[cct,duv]", atol=1e-6, rtol=1e-12)
    with Path(__file__).with_name("luxpy_grid.csv").open("w", newline="", encoding="utf-8") as file:
        rows = csv.writer(file, lineterminator="\n")
        rows.writerow(["u", "v", "cct_K", "duv"])
        for (u, v), (cct, off) in zip(uv, found, strict=True):
            rows.writerow([f"{u:.10f}", f"{v:.10f}", f"{cct:.6f}", f"{off:.10f}"])


if __name__ == "__main__":
    main()
