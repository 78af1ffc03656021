"""Words that stand in cells of gel tables: units, sheets, what is plenty and what is gone, yes and no."""

import re

from .plain_letters import without_accents


def _plain(said: str) -> frozenset[str]:
    return frozenset(without_accents(word).replace("_", " ") for word in said.split())


YES = _plain("yes y x ✓ ✔ 1 true on ja oui si sim tak ano kyllä igen да はい 예 evet da")
NO = _plain("no n 0 false off nein non nao nie nee nej ne ei nem нет ✗ ✘ いいえ 아니오 hayır nu")
PLENTY = _plain(
    "plenty lots many loads enough yes ja oui viel viele genug reichlich beaucoup assez mucho muchos mucha "
    "muchas suficiente bastante molti molte tanto tanti abbastanza muitos muitas bastantes veel genoeg "
    "volop många mycket gott_om mange nok rigeligt paljon runsaasti dużo wiele hodně dost sok elég много "
    "достаточно ∞ 多数 たくさん 많음 çok multe destul"
)
EMPTY = _plain(
    "none no out empty gone zero kein keine keiner leer alle aus vergriffen aucun aucune vide épuisé épuisée "
    "rupture fini finie plus_rien keine_mehr nada "
    " ninguno ninguna agotado agotada vacío sin_existencias nessuno nessuna finito finita "
    "esaurito esaurita vuoto nenhum nenhuma esgotado esgotada acabou vazio geen op leeg slut tom tomt "
    "udsolgt utsolgt inga ingen loppu tyhjä brak pusto skończone nil žádný žádné vyprodáno nic elfogyott "
    "nincs üres нет пусто закончился finished noneleft nosheets nosheetsleft allout usedup outofstock "
    "keinbogen keinebogen なし 切れ 없음 품절 yok bitti"
)
SOME = _plain("some a_few few several a_couple a_couple_of_sheets einige ein_paar quelques algunos alcuni")
"""Words of stock that is there and that nobody counted."""
OPEN = _plain(
    "? ?? ??? tbc tbd tba unknown open offen unbekannt unklar inconnu desconocido sconosciuto #ref #n/a "
    "#value #div/0 #name #num #null err error 不明"
)
"""Words of a figure that is still to come, or that a spreadsheet lost."""
NEUTRAL = _plain("neutral neutre neutro neutra neutraal neutralny neutralt clean none nil ニュートラル")
"""Words of a gel that is neither green nor magenta."""
NUMBERS = {
    word: f"{at}"
    for at, said in enumerate(
        (
            "one eins un une uno una um uma een en ett jeden",
            "two zwei deux dos due dois duas twee två to dwa",
            "three drei trois tres tre três drie trzy",
            "four vier quatre cuatro quattro quatro fyra fire cztery",
            "five fünf cinq cinco cinque vijf fem pięć",
        ),
        1,
    )
    for word in said.split()
}
COUNTED = {"half": 0.5, "halbe": 0.5, "demi": 0.5, "two": 2.0, "zwei": 2.0, "three": 3.0, "drei": 3.0}
"""Rolls in words."""
MIRED = re.compile(r"(?:mired[a-zżó]{0,3}|mrd|µrd|μrd|mk|m|майред\w{0,2}|миред\w{0,2}|ミレッド|미레드)\.?")
WARMER = re.compile(
    r"(?:mireds?\s)?(?:warm(?:er|s)?|orange|amber|w[aä]rmer|plus chaud|m[aá]s c[aá]lido|pi[uù] calda|"
    r"varmare|varmere)"
)
COOLER = re.compile(
    r"(?:mireds?\s)?(?:cool(?:er|s)?|blue|bluer|cold(?:er)?|k[aä]lter|k[uü]hler|plus froid|m[aá]s fr[ií]o|"
    r"pi[uù] fredda|kallare|koldere|kaldere)"
)
DAMIRED = re.compile(r"da\s?mireds?|decamireds?|dam")
GREEN = re.compile(
    r"(?:cc\s?)?(?:g|v|green|gr[uüöø]n|grønn|vert|verde|groen|zielony|vihreä|zelen[áé]|zöld|緑|グリーン|그린)(?:\s?cc)?"
)
MAGENTA = re.compile(r"(?:cc\s?)?(?:m|magenta|マゼンタ|маджента|마젠타)(?:\s?cc)?")
STOPS = re.compile(
    r"(?:f\s?[/-]?\s?)?stops?|sts?\.?|ev|blenden?(?:stufen?)?|bl\.?|diaphs?\.?|diaphragmes?|pasos?|"
    r"diafram\w+|diafrag\w+|przes\w+|przys\w+|steg|trin+|blendetrin+|clon\w?|aukkoa|段|스톱|档"
)
SHEETS = re.compile(
    r"sheets?|sh\.|shts?\.?|pcs?\.?|pieces?|cuts?|left|offcuts?|x|off|zuschnitte?|chutes?|b[oö]gen|bg\.?|"
    r"st(?:ue|ü)?ck|stk\.?|blatt|feuilles?|hojas?|fogl\w+|folhas?|vel(?:len)?|stuks?|szt\.?|sztuk\w?|"
    r"ark(?:k?i|kia|en|usz\w*)?|arch[yů]?|ív|db|lis[t]\w{0,2}|шт\.?|лист\w{0,2}|枚|장|매|张"
)
ROLLS = re.compile(
    r"rolls?|rollen?|rouleaux?|rollos?|rotol[io]|rolos?|rol(?:ka|ki|ek)?|rullar?|ruller?|rulla[at]?|"
    r"рулон\w{0,2}|ロール|本|롤"
)
LEFT = re.compile(
    r"^(?:left|still|noch|(?:il\s)?reste(?:nt)?|quedan?|resta(?:no|m)?|nog|zostało|kvar|tilbage|igjen)"
    r"[: ]\s?(?=\d)"
)
"""Words before the sheets that are left."""
