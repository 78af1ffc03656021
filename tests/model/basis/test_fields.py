import pytest

from advisor.model.basis.fields import field_label, field_words


@pytest.mark.parametrize(
    ("name", "words", "label"),
    [
        ("use_level", "level in use", "Level in use"),
        ("level", "dim level", "Dim level"),
        ("cct", "CCT", "CCT"),
        ("x", "x", "x"),
        ("note", "note", "Note"),
        ("frame_rate", "frame rate", "Frame rate"),
    ],
)
def test_a_field_is_called_the_same_everywhere(name, words, label):
    assert (field_words(name), field_label(name)) == (words, label)


def test_a_field_of_a_row_has_the_rows_number():
    assert [field_label(name) for name in ("width_0", "count_19")] == ["Width 1", "Count 20"]
