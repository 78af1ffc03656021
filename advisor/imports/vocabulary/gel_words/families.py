"""Words for the families of gels that the trade knows, as patterns over text in small letters."""

_GREEN = (
    r"(?:green|gr(?:ü|u|ö|ø|o|oe|ue)n|grønn|grøn|vert|verde|groen|zielon\w{1,2}|zieleni|zieleń|vihre[äa]\w{0,2}|"
    r"zelen\w{1,3}|zöld|yeşil|зел[её]н\w{1,4}|グリーン|緑|그린|녹색)"
)
_PLUS = r"(?:plus+z?|\+|piu|più|mas|más|mais|плюс|プラス|플러스|artı)"
_MINUS = r"(?:minus+z?|miinus|mínusz|-|moins|meno|menos|min|mínus|минус|мінус|マイナス|마이너스|eksi)"
_TEMP = r"colou?r\s*temp(?:erature|\.)?\s*"
PLUS = rf"{_PLUS}[\s-]*{_GREEN}|\+\s?g"
MINUS = rf"{_MINUS}[\s-]*{_GREEN}|-\s?g"
CTO = rf"c\.?\s?t\.?\s?o\.?|сто|{_TEMP}orange|ct\s+orange|convert\s+to\s+orange"
CTB = rf"c\.?\s?t\.?\s?b\.?|ст[вб]|{_TEMP}blue|ct\s+blue|convert\s+to\s+blue"
STRAW = r"straw|stroh|paille|paglia|paja|palha|stro|słoma|halm|ストロー|스트로"
CTS = rf"c\.?\s?t\.?\s?s\.?|{_TEMP}straw|ct\s+straw|convert\s+to\s+straw|{STRAW}"
"""Correction to warmer with a straw yellow in place of orange."""
ND = (
    r"n\.?\s?d(?:\.(?!\d))?(?=[\s\d.,_-]|$)|neutral[\s-]*density|neutraldichte|graufilter|neutralgrau|"
    r"densit[eé]\s+neutre|gris\s+neutre|densidad\s+neutra|densit[aà]\s+neutra|densidade\s+neutra|"
    r"grijsfilter|neutrale\s+dichtheid|filtr\s+szary|szary|gr[åa]filter|šedý\s+filtr|harmaasuodin|"
    r"нейтрально-серый|нейтральный\s+серый|ニュートラル・?\s*デンシティー?"
)
SINGLE = r"single\s+scrims?|scrims?\s+single"
DOUBLE = r"double\s+scrims?|scrims?\s+double"
DIFFUSION = (
    r"diffusion|diffusie|difusi[oó]n|difus[aã]o|diffusione|dyfuzja|diffuusio|difuze|diffúzió|диффуз\w{1,4}|"
    r"ディフュージョン|디퓨전"
)
