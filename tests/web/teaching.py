"""Pairs of readings to teach a gel with."""

import re

from tests.advice.pairs import gelled, head

NAME = "CTO 1/2"


def gel(stores, name=NAME):
    return next(g for g in stores.gels.in_force().table.rows if g.name == name)


def pair(sheet, kind="tungsten", cct=3200, duv=0.0005, lux="1000", name=NAME):
    """Fill the form with what a meter would read of a head bare and behind one sheet."""
    after = gelled(head(kind, cct, duv), sheet)
    return {
        "name": name,
        "kind": kind,
        "cct": str(cct),
        "duv": str(duv),
        "lux": lux,
        "gelled_cct": f"{after.cct:.0f}",
        "gelled_duv": f"{after.duv:.4f}",
        "gelled_lux": f"{after.lux:.0f}" if lux else "",
    }


def kept(page, form):
    """Fill in what the page's button would send."""
    found = re.search(r'name="keep" value="([^"]*)"', page.html)
    return {**form, "version": page.fields["version"], "keep": found[1]}
