"""The words of headings, in English and in other languages, as crews shorten them. From memory, no source.

Only words that leave no doubt: what may be another thing too is known by what stands in its column.
"""

import unicodedata
from collections.abc import Sequence

from .words import words

_LETTERS = str.maketrans({"ł": "l", "ø": "o", "æ": "ae", "œ": "oe", "đ": "d", "ı": "i"})

#: Signs that are written in several ways, as one of them.
SAME_SIGNS = str.maketrans(
    {
        **dict.fromkeys("′’‘ʹʼ´`＇", "'"),
        **dict.fromkeys("−–‐‑⁻", "-"),
        **dict.fromkeys("Δ∆δ", " delta "),
        "°": " deg ",
        "（": "(",
        "）": ")",
    }
)

#: English words by field, as `Field` names it: in the order in which they win where a table has several of
#: them ("Fixture" beside "Location").
ENGLISH: dict[str, str] = {
    "name": "name, source name, label, source, light source, fixture, head, lamp, light, practical, "
    "location, position, point, measuring point, title, src, subject, sample, sample name",
    "kind": "kind, type, technology, tech, source kind, source type, light type, lamp type",
    "role": "role, function, light role, role in the shot, used as",
    "CCT": "cct, tcp, tc, t cp, k, kelvin, kelvins, color temperature, colour temperature, color temp, "
    "colour temp, correlated color temperature, correlated colour temperature, correlated color temp, "
    "correlated colour temp, cct tcp",
    "Duv": "duv, delta uv, dist from planckian, distance from planckian, dist from planckian locus, "
    "distance from planckian locus, distance from the planckian locus, dist from bbl, distance from bbl, "
    "deviation from planckian, duv planckian",
    "illuminance": "illuminance, e, ev, e v, lux, lx, klx, fc, ftc, foot candle, foot candles, footcandle, "
    "luks, luksy, luxy, luxes, footcandles, illumination, illuminance e, illuminance ev",
    "note": "note, notes, comment, comments, remark, remarks",
    "mired": "mired, mireds, mk 1, micro reciprocal degrees",
    "CC": "cc, cc index, cc value, green magenta, green magenta shift, gm, g m, tint, "
    "plus minus green, plus minus g, plus minus gm, green plus minus, magenta green, mg shift, green cc, "
    "cc green, gm cc, tint cc, mg cc, green magenta cc, cc gm, cc tint, green shift, green shift cc, "
    "cc shift, magenta cc, cc cc, tint gm, gm tint, gm shift",
    "gel": "gel, gels, gel on, gels on, gel hung, hung, hanging, colour gel, color gel, correction gel",
    "time": "time, time of day, timestamp, time stamp, taken, taken at, read at, clock, when, datetime",
    "date": "date, day and month",
    "power": "power, watts, watt, w, wattage, power drawn, power draw, mains power, power consumption",
}
#: The same in other languages: German, French, Spanish, Italian, Portuguese, Dutch, Polish, Japanese.
WORDS: dict[str, str] = {
    "name": "bezeichnung, leuchte, scheinwerfer, lampe, lichtquelle, quelle, licht, gerät, nom, "
    "projecteur, "
    "luminaire, lampe, source lumineuse, appareil, lumière, nombre, foco, fuente, luminaria, "
    "lámpara, fuente de luz, aparato, luz, proyector, nome, proiettore, sorgente, lampada, "
    "apparecchio, faro, luce, sorgente luminosa, projetor, projector, fonte, luminária, lâmpada, "
    "fonte de luz, aparelho, naam, lichtbron, bron, armatuur, schijnwerper, toestel, nazwa, lampa, "
    "lampa, ljuskälla, lyskilde, armatur, valo, valaisin, zdroj, svítidlo, lámpa, fényforrás, прибор, "
    "名稱, 燈具, 燈光, 光源名稱, источник, светильник, 조명, ışık, lamba, "
    "messpunkt, point de mesure, punto de medida, punto, ponto, meetpunt, punkt, "
    "ort, standort, lieu, endroit, emplacement, lugar, ubicación, posición, posizione, luogo, posição, "
    "plaats, plek, "
    "locatie, positie, miejsce, pozycja, plats, sted, sijainti, umístění, hely, место, 場所, 位置, 위치, "
    "źródło, źródło światła, oprawa, reflektor, światło, 名前, 名称, 灯体, 光源, 光源名, ライト, "
    "ライト名, 機材, 器具, 灯具, 照明, 照明器具, ランプ",
    "kind": "art, typ, lampentyp, bauart, type de source, type de lampe, genre, tipo, tipo de luz, "
    "tipo de fuente, tipo di sorgente, tipo de fonte, soort, lamptype, rodzaj, typ lampy, 種類, "
    "タイプ, 種別, 光源種別",
    "role": "rolle, funktion, lichtrolle, rôle, fonction, función, ruolo, funzione, função, papel, rol, "
    "functie, rola, funkcja, roll, 役割",
    "CCT": "farbtemperatur, farbtemp, ähnlichste farbtemperatur, korrelierte farbtemperatur, "
    "température de couleur, temp de couleur, temp couleur, température de couleur proximale, tdc, "
    "température de couleur corrélée, t deg couleur, temperatura de color, temp de color, "
    "temp color, ta color, tª color, temperatura de color correlacionada, tcc, temperatura de colour, "
    "temperatura di colore, temp colore, temp di colore, temperatura di colore correlata, "
    "temperatura de cor, temp de cor, temp cor, temperatura de cor correlata, kleurtemperatuur, "
    "kleurtemp, gecorreleerde kleurtemperatuur, temperatura barwowa, temp barwowa, "
    "färgtemperatur, farvetemperatur, fargetemperatur, värilämpötila, teplota chromatičnosti, "
    "barevná teplota, színhőmérséklet, цветовая температура, 색온도, renk sıcaklığı, "
    "色溫, 相關色溫, najbliższa temperatura barwowa, barwa k, 色温度, 相関色温度, 色温",
    "Duv": "abstand vom planck, abstand zum planck, planck abstand, abweichung vom planck, "
    "abweichung vom planckschen kurvenzug, farbabstand duv, écart duv, écart au corps noir, "
    "écart planckien, écart au lieu planckien, distance au lieu planckien, desviación duv, "
    "distancia al planckiano, desviación del planckiano, desviación planckiana, "
    "distancia planckiana, scostamento duv, scostamento planckiano, distanza dal planckiano, "
    "deviazione duv, desvio duv, desvio planckiano, distância ao planckiano, afwijking duv, "
    "afstand tot planck, planck afwijking, odchylenie duv, odległość od plancka, "
    "odchylenie od plancka, 黒体軌跡からの偏差, 黒体偏差, 偏差duv, duv偏差, 色偏差, 黒体軌跡偏差"
    ", 흑체편차, odchylka duv, duv avvikelse, avvik duv, отклонение duv",
    "illuminance": "beleuchtungsstärke, beleuchtungsstaerke, beleuchtung, éclairement, éclairement "
    "lumineux, "
    "iluminancia, nivel de iluminación, illuminamento, iluminamento, iluminância, "
    "belysningsstyrka, belysningsstyrke, valaistusvoimakkuus, osvětlenost, intenzita osvětlení, "
    "megvilágítás, освещённость, освещенность, 照度 lx, 조도, aydınlatma, "
    "verlichtingssterkte, lichtsterkte lux, natężenie oświetlenia, oświetlenie, 照度, ルクス",
    "note": "bemerkung, bemerkungen, notiz, notizen, anmerkung, anmerkungen, kommentar, remarque, "
    "remarques, "
    "commentaire, commentaires, nota, notas, observación, observaciones, comentario, comentarios, "
    "osservazioni, commento, commenti, note, observação, observações, comentário, opmerking, "
    "opmerkingen, notitie, uwaga, uwagi, notatka, komentarz, 備考, メモ, 注記, コメント"
    ", bemærkning, bemærkninger, bemerkning, merknad, merknader, anmärkning, kommentti, "
    "huomautus, poznámka, poznámky, megjegyzés, примечание, заметка, not, notlar, 비고, 메모, "
    "备注, obs, obs., bem, bem., anm, anm., rem, rem., opm, opm., uw, pozn, megj, komm, comm, σχόλια, "
    "σημειώσεις",
    "mired": "ミレッド, mireds mk 1",
    "CC": "grün magenta, vert magenta, verde magenta, groen magenta, zielony magenta, グリーンマゼンタ, "
    "grün magenta wert, gm wert, green mag, grn mag, g mag, vert mag, verde mag, grün cc, vert cc, verde cc, "
    "groen cc, zielony cc, grün magenta cc, vert magenta cc, verde magenta cc, groen magenta cc, 緑マゼンタ",
    "gel": "folie, farbfolie, farbfilter, filterfolie, gélatine, gélatines, gelatina, gelatinas, gelatine, "
    "kleurfilter, kleurenfilter, folia, filtr, ゲル, フィルター"
    ", filtre, filtro, filtras, suodin, szűrő, фильтр, 필터",
    "time": "zeit, uhrzeit, zeitpunkt, heure, horaire, hora, ora, orario, horário, tijd, tijdstip, "
    "godzina, "
    "czas, 時刻, 時間, 日時"
    ", kl, kl., klokken, tid, klokkeslett, klokkeslæt, aika, kello, čas, idő, время, saat, 시간, 시각, 时间",
    "date": "datum, tagesdatum, fecha, data misura, jour, dzień, giorno, 日付, 測定日",
    "dim level": "dimmung, dimmer %, gradation, dimmerwert, graduation, intensité %, niveau de gradation, "
    "nivel de dimmer, regulación, livello dimmer, dimmerazione, nível do dimmer, dimstand, "
    "dimniveau, poziom ściemnienia, ściemniacz, 調光, 調光率, 調光レベル"
    ", dämpning, dimning, ljusnivå, himmennys, ztlumení, диммер",
    "modifier": "vorsatz, diffusor, diffuseur, difusor, diffusore, lichtvormer, modifikator, dyfuzor, "
    "modificador, modificatore, accessoire, ディフューザー, モディファイア",
}

#: Where a source stands, which is a name where nothing else is one.
PLACES = words(
    "location position ort standort lieu endroit emplacement lugar ubicacion posicion posizione luogo "
    "local posicao "
    "plaats plek locatie positie miejsce pozycja plats sted sijainti umisteni hely место 場所 位置 위치"
)

#: What begins or is a row of figures about the rows above it, which is no reading.
SUMMARIES = words(
    "average averages avg mean means median total sum min max minimum maximum range spread stdev std "
    "stddev count delta "
    "difference mittelwert durchschnitt mittel summe gesamt moyenne total ecart media promedio suma "
    "minimo maximo totale somma soma gemiddelde totaal som srednia suma lacznie deviation "
    "durchschnittlich standardabweichung stdabw streuung dispersion desviacion desvio scarto "
    "odchylenie afwijking desv dev mini maxi lowest highest least most variance sigma rms minimaal "
    "maximaal "
    "minimalny maksymalny niedrigster hochster kleinster grosster spannweite mediane mediana mediaan moy "
    "mw mittl massimo massimi minimi deviazione standaardafwijking laagste hoogste minst meest "
    "najmniej najwiecej najmniejsza najwieksza najnizsza najwyzsza sredni srednio rozstep razem media "
    "gemiddeld gns gjsn snitt priemer prosek prosjek mittelw keskim "
    "medel medelvarde gjennomsnitt gennemsnit keskiarvo prumer atlag ortalama mitjana promig "
    "tolerance tolerances toleranz tolerancia tolleranza tolerancja tolerantie "
    "desvpad desvest etendue intervalo rango ampiezza bereich variance varianz varianza variancia "
    "平均 合計 最大 最小 最大値 最小値 平均値 中央値 標準偏差 最高 最低 範囲 偏差 差 平均値± среднее минимум "
    "максимум итого 合计 总计 最大值 最小值 平均值 标准差 평균 최대 최소 합계"
)
#: What is said of nothing but a summary, whatever stands behind it: "Average floor 1".
MEANS = words(
    "average avg mean subtotal mittelwert durchschnitt zwischensumme moyenne promedio gemiddelde srednia 平均"
)
#: What may stand behind such a word: what was summed up, and how.
ABOUT_SUMMARIES = words(
    "a abs abw all aller and cct de der des dev deviation duv estandar la light lux max mean min n of "
    "p padrao reading readings rows s sources standard standardowe standardowy std stdev sum the "
    "tipica tipo to total typ type valeur valor valore value values waarde wartosc wert werte"
)
#: Signs that stand for such a word.
SUMMARY_SIGNS = frozenset("Ø∅⌀Σ∑σς±∆Δμµ") | {"x̄", "sd", "SD", "s.d", "S.D"}
#: What begins a row that says what is wanted, and was not read.
TARGETS = words(
    "target goal aim wanted soll ziel sollwert cible consigne objetivo obiettivo alvo doel cel 目標"
)


def folded_each(texts: Sequence[str]) -> list[str]:
    """Return each text as `folded` does."""
    return [folded(text) for text in texts]


def folded(text: str) -> str:
    """Return text without accents, in lower case, so that "Éclairement" and "eclairement" are one."""
    text = text.casefold().translate(_LETTERS)
    if text.isascii():
        return text
    parts = unicodedata.normalize("NFD", text)
    return unicodedata.normalize("NFC", "".join(c for c in parts if not "\u0300" <= c <= "\u036f"))
