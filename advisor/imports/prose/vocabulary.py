"""Words of sentences around readings: what they are for, since no name is made of them."""

from ..messages.lettered import JOINT
from ..vocabulary.languages import folded
from ..vocabulary.spoken import (
    BEFORE_NAME,
    BEHIND,
    BEHIND_NAME,
    BETWEEN_STATES,
    CLAUSES,
    DEGREES,
    DESCRIPTIONS,
    FILLERS,
    GREEN,
    LINKS,
    MAGENTA,
    MODIFIERS,
    NOT_READ,
    ROLES,
    STATES,
    VERDICTS,
)
from ..vocabulary.words import words

ARTICLES = words(
    "the that this those these my our your his her their der die das den dem des le la les l' el los las "
    "il lo gli i o os as het de en et a an einem einer eine ein un une uno una um uma"
)
#: Before a name behind its numbers: "5600 for the key".
FOR = words("for on off from at für auf von am pour sur para en per sul sulla voor op na på")
#: Words that hold two parts of one name: "softbox over the bar".
WITHIN = words(
    "over of in by thru behind under above near beside next to through off on from at outside inside "
    "across between upstairs downstairs with w/ über hinter neben vor unter am im in an auf bei der dem "
    "über derrière sous sur de du des à au aux devant côté detrás debajo sobre del al junto dietro sopra "
    "sotto accanto della dello dei di do da dos das no na atrás boven achter naast onder van het nad pod "
    "przy za över bakom bredvid under vid"
)
#: What a number beside them is, if it is no reading: what is wanted.
WANTED = words(
    "want wants wanted wanting need needs needed target targets targeting aim aiming aimed goal going "
    "shooting prefer prefers match matching should would supposed plan planned planning will we'll i'll "
    "if wenn falls jeśli vise visons visez anvisiert apuntamos puntiamo mikken "
    "they'll he'll she'll tomorrow dial dialled dialed bring bringing lands towards "
    "soll sollte wollen brauchen ziel möchten wollten morgen veut veux voudrait objectif "
    "cible demain quiere quieren objetivo mañana vorrei vuole vogliono obiettivo domani quer querem alvo "
    "amanhã wil willen doel morgen chce chcemy cel jutro vill ska mål imorgon"
)
#: The same: what somebody, or a label, says it should be, or what it was.
TOLD = words(
    "label labels labelled labeled marked sticker box nominal rated spec specs scout recce yesterday "
    "earlier wrote written claims claimed wb preset originally previously gestern etikett aufkleber laut "
    "hier étiquette marqué ayer etiqueta marcado ieri etichetta ontem gisteren wczoraj igår"
)
NOT = words(
    "not isn't isnt wasn't wasnt never no instead nicht kein keine statt pas non no niet geen nie inte ej não"
)
#: What tells what is set, and reads no light: "desk says 5600", "the dial shows 3200".
PANELS = words("desk console board dial menu display fixture app remote pult konsole mischpult")
SAYING = words("says said shows showing reads claims thinks is has sagt zeigt")
#: Words that stand for a light, by which none is called.
STANDING_FOR = words("one ones other another the first second third last two both it that this")
#: What begins another sense, or takes one back: no light is called by it.
SECOND_THOUGHTS = words(
    "but which because since while though aber mais hang hold scrap wait nope scratch correction added "
    "adding oops sorry actually"
)
#: Words of what was not done: "didn't get to the fill", "the back wasn't on".
NOT_DONE = words(
    "didn't didnt haven't havent hasn't hasnt couldn't couldnt can't cant won't doesn't doesnt don't dont "
    "skipped skip missed missing missing without forgot yet todo "
    "fehlt fehlen manque manquent falta faltan manca mancano faltam ontbreekt brakuje saknas"
)
#: Who speaks, and with what: "I had 5610", "the meter says".
SPEAKERS = words(
    "i i'm i've i'd i'll we we're we've he he's she she's they they're you you're it it's its me us him "
    "them who whoever somebody someone everyone everybody anybody nobody dp dop gaffer boss meter meters "
    "display screen reading readings number numbers value values figure figures result results one ones "
    "thing things same other both all each every any some none most rest everything nothing anything "
    "something stuff there here now today ich wir er sie es man alle beide je nous il elle on ils elles "
    "tous toutes yo nosotros él ella ellos todo todos io noi lui lei loro tutti eu nós ele ela eles tudo "
    "todos ik wij hij zij ze alle beide ja my on ona oni jag vi han hon de alla båda"
)
_ENGLISH = words(
    "thats its theres heres ive im weve youre theyre hes shes whats dont cant wont doesnt isnt neutral "
    "agree agrees agreed moment while sec second lunch tea break stand stands standing stood "
    "somewhere "
    "vs versus noon midnight dawn dusk sunrise sunset average "
    "waiting wait waits forgot forgotten forget skipped skip missing missed leaving left-to "
    "am be been being do does did done doing don't dont didn't didnt doesn't doesnt can can't cant could "
    "couldn't couldnt may might must have has having had haven't havent hasn't get gets got getting "
    "gotten go goes gone went come comes came coming give gives gave giving given take takes took taken "
    "taking make makes made making put puts putting call calls called say says said saying tell tells told "
    "telling show shows showed showing read reads see sees saw seen look looks looked looking think "
    "thinks thought guess reckon reckons believe know knows knew check checks checked checking measure "
    "measures measured measuring meter metered metering shoot shot try tried trying keep keeps kept stay "
    "stays stayed sit sits sat sitting crept creeping drift drifted drifting climb climbed rose risen "
    "fell fallen dropped moved moving changed change turned turn switched came landed sent send write add "
    "added use used using please thanks thank cheers sorry hi hey hello dear all guys team mate morning "
    "evening afternoon night best regards love yes no yeah yep nope ok okay alright right-ho well so then "
    "than that which what when where why how whether because since though although while unless until if "
    "or and but nor yet as just only even also too very really quite pretty rather almost about around "
    "roughly approx maybe perhaps probably actually basically honestly literally still again already ever "
    "never always sometimes often once twice first second last next finally lastly firstly another few "
    "lot lots bit little more less much many enough good bad fine nice great lovely weird odd strange "
    "funny ugly horrible perfect correct wrong right-on solid steady stable dead spot-on bang exactly "
    "precisely clean bare naked fresh new old done ready sure certain clear um uh er erm ah oh hmm hm "
    "like you-know lol haha wow ugh damn hell god man dude not isn't isnt wasn't aren't won't wont "
    "wouldn't shouldn't to for into onto out up down off away back-to per cent percent points point "
    "thousandths thousandth kelvin kelvins k lux lx fc duv cct cc mired green magenta minute minutes min "
    "mins hour hours am pm today tonight tomorrow yesterday later earlier soon now currently time times "
    "day minus plus zero reading readings figure rest list both either neither same ditto dto idem likewise "
    "dimmed level levels intensity output brightness colour color temp temperature shift tint spot-meter "
    "sky-high warm warmer cool cooler cold colder hot bright brighter dark darker dim dimmer greener "
    "pinker pinkish greenish stops stop under over brighter above below everywhere altogether together "
    "instead except apart gel gels gelled ungelled filter filters cto ctb correction corrected update "
    "updated final finally swap swapping wanting needs can lets let's let i'd you'd we'd they'd that'd "
    "hang hold scrap nope nah oops added adding swapped replaced relamped re-lamped menu "
    "it'd it'll that'll there's here's that's what's who's how's where's"
)
_ABROAD = words(
    "alors bon ben enfin du-coup entonces pues allora dunque quindi então dus więc alltså "
    "hat haben habe hatte bin bist ist sind war waren wird werden wurde mach mache macht machen zeigt "
    "misst mißt liegt steht kommt also dann noch nicht schon jetzt gleich später auch nur mal eben gerade "
    "und oder aber weil wenn ob mit ohne bei bis zu zum zur für als wie so sehr etwas ungefähr etwa circa "
    "danke bitte hallo moin alles gemessen messen gemacht gleiche gleichen dasselbe selbe est sont était "
    "a ai as ont avons avez fait faire donne mesure mesuré affiche dit pas plus moins encore aussi avec "
    "sans et ou mais car donc pour par dans très peu environ voilà merci bonjour salut temps eu même "
    "pareil idem es está están son era tiene tienen da dan marca mide medido hay con sin y o pero porque "
    "para por muy más menos casi unos gracias hola mismo igual también todavía aún falta è sono era ha "
    "hanno fa fanno segna misura dà con senza e o ma perché per molto poco circa grazie ciao stesso "
    "uguale anche ancora siamo abbiamo é são está estão tem deu dá com sem e ou mas porque muito quase "
    "obrigado obrigada olá mesmo também ainda is zijn was heeft geeft staat meet met zonder en of maar "
    "omdat heel ongeveer bedankt hoi dezelfde ook nog jest są był ma mają daje pokazuje z bez i lub ale "
    "bo bardzo około dzięki cześć też jeszcze tak samo är var har ger visar med utan och eller men för "
    "mycket ungefär tack hej samma också ännu"
)
#: Words of which no name begins or ends, and that part it from what stands before and behind.
STOPS = (
    (_ENGLISH | _ABROAD | SPEAKERS | WANTED | TOLD | NOT | FILLERS | BEFORE_NAME | BEHIND_NAME | CLAUSES)
    | (
        DESCRIPTIONS
        | STATES
        | NOT_READ
        | LINKS
        | VERDICTS
        | DEGREES
        | GREEN
        | MAGENTA
        | BEHIND
        | BETWEEN_STATES
    )
    | WITHIN
) - ROLES
#: The same for several readings at once: "both at 60 %".
ALL = words(
    "all both each everything everywhere everyone alle beide beides überall jeweils tous toutes partout "
    "chacun todos todas ambos ambas tutti tutte entrambi entrambe tudo allemaal allebei wszystkie oba "
    "obie alla båda either throughout overal wszędzie ovunque dappertutto överallt chacune"
)
#: What was said before is said of another too. Not the German “gleich”, which is “soon” as often.
DITTO = words(
    "same ditto idem likewise identical dito gleiche gleichen dasselbe selbe genauso pareil même "
    "igual mismo lo-mismo stesso uguale mesmo zelfde hetzelfde samo samma likadant"
)
#: Words that lights are called by, beside what they do, and where they are.
#: Words for what a lamp shows, behind which no name stands: "the stairwell is nasty".
COPULAS = words(
    "is are was were looks looked seems it's that's ist sind war est sont est es son está è sono é são is "
    "zijn jest są är"
)
#: Words by which somebody tells that it was read.
READ = words(
    "moment "
    "is are it's its reads read reading now but measured metered got getting currently sitting sits shows "
    "have had ist sind jetzt aber gemessen hat est sont maintenant mais es está ahora pero è ora ma é "
    "agora mas is nu maar jest teraz ale är"
)
#: Others' words for it: "Tom says the balloon is 5520, I had 5610".
OTHERS = words("says said reckons thinks thought claims told sagt meint dit dice disse zegt mówi säger")
#: What points to a name: "that's the pendant over the table".
POINTING = words("that's thats this that these those c'est das eso questo quello isso dat det")
#: What it was before, beside what it is: "fill now 5510, was 5600".
FORMERLY = words(
    "before vorher avant antes prima was were formerly previously war waren était étaient era eran erano "
    "waren był była var"
)
#: By these somebody is told to bring a light to what is wanted: "get the key up to 5600".
BRINGING = words("get bring push take bump drop knock warm cool lift pull put")
#: Shares and stops that are no dim levels, and talk of what is left: "two and a half under", "the rest is".
VAGUE = words("under over stop stops rest list")
#: What begins a question.
ASKING = words(
    "whats what's wheres where's hows how's "
    "can could would will should shall is are was were do does did what why who where which how whose "
    "kann könnt könnte soll peut pouvez puede podemos può potete pode kan kun czy czemu"
)
CAMERAS = words("cam camera cams kamera caméra cámara câmera telecamera monitor acam bcam")
LIGHTS = (
    ROLES
    | MODIFIERS
    | words(
        "lights lamps lamp bulb bulbs globe globes fixture fixtures unit units head heads tube tubes panel "
        "panels strip strips spot spots wash washes cyc truss ch chan channel par pars fresnel fresnels "
        "pendant pendants chandelier sconce sconces lantern lanterns balloon softbox box octa bounce rim "
        "hair kicker "
        "bathroom kitchen bedroom lounge office lobby loft attic basement garage porch landing hall "
        "blonde blondes redhead redheads scoop scoops cans spacelight spacelights hmi hmis floods batten "
        "eye obie book tile tiles ceiling floor bar counter window windows door doorway skylight daylight "
        "moon moonlight moonbox sunlight sign neon screen tv fridge practical practicals candle candles "
        "bedside hallway corridor stairs staircase street streetlight backing backdrop "
        "greenscreen bluescreen "
        "overhead overheads source lamppost fairy uplight uplights downlight downlights fill key back edge "
        "side top ambient ambience light heads profile profiles 2k 1k 5k 10k 650 führung führungslicht "
        "aufhellung spitze spitzlicht fenster lampe lampen decke licht principal relleno contra contraluz "
        "ventana lámpara luz foco enchimento janela luzes face plafonnier fenêtre baie lampada lampade "
        "finestra luce chiave riempimento controluce hoofdlicht invullicht raam lamp tegenlicht klucz "
        "wypełnienie okno lampa kontra kontr nyckelljus fyllning fönster motljus lampor"
    )
)
PLACES = words(
    "left right middle mid center centre top bottom upper lower front rear back north south east west "
    "near far inner outer l r c links rechts mitte gauche droite milieu izquierda derecha centro sinistra "
    "destra esquerda direita lewy prawy lewa prawa vänster höger upstage downstage sl sr ul ur"
)
"""Words that alone are only a part of a name that was said before: "cyc left …, right …"."""


STOPS |= ALL
_LONG = 6
"""How long a word is at least that ends in one for a light. [sign]"""


_LIT = tuple(
    words(
        "light lights lamp lamps lampe lampen licht lichter lichten leuchte leuchten strahler fenster ljus "
        "ljuset lys lampje lampjes tube tubes panel panels box boxes window windows spot spots"
    )
)


def is_light(word: str) -> bool:
    """Whether a light is called by a word, or by its end: "sleutellicht", "spacelight"."""
    word = word.partition(JOINT)[0]
    return word in LIGHTS or (len(word) > _LONG and word.endswith(_LIT))


def is_stop(word: str) -> bool:
    """Whether no name begins or ends with a word."""
    return word in STOPS or folded(word) in STOPS
