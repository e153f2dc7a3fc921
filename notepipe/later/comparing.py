"""What a later note says of one part against what is on file: field by field, was and now, both quotes. Pure.

What a note does not speak of stays as it is on file; it is no difference.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Literal

from notepipe.changing import decision_in_words, size_in_words
from notepipe.draft import Decision, Part, Quote, Size
from notepipe.entries import Against, Change
from notepipe.later.likeness import telling_words
from notepipe.later.pairing import Kind, Pair, paired
from notepipe.trade.plurals import fold
from notepipe.transcript import Frozen

_SAME_MM, _SAME_SHARE = 0.02, 1e-3
_ALTERNATIVES = 0.1
"""Two sizes within a tenth of each other are two readings of one: 5/16 inch or 8 mm."""

Field = Literal["quantity", "metal", "finish", "location", "condition", "sizes", "decision"]


class Difference(Frozen):
    """One field as it was and as it is now, in words, with the quotes they rest on."""

    field: Field
    kind: Kind
    was: str | None = None
    now: str | None = None
    was_said: tuple[Quote, ...] = ()
    now_said: tuple[Quote, ...] = ()
    was_decision: Decision | None = None
    now_decision: Decision | None = None
    """As it stands from now on."""
    was_sizes: tuple[Size, ...] = ()
    now_sizes: tuple[Size, ...] = ()

    @property
    def change(self) -> Change:
        """The same as an entry keeps it."""
        return Change(field=self.field, was=self.was, now=self.now)


def compared(on_file: Part, drafted: Part, asked: Sequence[str] = ()) -> tuple[Difference, ...]:
    """What *drafted* says against *on_file*; *asked* are the texts of the open questions about it."""
    return (
        *_values(on_file, drafted),
        *_condition(on_file, drafted),
        *_sizes(on_file, drafted, asked),
        *(_of_pair(pair) for pair in paired(on_file.decisions, drafted.decisions)),
    )


def against(differences: Sequence[Difference]) -> Against:
    """The whole of a record in one word; where it changes one thing and withdraws another it changes."""
    kinds = {difference.kind for difference in differences} - {"says the same"}
    if "withdraws" in kinds and kinds <= {"withdraws", "adds"}:
        return "withdraws"
    if kinds & {"changes", "withdraws"}:
        return "changes"
    return "adds" if kinds else "says the same"


def saying(part: Part, value: str) -> tuple[Quote, ...]:
    """The passage of *part* that says *value*; else the passages it is named by."""
    wanted = {fold(word) for word in re.findall("[a-z0-9/]+", value.casefold())}
    quotes = [*part.quotes, *(_quote(decision) for decision in part.decisions if decision.quote)]
    for quote in quotes:
        if wanted <= {fold(word) for word in re.findall("[a-z0-9/]+", quote.text.casefold())}:
            return (quote,)
    return part.quotes[:3] or tuple(Quote(text=words) for words in part.heard_as[:3])


def same_size(one: Size, other: Size) -> bool:
    """Whether two sizes are of one length, or in the same words where their unit is none."""
    if one.mm is None or other.mm is None:
        return size_in_words(one).casefold() == size_in_words(other).casefold()
    return abs(one.mm - other.mm) <= max(_SAME_MM, _SAME_SHARE * other.mm)


def _values(on_file: Part, drafted: Part) -> Iterator[Difference]:
    fields: tuple[Field, ...] = ("quantity", "metal", "finish", "location")
    for field in fields:
        was, now = getattr(on_file, field), getattr(drafted, field)
        if now is None:
            continue
        kind: Kind = "adds" if was is None else "says the same" if _alike(was, now) else "changes"
        yield Difference(
            field=field,
            kind=kind,
            was=None if was is None else str(was),
            now=str(was if kind == "says the same" else now),
            was_said=() if was is None else saying(on_file, str(was)),
            now_said=saying(drafted, str(now)),
        )


def _alike(was: object, now: object) -> bool:
    return was == now or str(was).casefold() == str(now).casefold()


def _condition(on_file: Part, drafted: Part) -> Iterator[Difference]:
    more = news(on_file.condition, drafted.condition)
    if more:
        text = "; ".join((*on_file.condition, *more))
        was = "; ".join(on_file.condition) or None
        yield Difference(field="condition", kind="adds", was=was, now=text, now_said=saying(drafted, more[0]))


def news(known: Sequence[str], said: Sequence[str]) -> tuple[str, ...]:
    """The conditions of *said* that say more than *known*: "no noses" is no news after "lost their noses"."""
    words = telling_words(known)
    return tuple(
        piece
        for piece in said
        if _denied(piece) != any(map(_denied, known)) or not (telling_words([piece]) or {piece}) <= words
        if _plain(piece) not in map(_plain, known)
    )


def _denied(text: str) -> bool:
    return bool(re.search(r"\b(?:not|never)\b|n't\b", text.casefold().replace("’", "'")))


def _plain(text: str) -> str:
    return " ".join(fold(word) for word in re.findall(r"[\w/]+", text.casefold()))


def _sizes(on_file: Part, drafted: Part, asked: Sequence[str]) -> Iterator[Difference]:
    said = list(dict.fromkeys(drafted.sizes))
    for size in said:
        same = [old for old in on_file.sizes if same_size(size, old)]
        gone = [
            old
            for old in on_file.sizes
            if not any(same_size(new, old) for new in said) and _takes_place(size, old, same, asked)
        ]
        # A size that only says which of two readings is right changes what is on file.
        kind: Kind = "changes" if gone else "says the same" if same else "adds"
        was = (*gone, *same) if gone else tuple(same)
        yield Difference(
            field="sizes",
            kind=kind,
            was="; ".join(size_in_words(old) for old in on_file.sizes if old in was) or None,
            now=size_in_words(size),
            was_said=saying(on_file, was[0].value) if was else (),
            now_said=saying(drafted, size.value),
            was_sizes=tuple(gone),
            now_sizes=() if same else (size,),
        )


def _takes_place(size: Size, old: Size, same: Sequence[Size], asked: Sequence[str]) -> bool:
    """Whether *old* no longer holds when *size* is said."""
    if size.feature and old.feature and _plain(size.feature) != _plain(old.feature):
        return False
    if _either_or(size, old, asked):
        return True
    close = size.mm is not None and old.mm is not None and abs(size.mm - old.mm) <= _ALTERNATIVES * old.mm
    return close or (not same and size.feature is not None and size.feature == old.feature)


def _either_or(size: Size, old: Size, asked: Sequence[str]) -> bool:
    return any(
        re.search(rf"(?<![\w/]){re.escape(one)}(?![\w/]).* or .*(?<![\w/]){re.escape(two)}(?![\w/])", text)
        for text in asked
        for one, two in ((size.value, old.value), (old.value, size.value))
    )


def _of_pair(pair: Pair) -> Difference:
    return Difference(
        field="decision",
        kind=pair.kind,
        was=decision_in_words(pair.was) if pair.was else None,
        now=decision_in_words(pair.now) if pair.now else None,
        was_said=(_quote(pair.was),) if pair.was and pair.was.quote else (),
        now_said=(_quote(pair.said),) if pair.said and pair.said.quote else (),
        was_decision=pair.was,
        now_decision=pair.now,
    )


def _quote(decision: Decision) -> Quote:
    return Quote(
        text=decision.quote,
        start_s=decision.start_s,
        end_s=decision.end_s,
        recording=decision.recording,
    )
