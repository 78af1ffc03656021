"""Headings that nobody knows: a distance from the locus may be a Duv, one from the lamp is none. Invented."""

from advisor.imports import read_readings


def pasted_under(heading):
    return f"Name;{heading};CCT\nkey;0,004;5600\nfill;0,002;5200"


def test_a_distance_from_the_curve_is_asked_about_as_a_duv():
    paste = read_readings(pasted_under("Abstand zur Kurve"))
    assert [(q.key, q.likely) for q in paste.asked] == [("column-2", "duv")]
    read = read_readings(pasted_under("Abstand zur Kurve"), {"column-2": "duv"})
    assert [row.source.reading.duv for row in read.rows] == [0.004, 0.002]


def test_a_distance_from_the_lamp_is_no_duv():
    paste = read_readings(pasted_under("Abstand zur Lampe"))
    assert [row.source.reading.duv_assumed for row in paste.rows] == [True, True]
    assert [q.key for q in paste.asked] == ["duv"]
