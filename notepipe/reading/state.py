"""In what state a part is and where it sits, copied as said; the same for both readers."""

from __future__ import annotations

from collections.abc import Sequence

from notepipe.reading.marks import Group, Marks, Span, Value
from notepipe.reading.terms import Found
from notepipe.reading.tokens import Token

PLACING = {
    "off",
    "on",
    "over",
    "above",
    "below",
    "under",
    "behind",
    "beside",
    "round",
    "inside",
    "down",
    "in",
}
GOES_ON = {"at", "on", "in", "through", "along", "across", "round", "all", "down", "to", "near", "by"}
MOST = 6
"""Words of a place, or of what follows a state ("cracked through the lug")."""


def add_state(marks: Marks, tokens: Sequence[Token], terms: Sequence[Found]) -> Marks:
    """*marks* with conditions and locations on the groups they were said of."""
    owners = _owners(marks.groups)
    for term in terms:
        if term.kind == "condition":
            group = _owner(owners, tokens, term.first)
            if group is not None:
                span = Span(term.first, _on(tokens, term.last))
                group.values.append(Value("condition", _words(tokens, span), span, term.rule))
    for group in marks.groups:
        _place(group, tokens, terms)
    return marks


def _owners(groups: Sequence[Group]) -> list[tuple[int, Group]]:
    """Where each group is spoken of, in order."""
    return sorted(
        ((a.first, g) for g in groups for a in (g.anchors[-1:] if g.sets else g.anchors)), key=lambda o: o[0]
    )


def _owner(owners: Sequence[tuple[int, Group]], tokens: Sequence[Token], i: int) -> Group | None:
    """The group spoken of last before token *i* in its sentence, or in the one before."""
    before = [(at, g) for at, g in owners if at <= i and tokens[i].sentence - tokens[at].sentence <= 1]
    return before[-1][1] if before else None


def _on(tokens: Sequence[Token], last: int) -> int:
    """The end of "cracked through the lug": the place that follows a state belongs to it."""
    if last + 1 >= len(tokens) or tokens[last + 1].norm not in GOES_ON:
        return last
    end = last
    for token in tokens[last + 1 : last + 1 + MOST]:
        if not token.is_word or token.norm in ("and", "but", "so", "which"):
            break
        end = token.i
        if token.tag in ("NN", "NNS") and (
            end + 1 >= len(tokens) or tokens[end + 1].tag not in ("NN", "NNS")
        ):
            return end
    return last


def _place(group: Group, tokens: Sequence[Token], terms: Sequence[Found]) -> None:
    """ "Mirrors off the rounding boards": the place said right after the name."""
    anchor = group.anchors[0] if group.anchors else None
    if anchor is None:
        return
    first = next(
        (i for i in range(anchor.first, anchor.last + 2) if i < len(tokens) and tokens[i].norm in PLACING),
        None,
    )
    if (
        first is None
        or first + 1 >= len(tokens)
        or tokens[first + 1].norm not in ("the", "its", "each", "this")
    ):
        return
    last = first + 1
    while last + 1 < len(tokens) and last - first < MOST and tokens[last + 1].tag in ("NN", "NNS", "JJ"):
        last += 1
    if tokens[last].tag not in ("NN", "NNS") or any(t.kind == "not-a-part" and t.last == last for t in terms):
        return
    span = Span(first, last)
    group.values.append(Value("location", _words(tokens, span), span, "location.after"))


def _words(tokens: Sequence[Token], span: Span) -> str:
    return (
        " ".join(t.text for t in tokens[span.first : span.last + 1])
        .replace(" \u2019", "\u2019")
        .replace(" '", "'")
        .lower()
    )
