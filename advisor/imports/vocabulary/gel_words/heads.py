"""Words that head the columns of gel tables, without spaces, by what the column holds."""

HEADS: tuple[tuple[str, str], ...] = (
    (
        "spectrum",
        "spectrum spectrumfile curve curvefile spectrumdatei kurve courbe curva krzywa spektrum",
    ),
    (
        "note",
        "note notes comment comments remark remarks notiz notizen bemerkung bemerkungen anmerkung "
        "anmerkungen kommentar hinweis remarque remarques commentaire commentaires nota notas "
        "observaciones observacion comentario comentarios osservazioni commento observacoes opmerking "
        "opmerkingen notitie uwagi uwaga notatka 備考 メモ 注記 コメント obs anteckning anteckningar "
        "anmarkning bemaerkning bemærkning merknad huomautus huom poznamka poznamky megjegyzes "
        "примечание примечания заметка 비고 메모 not observatii 备注",
    ),
    (
        "rolls",
        "rolls roll rollen rolle rouleaux rouleau rollos rollo rotoli rotolo rolos rolo rolki rolka "
        "rolek ロール",
    ),
    (
        "stock",
        "stock onthetruck ontruck truck inthevan onvan instore onshelf "
        "aboard left carried wehave sheets sheet qty quantity "
        "quantities count pcs pieces onhand have instock available howmany wieviele combien amount "
        "onboard antal antalark ark kpl ks pocet maara db darab bestand bogen blatt anzahl menge stuck "
        "stk lager vorrat quantite qte feuilles feuille nb nombredefeuilles existencias hojas hoja "
        "cantidad cant quantita fogli foglio scorta scorte giacenza quantidade qtd folhas folha estoque "
        "existencia aantal vellen vel voorraad stuks ilosc sztuk szt sztuki arkusze arkuszy zapas stan "
        "枚数 枚 在庫 数量 arkkeja arkit arkki arkkia arkkien archy archu listy listu kusy kusu sklad "
        "zasoba mnozstvi iv ivek keszlet mennyiseg листов листы лист шт штук количество остаток наличие "
        "수량 매수 재고 stykk stykker palager lagersaldo zostalo disponibles restant restants reste "
        "vorhanden remaining adet stok bucati 库存 张数",
    ),
    (
        "transmission",
        "genomslapp lystransmission lapaisy propustnost transmission transmittance transmissionpercent "
        "trans transm transmits passes lets t tv y tau τ transmiss transmissionsfaktor transmissiony "
        "visibletransmission luminoustransmission lt lighttransmission durchlassigkeit durchlass "
        "transmissionsgrad lichtdurchlassigkeit lichtdurchlass transmittanz transmitancia transmision "
        "transmitancja transmissione trasmissione trasmittanza transmissao transmissie lichtdoorlating "
        "doorlaatbaarheid doorlating transmisja przepuszczalnosc 透過率 透過 propust transmise "
        "transmitancie пропускание светопропускание 투과율 lapaisykerroin atereszto ateresztes "
        "letsthrough gecirgenlik 透光率",
    ),
    (
        "filter factor",
        "filterfactor filterfaktor facteurdefiltre exposurefactor factor faktor facteur 露出倍数",
    ),
    (
        "density",
        "density opticaldensity od dens d optdens optdensity dichte optischedichte densite "
        "densiteoptique densidad densidadoptica densita densitaottica densidade dichtheid gestosc 濃度 "
        "densitet täthet tathet tiheys hustota plotnost плотность 밀도 농도",
    ),
    (
        "stops",
        "stops stop przyslony przyslon przyslona stoploss stopsloss lightloss lightlost loss lost lose "
        "ljusforlust lystab steg trin trinn clony ztrata valohavio fenyveszteseg costs cost fstops "
        "fstop blenden blende blendenverlust blendenstufen lichtverlust verlust perte pertes "
        "pertelumiere pertedelumiere diaph diaphs diaphragme diaphragmes perdida perdidadeluz pasos "
        "paso diafragmas diafragma perdita perditadiluce diaframmi diaframma perda perdadeluz "
        "lichtverlies verlies diafragma's stratapelswiatla strata stratyswiatla przeslony przeslona ev "
        "光量損失 光量ロス 減光 段数 段 絞り blendertap blendetab blender blendetrinn lystap lysverlust "
        "aukkoa aukkoina aukkoja clon svetla svetelnaztrata blendeveszteseg потери потеря потерясвета "
        "ступени ступеней стопы стоп света 광손실 감광 스톱 diyafram pierdere trepte 光损失 档",
    ),
    (
        "Duv shift",
        "duv duvshift deltauv δuv shiftduv δduv deltaduv δuvshift shiftδuv",
    ),
    (
        "cc",
        "cc greenmagenta green magenta gm mg plusminusgreen greenshift magentagreen tint gruenmagenta "
        "grunmagenta grun grunwert vertmagenta vert verdemagenta verde groenmagenta groen "
        "zielonymagenta zielenmagenta zielony zielen グリーンマゼンタ グリーン 緑マゼンタ 緑 緑補正 "
        "cc値 gron grøn grønn grønmagenta gronmagenta vihrea vihreamagenta zelena zelenamagenta zold "
        "зеленый зелень зеленыймаджента 그린 녹색 绿",
    ),
    (
        "share of light lost",
        "absorbs absorbed absorption absorbtion absorbe blocks eats takes absorptie absorcion absorcao",
    ),
    (
        "from CCT",
        "from von de desde da van od fromk fromcct sourcecct convertsfrom",
    ),
    (
        "to CCT",
        "to nach zu a naar do tok tocct convertsto becomes",
    ),
    (
        "reference",
        "reference ref refk referencek referencecct basecct base referenz bezug referencia riferimento "
        "referentie odniesienie 基準",
    ),
    (
        "known",
        "known howknown source herkunft bekannt origin provenance origen origine origem",
    ),
    (
        "percent",
        "percent uncertainty tolerance accuracy offby spread toleranz tolerancia unsicherheit",
    ),
    (
        "on",
        "on inuse use used active enabled aktiv actif activo attivo ativo actief aktywny 使用",
    ),
    (
        "fraction",
        "fraction strength grade cut level fractions depth starke staerke stufe grad bruchteil anteil "
        "styrka styrke sila vahvuus erosseg force intensite degre valeur intensidad fuerza fraccion "
        "grado intensita frazione forza intensidade forca fracao grau sterkte fractie moc stopien "
        "ulamek natezenie 強さ 強度 分数 度合い 濃さ сила степень доля 강도 teho intensitet",
    ),
    (
        "family",
        "family familie famille familia famiglia rodzina 系統 ファミリー group gruppe series serie "
        "reihe kind семейство серия perhe csalad rada 계열 familj",
    ),
    (
        "name",
        "name gel gels gelname filter filters filtername colour color colours gelcolour gelcolor label "
        "item type description desc title folie folien farbfolie filterfolie farbe bezeichnung artikel "
        "nom gelatine gelatines filtre filtres couleur designation nombre gelatina gelatinas filtro "
        "filtros tipo descripcion nome colore descrizione cor descricao naam kleur omschrijving nazwa "
        "folia zel filtr kolor opis typ ジェル フィルター フィルタ 名前 名称 カラー 色 品名 navn namn "
        "nazev nev kalvo kalvot suodin suodatin szuro фильтр светофильтр пленка гель название 필터 젤 "
        "이름 滤色片 色纸 φιλτρο ζελατινα",
    ),
    (
        "not used",
        "no nr num number # id code sku ref.no price preis prix precio prezzo preco prijs cena 価格 "
        "brand maker manufacturer supplier hersteller marque marca merk size format width length "
        "dimensions grosse breite taille tamano dimensione location shelf box case where lagerort ort "
        "date datum hex rgb swatch picture line row pos position lfd 番号 メーカー サイズ 場所 hylly "
        "regal police polc lada laada skrin półka polka estante scaffale etagere hinta pris ar цена "
        "가격 полка shelfno bin sira maße masse bredde bredd leveys",
    ),
)
"""The first that has a word counts."""
