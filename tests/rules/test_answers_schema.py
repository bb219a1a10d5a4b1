"""Every value of a format is told, and any format reads cleanly."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.rules.answers import answers, reminders
from events.rules.format import Format
from tests.rules.schema_walk import all_places, name_of, placed, samples


def _everything(format: Format) -> tuple[tuple[str, ...], ...]:
    return tuple(answer.sentences for answer in answers(format))


@pytest.mark.parametrize(("path", "spec"), all_places(), ids=name_of)
def test_every_value_is_told(path, spec):
    """Each value of a format, set alone, changes what riders read."""
    before = _everything(placed(Format(), path, None))
    for value in samples(spec):
        if path[:1] == ("double_ups",) and path[-1] == "name" and value == "double-up":
            continue
        assert _everything(placed(Format(), path, value)) != before, value


@pytest.mark.parametrize(("path", "spec"), all_places(), ids=name_of)
def test_every_word_has_its_own_sentence(path, spec):
    """Two values of one question never read the same."""
    texts = [_everything(placed(Format(), path, value)) for value in samples(spec)]
    empty_lists = [value for value in samples(spec) if value == ()]
    assert len(set(texts)) == len(texts), empty_lists


_FLAWS = ("None", "  ", " ,", " .", "..", "()", "True", "False", "StrEnum", "<")


def _is_clean(sentence: str) -> bool:
    ends = sentence.endswith((".", "!", "?"))
    return ends and sentence[0].isupper() and not any(flaw in sentence for flaw in _FLAWS)


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_any_format_reads_cleanly(data):
    """Random formats give whole sentences, without leftovers of the data."""
    format = Format()
    some = st.lists(st.sampled_from(all_places()), max_size=40)
    for path, spec in data.draw(some):
        format = placed(format, path, data.draw(st.sampled_from(samples(spec))))
    for answer in answers(format):
        assert answer.sentences
        for sentence in answer.sentences:
            assert _is_clean(sentence), sentence
    for label, sentence in reminders(format):
        assert label
        assert _is_clean(sentence), sentence
