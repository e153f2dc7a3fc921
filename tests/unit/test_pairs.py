"""What is typed on each side of an equals sign is read, and a slip in it is told."""

import pytest

from notepipe.errors import BadAnswer
from notepipe.pairs import counts_of, lines_named, pairs_of


def test_words_on_a_part_are_read_and_slips_told() -> None:
    assert pairs_of("--never", ("003=no = sign",)) == (("003", "no = sign"),)
    assert counts_of("--count", ("003=4",)) == {"003": 4}
    for words in (("003",), ("=4",), ("003=",), ("003=four",), ("003=-1",), ("003=4", "003=5")):
        with pytest.raises(BadAnswer):
            counts_of("--count", words)


def test_a_line_is_named_by_its_number() -> None:
    assert lines_named("--damage", (("1", "a run"),)) == ((1, "a run"),)
    with pytest.raises(BadAnswer, match="'one' is no line"):
        lines_named("--damage", (("one", "a run"),))
