"""Words for how strong a gel is: full, half, quarter."""

from .plain_letters import without_accents

_WORDS = {
    "full": "full fulls whole voll volle voller volles vollen ganz ganze ganzes ganzer plein pleine entier "
    "entière complet complète completo completa entero entera intero intera pieno piena cheio inteiro "
    "inteira vol volle heel hele hel hela helt fuld fuldt pełny pełna pełne cały cała całe plný plná plné "
    "celý celá täysi kokonainen teljes egész полный полная полное целый повний 풀 全 フル tam pun puni "
    "întreg intreg ολόκληρο πλήρες",
    "1/2": "half halves halb halbe halber halbes halben demi demie moitié medio media mitad mezzo mezza metà "
    "meio meia metade halve helft halv halva halvt pół połowa połówka połowy poloviční polovina půl půlka "
    "polovičný polovica puolikas puoli puolet fél félig половина половинный полу 하프 절반 半 ハーフ yarım "
    "jumătate pola μισό",
    "1/4": "quarter quarters qtr quart viertel cuarto cuarta quarto quarta kwart kvart kvarts kvarter "
    "fjerdedel fjärdedel ćwierć ćwiartka čtvrt čtvrtina čtvrtka čtvrtinový štvrtina neljännes neljäsosa "
    "negyed четверть чверть четвертной 쿼터 クォーター クオーター çeyrek sfert četvrtina τέταρτο",
    "1/8": "eighth eighths eight achtel huitième octavo octava ottavo ottava oitavo oitava achtste åttondel "
    "åttondels åttendedel åttedel ottendedel osma osmina osminka ósma kahdeksasosa kahdeksannes nyolcad "
    "восьмая осьмушка восьмушка エイス 에이스 sekizde optime όγδοο",
    "1/16": "sixteenth sechzehntel seizième",
    "1/3": "third drittel tiers tercio terzo terço derde tredjedel kolmannes třetina harmad",
    "3/4": "threequarter threequarters dreiviertel troisquarts trescuartos trequarti tresquartos "
    "trêsquartos driekwart trzyczwarte trekvart trekvarts háromnegyed",
    "2/3": "twothirds zweidrittel deuxtiers",
    "2": "double doppelt doppel doble doppio duplo dubbel dobbelt dubbelt podwójny dvojitý kettős "
    "двойной ダブル 더블",
}
STRENGTHS = {without_accents(word): share for share, said in _WORDS.items() for word in said.split()}
"""The fraction that each word means, as gel tables write it; the words have no accents."""
EN_DASHED = (
    r"\b(three|drei|trois|tres|três|tre|drie|trzy)[\s-]*(quarters?|viertel|quarts|cuartos|quarti|quartos|kwart|"
    r"kvarts?|kvart|fjerdedele?|fjärdedelar|czwarte)\b|\b(two|zwei|deux)[\s-]*(thirds|drittel|tiers)\b|"
    r"\b(?:one|un|une|uno|una|um|uma|ein|eine|een|en|ett|jedna)[\s-]+"
    r"(half|quarter|eighth|third|quart|huitieme|huitième|cuarto|octavo|quarto|ottavo|oitavo|viertel|achtel|"
    r"kwart|achtste|fjerdedel|fjärdedel|ottendedel|åttondel|czwarta|osma|ósma)\b"
)
"""Fractions of two words: the first and second group are ¾, the third and fourth ⅔, the fifth one part."""
ROMAN = {"i/ii": "1/2", "i/iv": "1/4", "iii/iv": "3/4", "i/viii": "1/8"}
"""Fractions in Roman figures, in small letters."""
