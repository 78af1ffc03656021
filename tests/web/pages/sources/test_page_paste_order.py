"""Readings of a new source, pasted at once, are filed in the order of the text, bare or behind gels."""

TEXT = """name,kind,level,gel,cct,duv,lux
Spot,tungsten,100,,3190,-0.0003,640
Spot,tungsten,100,1/4 CTB,3560,-0.0010,480
Spot,tungsten,60,,2920,0.0001,210
Spot,tungsten,60,1/4 CTB,3230,-0.0006,160
"""


def test_what_is_read_behind_gel_stands_between_the_bare_readings_about_it(paste, stores):
    page = paste(TEXT)
    paste(TEXT, {**page.fields, **dict(page.ticked), "save": "yes"})
    [spot] = [one for one in stores.sets.get_set(1).sources if one.source.name == "Spot"]
    filed = [kept.reading for kept in stores.sets.readings_of(spot.id)]
    assert [reading.cct for reading in filed] == [3190, 3560, 2920, 3230]
    assert [len(reading.gels) for reading in filed] == [0, 1, 0, 1]
    assert spot.source.reading.cct == 2920, "the newest bare one counts"
