"""Speech is cut into windows of at most 30 s, in pauses, and words find back to the recording's time."""

from __future__ import annotations

import numpy as np
import pytest

from notepipe.windows import LONGEST_S, RATE_HZ, Window, pack


def pieces(*seconds: tuple[float, float]) -> list[tuple[int, int]]:
    return [(round(start * RATE_HZ), round(end * RATE_HZ)) for start, end in seconds]


def test_no_window_is_longer_than_the_model_takes_and_no_speech_is_left_out() -> None:
    speech = pieces(*((i * 7.0, i * 7.0 + 6.0) for i in range(20)))
    packed = pack(speech)
    assert all(window.length_s <= LONGEST_S for window in packed)
    covered = {second for w in packed for start, end in w.pieces for second in range(start, end, RATE_HZ)}
    assert all(second in covered for start, end in speech for second in range(start, end, RATE_HZ))


def test_a_short_pause_stays_in_and_a_long_one_is_left_out() -> None:
    (window,) = pack(pieces((1.0, 3.0), (3.5, 5.0), (60.0, 62.0)))
    assert window.pieces == tuple(pieces((1.0, 5.0), (60.0, 62.0)))


def test_a_full_window_ends_at_its_longest_pause() -> None:
    first, second = pack(pieces((0.0, 10.0), (10.2, 21.0), (22.0, 29.0), (29.1, 35.0)))
    assert first.end_s == 21.0
    assert second.pieces == tuple(pieces((22.0, 35.0)))


def test_words_behind_a_cut_out_pause_have_the_recordings_time() -> None:
    window = Window(tuple(pieces((1.0, 3.0), (60.0, 62.0))))
    assert window.span(0.5, 1.0) == (1.5, 2.0)
    assert window.span(2.5, 3.0) == (60.5, 61.0)


def test_no_word_spans_a_cut_out_pause() -> None:
    window = Window(tuple(pieces((1.0, 3.0), (60.0, 62.0))))
    assert window.span(1.5, 2.1) == (2.5, 3.0)
    assert window.span(1.9, 2.5) == (60.0, 60.5)


def test_the_sound_is_the_pieces_one_behind_the_other() -> None:
    samples = np.arange(10, dtype=np.float32)
    assert Window(((1, 3), (7, 9))).sound(samples).tolist() == [1, 2, 7, 8]


@pytest.mark.parametrize(
    ("from_s", "left"),
    [(0.5, ((1.5, 3.0), (60.0, 62.0))), (2.0, ((60.0, 62.0),)), (3.0, ((61.0, 62.0),)), (4.0, None)],
)
def test_the_rest_of_a_window_begins_where_it_is_told(
    from_s: float, left: tuple[tuple[float, float], ...] | None
) -> None:
    rest = Window(tuple(pieces((1.0, 3.0), (60.0, 62.0)))).rest(from_s)
    assert (rest.pieces if rest else None) == (tuple(pieces(*left)) if left else None)
