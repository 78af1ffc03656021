"""Words that stand before what sums up a table of gels, and is no gel."""

import re

_ALONE = re.compile(
    r"(?:(?:grand|sub)[ -]?)?totals?|tot\.?|sums?|mean|average|avg|all|summe|gesamt|ges\.?|mittelwert|"
    r"insgesamt|zusammen|somme|moyenne|sous-total|suma|media|totale|somma|soma|totaal|gemiddelde|razem|średnia|łącznie|"
    r"summa|totalt|i alt|sum totalt|yhteensä|summa yhteensä|celkem|součet|spolu|összesen|összeg|итого|всего|"
    r"сумма|合計|平均|総計|小計|합계|총계|toplam|[σ∑Σ=]",
    re.IGNORECASE,
)
_FIRST = re.compile(
    r"(?:(?:grand|sub)[ -]?)?totals?\b(?:[: ]|$)|(?:summe|gesamt|insgesamt|zusammen|somme|totale|totaal|"
    r"summa|razem|celkem|yhteensä|összesen|итого|всего)(?:[: ]|$)",
    re.IGNORECASE,
)


def is_sum(cell: str) -> bool:
    """Whether a cell says that its row sums others up, perhaps in several languages."""
    first = cell.strip(" :*_")
    parts = [part.strip() for part in first.split("/")] if len(first) <= 60 else [first[:60]]
    return _FIRST.match(first) is not None or all(_ALONE.fullmatch(part) for part in parts)
