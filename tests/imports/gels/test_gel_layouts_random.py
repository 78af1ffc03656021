"""Gel tables written at random: in any layout they read back the same; no text raises but what is told."""

from hypothesis import given
from hypothesis import strategies as st

from advisor.imports.gels.csv_table import is_gel_table
from advisor.imports.gels.draft import draft_gels, missing_in
from advisor.model import Refused
from tests.strategies import STEADY

HEADINGS = {
    "name": ["Gel", "Folie", "filtre", "Filtro", "Nazwa", "フィルター", "Colour"],
    "mired": ["Mired", "Shift (MK-1)", "MK⁻¹", "décalage mired", "ミレッド"],
    "cc": ["CC", "Green/magenta", "Grün/Magenta", "vert/magenta", "G/M"],
    "stops": ["Stops", "Blenden", "Light loss", "perte (diaph)", "pérdida", "段数"],
    "stock": ["Sheets", "Bogen", "Feuilles", "Qty", "枚数", "Aantal"],
}
NAMES = {
    "1/8": ["1/8 {}", "⅛ {}", "{} 1/8", "eighth {}", "0.125 {}"],
    "1/4": ["1/4 {}", "¼ {}", "{} ¼", "quarter {}", "Viertel {}"],
    "1/2": ["1/2 {}", "½ {}", "{} half", "0.5 {}", "demi {}", "medio {}", "ハーフ {}"],
    "full": ["full {}", "{} full", "voll {}", "{}"],
}
SIGNS = {"CTO": (1, 0), "CTB": (-1, 0), "Plus green": (0, 1), "Minus green": (0, -1)}
SHARE = {"1/8": 0.13, "1/4": 0.26, "1/2": 0.55, "full": 1.0}


@st.composite
def written_tables(draw):
    """Return a text of gels in a layout drawn at random, and what is in it."""
    mark, comma = draw(st.sampled_from([("\t", False), (";", False), (";", True), ("|", True), (",", False)]))
    columns = draw(st.permutations(list(HEADINGS)))
    head = [draw(st.sampled_from(HEADINGS[c])) for c in columns]
    gels = draw(
        st.lists(
            st.tuples(st.sampled_from(list(SIGNS)), st.sampled_from(list(SHARE))),
            min_size=2,
            max_size=8,
            unique=True,
        )
    )
    lines, wanted = [mark.join(head)], []
    for family, fraction in gels:
        warm, green = SIGNS[family]
        size = draw(st.integers(80, 120)) / 100 * SHARE[fraction]
        row = {
            "mired": round(134 * size) * warm,
            "cc": round(30 * size, 1) * green,
            "stock": draw(st.integers(0, 9)),
        }
        row["stops"] = draw(st.integers(1, 20)) / 10
        name = draw(st.sampled_from(NAMES[fraction])).format(family)
        cells = {k: f"{v:+g}" if k in ("mired", "cc") else f"{v:g}" for k, v in row.items()}
        if comma:
            cells = {k: v.replace(".", ",") for k, v in cells.items()}
        lines.append(mark.join(({"name": name} | cells)[c] for c in columns))
        wanted.append((f"{family} {fraction}", row["mired"], row["cc"], row["stops"], row["stock"]))
    return "\n".join(lines), wanted


@STEADY
@given(written_tables())
def test_a_table_in_any_layout_reads_as_what_was_written(drawn):
    text, wanted = drawn
    draft = draft_gels(text)
    assert [(g.name, g.mired, g.cc, g.stops, g.stock) for g in draft.gels] == wanted
    assert not draft.asked


PIECES = st.sampled_from(
    [
        *("Gel", "mired", "CC", "stops", "sheets", "CTO 1/2", "½ CTO", "ND 3", "ND 0.3", "Straw", "+81 MK-1"),
        *("5G", "7,5M", "73%", "⅔ stop", "2 rolls", "-", "n/a", "1/0", "nm", "380", "400 nm", "0.5", "total"),
        *(
            "\t",
            ";",
            ",",
            "|",
            "  ",
            " ",
            "\n",
            "\n\n",
            '"',
            "#",
            "|---|",
            "(",
            ")",
            ":",
            "×4",
            "x2",
            "=",
            "９",
        ),
        "\n".join(f"{nm};{nm / 1000}" for nm in range(380, 785, 20)),
    ]
)


@STEADY
@given(st.lists(PIECES, max_size=60).map("".join) | st.text(max_size=200))
def test_nothing_raises_anything_but_refused(text):
    assert is_gel_table(text) in (True, False)
    try:
        draft = draft_gels(text)
    except Refused as refused:
        assert all(p.where and p.says and p.allowed for p in refused.problems)
    else:
        # A column that is missing is told once, not at every row.
        assert all(row.gel is not None or row.wrong for row in draft.rows) or missing_in(draft.columns)
