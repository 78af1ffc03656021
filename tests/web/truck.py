"""What tests of the truck's form share."""

import re

from advisor.model import GelTable

WINDOW = "/?cct=6800&duv=0.004&kind=daylight"
"""Its answer is ¼ CTO by the shipped table."""
ASKS = "Say it once: only those are advised."


def chosen(page):
    """Return the series that is chosen."""
    return next(iter(re.findall(r'name="series" value="(\w*)" checked', page.html)), "")


def stocked(stores, name, sheets):
    """Return the table with so many sheets of one gel."""
    rows = stores.gels.in_force().table.rows
    return GelTable(rows=[g.model_copy(update={"stock": sheets}) if g.name == name else g for g in rows])


def number(page, name):
    return next(k[4:] for k, v in page.fields.items() if k.startswith("gel_") and v == name)
