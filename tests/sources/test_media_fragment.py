"""W3C Media Fragments URI 1.0 (basic), 25 September 2012: the temporal dimension, ``#t=start,end``.

What a player does with each form is taken from W3C's published user-agent test results: ``t=3,7`` plays
3 to 7, ``t=3`` plays 3 to the end; ``t=3,`` is a syntax error; ``t=3,3`` and ``t=7,3`` are ignored.
"""

import re
from itertools import product

import pytest

from notepipe.papers.sources import fragment, source

NPT_SECONDS = re.compile(r"#t=(\d+(?:\.\d+)?)(?:,(\d+(?:\.\d+)?))?")
"""The grammar's npt-sec, 1*DIGIT [ "." *DIGIT ], as start alone or start and end."""


@pytest.mark.parametrize(
    ("start_s", "end_s", "address"),
    [
        (3.0, 7.0, "#t=3,7"),
        (3.0, None, "#t=3"),
        (0.0, 7.0, "#t=0,7"),
        (21.4, 23.0, "#t=21.4,23"),
        (12.4, 17.9, "#t=12.4,17.9"),
        (3600.125, 3661.5, "#t=3600.125,3661.5"),
        # Ignored by a player if they were written so, and all of it played: the end is left out.
        (3.0, 3.0, "#t=3"),
        (7.0, 3.0, "#t=7"),
        (1.0, 1.0004, "#t=1"),
        (None, None, ""),
        (None, 7.0, ""),
        (-1.0, 7.0, ""),
    ],
)
def test_seconds_become_a_fragment_that_a_player_obeys(start_s, end_s, address) -> None:
    assert fragment(start_s, end_s) == address


def test_every_fragment_keeps_to_the_grammar_and_starts_before_it_ends() -> None:
    seconds = [0.0, 0.0001, 0.05, 1 / 3, 9.97, 1e-7, 59.9996, 86399.999, 1e6]
    for start_s, end_s in product(seconds, [*seconds, None]):
        matched = NPT_SECONDS.fullmatch(fragment(start_s, end_s))
        assert matched, fragment(start_s, end_s)
        assert matched[2] is None or float(matched[1]) < float(matched[2])


def test_a_name_with_blanks_and_signs_is_escaped_before_the_fragment() -> None:
    """RFC 3986: a blank, a number sign or a percent sign in the name would end or change the address."""
    assert source("walk #2 50%.m4a", 3.0, 7.0) == "walk%20%232%2050%25.m4a#t=3,7"
