"""The trained reader's network runs on words as they stand, however many there are (with models/reader)."""

import ast
from pathlib import Path

import numpy as np
import pytest

from notepipe.reading import network
from notepipe.reading.network import ACTIONS, STANDINGS, VALUES, Seen, look, sigmoid, softmax

WORDS = [
    "Two",
    "of",
    "the",
    "door",
    "handles",
    "are",
    "bent",
    ",",
    "so",
    "we",
    "'ll",
    "straighten",
    "those",
    ".",
]
TALK = ["The", "kettle", "is", "on", ",", "and", "it", "has", "rained", "all", "the", "week", "."] * 45


@pytest.fixture(scope="module")
def seen() -> Seen:
    assert network.is_there()
    return look(WORDS)


def test_every_word_is_told_everything(seen: Seen) -> None:
    size = len(WORDS)
    assert seen.group.shape == (size, 7)
    assert seen.values.shape == (size, len(VALUES), 3)
    assert seen.fates.shape == (size, len(ACTIONS))
    assert seen.standing.shape == (size, len(STANDINGS))


def test_the_word_of_an_action_is_told_as_that_action(seen: Seen) -> None:
    place = int(np.argmax(seen.fates[:, ACTIONS.index("straighten")]))
    assert WORDS[place] == "straighten"
    assert STANDINGS[int(seen.standing[place].argmax())] == "decided"


def test_a_link_is_a_likelihood_for_each_tail_and_head(seen: Seen) -> None:
    likely = seen.link("fate", [10, 11], [0])
    assert likely.shape == (2, 1)
    assert ((likely >= 0) & (likely <= 1)).all()
    assert seen.link("fate", [], [0]).shape == (0, 1)


def test_a_note_longer_than_a_window_is_read_to_its_end() -> None:
    """What stands in the last window is told of its own word, and the talk between of nothing."""
    words = [*WORDS, *TALK, *WORDS]
    fates = look(words).fates[:, ACTIONS.index("straighten")]
    assert [i for i in range(len(words)) if fates[i] > 0] == [11, len(words) - 3]


def test_likelihoods_do_not_overflow() -> None:
    far = np.array([-1000.0, 0.0, 1000.0], np.float32)
    assert sigmoid(far).tolist() == [0.0, 0.5, 1.0]
    assert softmax(far).tolist() == [0.0, 0.0, 1.0]


def test_the_labels_are_those_the_network_was_trained_with() -> None:
    """The training code stands alone, where notepipe is not installed: its lists are written twice."""
    net = Path(__file__).parents[2] / "models" / "training" / "net.py"
    tree = ast.parse(net.read_text(encoding="utf-8"))
    lists = {
        node.targets[0].id: ast.literal_eval(node.value)
        for node in tree.body
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name)
    }
    for name in ("VALUES", "ACTIONS", "STANDINGS", "ASKED", "COUNTS", "LINKS", "BUCKETS", "RANKS"):
        assert lists[name] == getattr(network, name), name
