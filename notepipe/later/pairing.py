"""Which decision of a later note speaks of which decision on file, and what it does to it. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Literal, NamedTuple

from notepipe.draft import Decision
from notepipe.later.likeness import telling_words
from notepipe.trade.alike import alike
from notepipe.trade.plurals import fold

Kind = Literal["says the same", "adds", "changes", "withdraws"]
ALIVE = ("decided", "considering", "asking")
DETAILS = ("by", "to_finish", "to_metal")


class Pair(NamedTuple):
    """A decision on file and the one said now; *was* is None for a new one, *now* for one that falls away."""

    kind: Kind
    was: Decision | None
    now: Decision | None
    """As it stands from now on, with what was not said again kept from the one on file."""
    said: Decision | None
    """As it was drafted."""


def paired(on_file: Sequence[Decision], drafted: Sequence[Decision]) -> tuple[Pair, ...]:
    """A pair for every drafted decision, then those on file that a drafted one gives up; others stand."""
    left, new = list(on_file), list(drafted)
    found: dict[int, Decision] = {}
    for fits in (_same, _same_work, _same_words):
        for at, said in enumerate(new):
            if at not in found and (was := _first(left, said, fits)) is not None:
                found[at] = was
                left.remove(was)
    pairs: list[Pair] = []
    for at, said in enumerate(new):
        if at in found:
            pairs.append(_pair(found[at], said))
        else:
            pairs += _unpaired(left, said)
    return tuple(pairs)


def given_up(decision: Decision) -> bool:
    """Whether it says that something is not to be done."""
    return decision.standing == "ruled-out"


def _first(
    left: Sequence[Decision], said: Decision, fits: Callable[[Decision, Decision], bool]
) -> Decision | None:
    """Of those that fit the one with as many of the same details as can be."""
    fitting = [was for was in left if fits(was, said)]
    return max(fitting, key=lambda was: _agreement(was, said), default=None)


def _agreement(was: Decision, said: Decision) -> int:
    return sum(getattr(was, name) == getattr(said, name) for name in (*DETAILS, "standing"))


def _same(was: Decision, said: Decision) -> bool:
    return was.action == said.action


def _same_work(was: Decision, said: Decision) -> bool:
    """Making, replacing and buying: a new one takes the place of the old, however it is said."""
    return {was.action, said.action} <= alike().new_one


def _same_words(was: Decision, said: Decision) -> bool:
    """Two actions that were read from one word: "re-silvering", once as plating and once as repair."""
    if not any({was.action, said.action} <= actions for actions in alike().either_way):
        return False
    return any(_long_verb(word) for word in telling_words([was.quote]) & telling_words([said.quote]))


def _long_verb(word: str) -> bool:
    return len(word) > 5 and word.endswith(("ing", "ed", "en"))


def _pair(was: Decision, said: Decision) -> Pair:
    if was.action == "source" and said.action == "source" and said.standing in ("done", "ruled-out"):
        same = was.standing == said.standing
        return Pair("says the same" if same else "withdraws", was, said, said)
    now = _laid_over(was, said)
    if given_up(said) and was.standing in ALIVE:
        return Pair("withdraws", was, now, said)
    if was.standing != now.standing:
        return Pair("changes", was, now, said)
    changed = [name for name in DETAILS if getattr(was, name) != getattr(now, name)]
    if not changed:
        return Pair("says the same", was, now, said)
    known = any(getattr(was, name) is not None for name in changed)
    return Pair("changes" if known else "adds", was, now, said)


def _laid_over(was: Decision, said: Decision) -> Decision:
    """*said*, with the details of *was* where none is said, or where less is said than is on file."""
    kept = {name: getattr(was, name) for name in DETAILS if _no_more(getattr(was, name), getattr(said, name))}
    if given_up(said) and not given_up(was):  # Whoever would have done it is no longer asked.
        kept = {name: value for name, value in kept.items() if getattr(said, name)}
    # Another word for the same plan: the one on file stays, unless more is said of it now.
    if was.action != said.action and was.standing == said.standing and len(kept) == len(DETAILS):
        kept["action"] = was.action
    return said.model_copy(update=kept)


def _no_more(was: str | None, said: str | None) -> bool:
    if was is None or said is None:
        return said is None
    return {fold(word) for word in said.split()} <= {fold(word) for word in was.split()}


def _unpaired(left: list[Decision], said: Decision) -> Iterator[Pair]:
    """Leaving takes the place of the plans, a plan the place of leaving; others stand beside."""
    leaves = said.action == "leave"
    displaced = [was for was in left if was.standing in ALIVE and _displaces(was, said)]
    if given_up(said) or not displaced:
        yield Pair("adds", None, said, said)
        return
    for was in displaced:
        left.remove(was)
    yield Pair("changes", displaced[0], said, said)
    for was in displaced[1:] if leaves else ():
        yield Pair("withdraws", was, None, said)


def _displaces(was: Decision, said: Decision) -> bool:
    if said.action == "leave":
        return was.action != "leave"
    return was.action == "leave" and said.action not in ("source", "clean")
