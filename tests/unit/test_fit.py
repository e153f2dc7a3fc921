"""What was said at the bench reaches a client only in words fit for one; rather none than a wrong one."""

import pytest

from notepipe.draft import Part
from notepipe.papers.fit import conditions, location, reason

PART = Part(name="roof bracket", metal="aluminium")


@pytest.mark.parametrize(
    ("spoken", "read"),
    [
        ("pitted right through", "pitted right through"),
        ("It's rotten.", "rotten"),
        ("two are bent", "two are bent"),
        ("has rusted", "rusted"),
        ("the bracket’s lug is cracked", None),
        ("cracked through the lug", "cracked through the lug"),
        ("it's a proper dog's breakfast", None),
        ("a dent you could set an egg in", None),
        ("Fennimore dropped it", None),
        ("fifty quid's worth of pitting", None),
        ("worn 3/16 deep", None),
        ("worn 3/16 off the end", "worn 3/16 off the end"),
        ("a chip out of it", "a chip"),
        ("rusty as", None),
        ("match", None),
        ("cracked from here to here", None),
        ("they both work", None),
        ("", None),
    ],
)
def test_a_condition_is_read_without_its_opening_or_not_at_all(spoken: str, read: str | None) -> None:
    told = conditions(PART.model_copy(update={"condition": (spoken,)}))
    assert told == ((read,) if read else ())


@pytest.mark.parametrize(
    ("quote", "why"),
    [
        ("leave those because they're original", "they are original"),
        ("no chrome because it's aluminium and won't take plate", "it is aluminium and will not take plate"),
        ("Leave it, since the casting is porous. Next the bell", "the casting is porous"),
        ("leave it because it's been repaired", "it has been repaired"),
        ("leave it", None),
        ("leave it because of Ada", None),
        ("leave it because nobody's paying for it", None),
        ("leave it because he's too fussy", None),
        ("leave it because it is not worth two hundred pounds", None),
        ("leave it because the client is mean", None),
        ("leave it because original", None),
        ("on it since Monday", None),
    ],
)
def test_a_reason_is_given_only_where_every_word_is_fit(quote: str, why: str | None) -> None:
    assert reason(quote, PART) == why


def test_a_long_story_is_no_reason() -> None:
    story = "because it is worn and it is old and it is thin and it is bent and it is cracked and it is split"
    assert reason(story, PART) is None


@pytest.mark.parametrize(
    ("place", "read"),
    [
        ("under the platform", "under the platform"),
        ("on Ada's bench", None),
        ("behind my door", None),
        (None, None),
    ],
)
def test_a_place_that_names_somebody_is_left_out(place: str | None, read: str | None) -> None:
    assert location(PART.model_copy(update={"location": place})) == read
