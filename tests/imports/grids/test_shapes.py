"""Tables of any shape. Every reading here is invented."""

import contextlib

import pytest

from advisor.imports import read_anything, read_readings
from advisor.imports.readings.result import Sure
from advisor.model import Refused

KEY, FILL = ("Key", 5480, 0.0042, 850), ("Fill left", 3190, -0.0012, 410)


def seen(paste):
    return [(s.name, s.reading.cct, s.reading.duv, s.reading.lux) for s in paste.sources]


@pytest.mark.parametrize(
    "text",
    [
        "Light source\tCCT (K)\tDuv\tE (lx)\nKey\t5480\t0.0042\t850\nFill left\t3190\t-0.0012\t410",
        "Source     CCT   Duv      lx\nKey        5480  0.0042   850\nFill left  3190  -0.0012  410",
        "Source    CCT   Duv     lx\nKey       5480  0.0042  850\nFill left 3190 -0.0012  410",
        "Name CCT (K) Duv E (lx)\nKey 5480 0.0042 850\nFill left 3190 -0.0012 410",
        "\tKey\tFill left\nCCT\t5480\t3190\nDuv\t0.0042\t-0.0012\nlux\t850\t410",
        "Metric;Key;Fill left\nCCT;5480;3190\nDuv;0,0042;-0,0012\nlux;850;410",
        "Name\nCCT\nDuv\nlux\nKey\n5480\n0.0042\n850\nFill left\n3190\n-0.0012\n410",
        "Key\n5480 K\n+0.0042\n850 lx\n\nFill left\n3190 K\n-0.0012\n410 lx",
        "Name,CCT,Duv,lux,,Name,CCT,Duv,lux\nKey,5480,0.0042,850,,Fill left,3190,-0.0012,410",
        "Name,CCT,Duv,lux\nKey,5480,0.0042,850\n\nName;lx;Duv;Tcp\nFill left;410;-0,0012;3190",
        "| Name | CCT | Duv | lux |\n|--|--|--|--|\n| **Key** | 5480 | 0.0042 | 850 |\n"
        "| *Fill left* | 3190 | -0.0012 | 410 |",
        '[{"name": "Key", "cct": 5480, "duv": 0.0042, "lux": 850},\n'
        ' {"name": "Fill left", "cct": 3190, "duv": -0.0012, "lux": 410}]',
        '{"set": {"Key": {"cct": 5480, "duv": 0.0042, "lux": 850},\n'
        '"Fill left": {"cct": 3190, "duv": -0.0012, "lux": 410}}}',
        '{"name":"Key","reading":{"cct":5480,"duv":0.0042,"lux":850}}\n'
        '{"name":"Fill left","reading":{"cct":3190,"duv":-0.0012,"lux":410}}',
        '{"name": ["Key", "Fill left", "x"], "cct": [5480, 3190, null], "duv": [0.0042, -0.0012, null], '
        '"lux": [850, 410, null]}',
        "<table><tr><th>Name<th>CCT<th>Duv<th>lux</tr><tr><td>Key<td>5480<td>0.0042<td>850</tr>\n"
        "<tr><td>Fill&nbsp;left</td><td>3190</td><td>&minus;0.0012</td><td>410</td></tr></table>",
        "<ul><li>Key: 5480 K, Duv 0.0042, 850 lx</li>\n<li>Fill left: 3190 K, Duv -0.0012, 410 lx</li></ul>",
        "wer;warm;ab;hell\nKey;5480;0,0042;850 lx\nFill left;3190;-0,0012;410 lx",
        "Bericht\n\nLeuchte;Farbtemperatur (K);Duv;Beleuchtungsstärke\nKey;5.480;0,0042;850\n"
        "Fill left;3.190;-0,0012;410\nMittelwert;4.335;0,0015;630",
        "灯体　　色温度　　Ｄｕｖ　　照度\nKey　　５４８０Ｋ　　０．００４２　　８５０ｌｘ\n"
        "Fill left　　３１９０Ｋ　　－０．００１２　　４１０ｌｘ",
        "Name;CCT (kK);Duv (‰);klx\nKey;5,48;4,2;0,85\nFill left;3,19;-1,2;0,41",
        "Name,CCT,Duv,lux\nKey,~5480,0.0042*,850 ± 20\nFill left,3190 °K,-0.0012,410",
        "Name,CCT,Duv,lux\nKey,5480,0,0042,850\nFill left,3190,-0,0012,410",
        "Name,Mired,CC,lux\nKey,182.4818,4.2,850\nFill left,313.4796,-1.2,410",
        "Name,CCT,Duv,lx\nKey,5480,0.0042,850\nNoon\nFill left,3190,-0.0012,410\nAverage,4335,0.0015,630",
    ],
)
def test_two_readings_in_many_shapes(text):
    key, fill = [reading for reading in seen(read_anything(text)) if reading[0] != "x"]
    assert (key[0], fill[0]) == (KEY[0], FILL[0])
    assert key[1:] == pytest.approx(KEY[1:], rel=1e-4)
    assert fill[1:] == pytest.approx(FILL[1:], rel=1e-4)


def test_what_is_left_out_says_its_line_and_why():
    text = "Report\nName,CCT,Duv,lux\n,K,,lx\nKey,5480,0.0042,850\nNoon\nAverage,5480,0.0042,850\n# end\n"
    paste = read_readings(text)
    assert len(paste.rows) == 1
    assert [(left.line, left.why) for left in paste.left_out] == [
        (1, ""),
        (3, "units"),
        (5, "no reading"),
        (6, "left out, it is a summary"),
        (7, "a remark"),
    ]


def test_readings_side_by_side_have_places_of_their_own():
    text = "CCT,Duv,,CCT,Duv\n5480,0.004,,3190,-0.001\n"
    assert [row.key for row in read_readings(text).rows] == ["2", "2.1"]


def test_a_heading_that_nobody_knows_is_a_proposal_and_may_be_wrong():
    text = "wer;warm;ab\nKey;5480;0.0042\n"
    paste = read_readings(text)
    assert {(c.heading, c.field, c.sure) for c in paste.columns} == {
        ("wer", "name", Sure.LIKELY),
        ("warm", "cct", Sure.LIKELY),
        ("ab", "duv", Sure.LIKELY),
    }


@pytest.mark.parametrize(
    "text",
    [
        "Thing;Serial;x\nKey;5480;0.3\nFill;5481;0.3\n",
        "Fixture;Watt;Channel\nKey;1200;5\nFill;2500;6\n",
        "a;b;c\n5480;5481;0.001\n5482;5483;0.002\n",  # which of the first two?
        "Name,EV,Distance\nKey,9.2,3.4\n",
        '{"a": [1, 2], "b": {"c": 3}}',
        "<p>hello</p>",
    ],
)
def test_what_is_no_table_of_readings_is_none(text):
    with contextlib.suppress(Refused):
        assert read_anything(text).sources == []


@pytest.mark.parametrize(
    ("text", "key", "answer", "expected"),
    [
        ("name,cct,duv\nKey,5.48,0.0042\n", "column-2", "cct-k", (5480, 0.0042, None)),
        ("name,cct,duv\nKey,200,0.0042\n", "column-2", "mired", (5000, 0.0042, None)),
        ("name,cct,duv\nKey,5480,4.2\n", "column-3", "duv-m", (5480, 0.0042, None)),
        ("name,cct,duv,x,y\nKey,5480,0.0042,0.42,0.40\n", "quarrel", "cct", (5480, 0.0042, None)),
        ("name,cct,duv,x,y\nKey,5480,0.0042,0.42,0.40\n", "quarrel", "xy", (None, None, (0.42, 0.40))),
        ("name,bare CCT,CCT with gel,duv\nKey,5480,3200,0.0042\n", "which-CCT", "2", (5480, 0.0042, None)),
    ],
)
def test_what_is_asked_is_not_read_until_it_is_answered(text, key, answer, expected):
    paste = read_readings(text)
    assert [row.source for row in paste.rows] == [None]
    assert key in [question.key for question in paste.asked if question.open]
    answered = read_readings(text, {key: answer})
    reading = answered.sources[0].reading
    assert (reading.cct, reading.xy) == (expected[0], expected[2])
    assert reading.duv == pytest.approx(expected[1])
    assert not [question for question in answered.asked if question.open]


def test_primes_that_are_headed_u_and_v():
    text = "name,u,v\nKey,0.2039,0.4820\n"
    assert read_readings(text).sources == []
    # u′, v′ to x, y as in CIE 15:2018, 8.2.1
    below = 6 * 0.2039 - 16 * 0.4820 + 12
    reading = read_readings(text, {"primes": "yes"}).sources[0].reading
    assert reading.xy == pytest.approx((9 * 0.2039 / below, 4 * 0.4820 / below))


@pytest.mark.parametrize(
    ("text", "about"),
    [
        ("name,CCT,Duv,Ev\nKey,5480,0.0042,8.3\n", "exposure"),
        ("name,CCT,Duv,x (m),y (m)\nKey,5480,0.0042,1.2,3.4\n", "positions"),
        ("name,CCT,Duv,x10,y10\nKey,5480,0.0042,0.33,0.34\n", "10° observer"),
        ("name,CCT,Duv\nKey,5480,0.0042\nKey,5400,0.0042\n", "Read several times: Key"),
    ],
)
def test_what_is_asked_beside_a_reading(text, about):
    paste = read_readings(text)
    reading = paste.sources[0].reading
    assert (reading.cct, reading.duv, reading.lux) == (5480, 0.0042, None)
    assert any(about in question.says for question in paste.asked)


def test_an_exposure_value_is_no_illuminance():
    paste = read_readings("name,CCT,Duv,EV\nKey,5480,0.0042,9\n")
    assert paste.sources[0].reading.lux is None
    assert paste.ignored == ["EV: an exposure value is not an illuminance"]
    assert [(q.key, q.blocks) for q in paste.asked] == [("exposure", False)]


class TestRepeats:
    TEXT = "name,CCT,Duv,lux\nKey,5000,0.002,100\nFill,3200,0,50\nKey,4000,0.004,300\n"

    def readings(self, answer):
        sources = read_readings(self.TEXT, {"repeats": answer}).sources
        return {s.name: [r.cct for r in (*s.readings, s.reading)] for s in sources}

    def test_all_of_them_or_the_newest_or_sources_of_their_own(self):
        assert self.readings("all") == {"Key": [5000, 4000], "Fill": [3200]}
        assert self.readings("newest") == {"Key": [4000], "Fill": [3200]}
        assert self.readings("apart") == {"Key": [5000], "Fill": [3200], "Key (2)": [4000]}

    def test_the_mean_is_that_of_mireds(self):
        (mean,) = self.readings("mean")["Key"]
        assert mean == pytest.approx(1e6 / 225)  # of 200 and 250 MK⁻¹
        source = read_readings(self.TEXT, {"repeats": "mean"}).sources[-1]
        assert (source.reading.duv, source.reading.lux) == (pytest.approx(0.003), 200)


def test_a_spectrum_beneath_a_table_goes_to_the_reading_of_its_name():
    samples = "".join(f"{nm},{nm / 780:.4f}\n" for nm in range(380, 781, 10))
    table = "name,CCT,Duv\nKey,5480,0.004\nRim,3190,0\n"
    key, rim = read_anything(f"{table}\nSpectrum of Rim\nWavelength (nm),Power\n{samples}").sources
    assert key.reading.spectrum is None
    assert (rim.reading.cct, rim.reading.spectrum.start, rim.reading.spectrum.end) == (3190, 380, 780)
