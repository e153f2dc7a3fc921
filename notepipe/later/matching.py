"""A new draft against the parts on file: which is spoken of again, and which is new. Pure.

The parts of a draft are matched together, each to one on file, so that the groups of a set (22 sound, 5
dented, 3 split) go to the groups of the set on file as a whole. Where two would fit about as well, or a name
is only nearly the same, there is a doubt: a wrong match is never silent.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

from notepipe.changing import decision_in_words
from notepipe.draft import Doubt, Draft, Part, Question
from notepipe.entries import Against
from notepipe.later.assigning import assigned
from notepipe.later.comparing import Difference, against
from notepipe.later.finding import as_it_was, where_said, with_found
from notepipe.later.fitting import MARGIN, Traits, fit, traits_of
from notepipe.later.likeness import SAME, Named, likeness, named, names_of, near
from notepipe.later.merging import Layer, Merged, laid_over
from notepipe.trade.alike import alike
from notepipe.transcript import Frozen

_MOST = 12
"""So many parts on file are weighed for one drafted part, the likeliest first."""
RULE = "register.match"


class OnFile(Frozen):
    """A part that stands, as far as matching must know it."""

    tag: str
    part: Part
    recording: str
    """The note that last spoke of it."""
    taken_by: str | None = None
    """The record of the note on the table that was laid on it already: no other one is, without a doubt."""
    split_from: str | None = None
    cautions_off: tuple[str, ...] = ()
    """Ids of the cautions a reviewer switched off for it."""
    earlier: Part | None = None
    """The part as it stood before that note, where it stood before."""


class Match(Frozen):
    """What a drafted part is against what is on file."""

    tag: str | None = None
    """The part on file it speaks of; None: it is new."""
    name: str | None = None
    """As that part is called on file."""
    against: Against = "new"
    differences: tuple[Difference, ...] = ()
    doubt: Doubt | None = None
    """Where another part would fit as well."""
    rivals: tuple[str, ...] = ()
    """The tags of those others."""
    split_from: str | None = None
    """The set on file that it is a group of, where the set is now told apart."""


class _Seen(NamedTuple):
    """What the drafted parts and their candidates look like."""

    drafted: tuple[Traits, ...]
    fits: tuple[dict[int, float], ...]
    """For each drafted part how well each part on file fits."""


class Around(NamedTuple):
    """What else is known when a part is held against the one on file."""

    transcript: str = ""
    """Of the note on the table."""
    transcripts: Mapping[str, str] = MappingProxyType({})
    """Of the earlier notes, by recording."""
    asked: tuple[Question, ...] = ()
    """The open questions on file."""
    settled: frozenset[str] = frozenset()
    """The records of the note that are confirmed or dropped."""


NOTHING_ELSE = Around()


def held_against(draft: Draft, on_file: Sequence[OnFile], around: Around = NOTHING_ELSE) -> tuple[Match, ...]:
    """A match for every part of *draft*, in its order. The order of *on_file* does not matter."""
    filed = sorted(on_file, key=lambda row: row.tag)
    if not filed or not draft.parts:
        return tuple(Match() for _ in draft.parts)
    index = _Index(filed)
    traits = tuple(traits_of(part) for part in draft.parts)
    seen = _Seen(traits, tuple(_weighed(one, index) for one in traits))
    table = _Table(_columns(seen, filed, around.settled), seen, filed, around)
    return tuple(_match(part, at, table) for at, part in enumerate(draft.parts))


def _columns(seen: _Seen, filed: Sequence[OnFile], settled: frozenset[str]) -> tuple[int | None, ...]:
    """The part on file of each drafted one: as a person said, and for the rest as fits best all told."""
    taken = {row.taken_by: column for column, row in enumerate(filed) if row.taken_by is not None}
    free = [
        {} if f"p{number}" in settled else {c: w for c, w in fits.items() if filed[c].taken_by is None}
        for number, fits in enumerate(seen.fits, start=1)
    ]
    chosen = assigned(free)
    return tuple(taken.get(f"p{number}", column) for number, column in enumerate(chosen, start=1))


def match_with(row: OnFile, part: Part, around: Around = NOTHING_ELSE) -> Match:
    """The match of *part* where it is the one on file in *row*."""
    merged = merged_with(row, Layer(part, ""), around)
    return Match(
        tag=row.tag,
        name=row.part.name,
        against=against(merged.differences),
        differences=merged.differences,
    )


def _quoted(difference: Difference, row: OnFile, around: Around) -> Difference:
    """With the sentences that say a value, where the words the part was picked out by do not."""
    if difference.field in ("condition", "decision") or difference.kind == "says the same":
        return difference
    before = around.transcripts.get(row.recording, "")
    was = difference.was and where_said(difference.was.split(";")[0], difference.was_said, before)
    now = difference.now and where_said(difference.now, difference.now_said, around.transcript)
    update = {**({"was_said": (was,)} if was else {}), **({"now_said": (now,)} if now else {})}
    return difference.model_copy(update=update) if update else difference


def group_of(row: OnFile, part: Part, around: Around = NOTHING_ELSE) -> Match:
    """The match of *part* where it is a further group of the set in *row*, told apart only now."""
    told = match_with(before_note(row), part, around)
    return told.model_copy(update={"tag": None, "split_from": row.tag})


def before_note(row: OnFile) -> OnFile:
    """The part as it stood before the note on the table: what was said of the whole set."""
    return row.model_copy(update={"part": row.earlier or row.part}) if row.taken_by else row


def merged_with(row: OnFile, drafted: Layer, around: Around = NOTHING_ELSE) -> Merged:
    """The whole part when *drafted* is laid over the one in *row*."""
    said = with_found(as_it_was(drafted.part, row.part), row.part, around.transcript)
    asked = [question.text for question in around.asked if is_about(question.about, row.part)]
    merged = laid_over(Layer(row.part, row.recording), Layer(said, drafted.recording), asked)
    differences = tuple(_quoted(difference, row, around) for difference in merged.differences)
    words = [
        quote.model_copy(update={"recording": drafted.recording})
        for difference, before in zip(differences, merged.differences, strict=True)
        if difference is not before
        for quote in difference.now_said
    ]
    # What a value rests on is kept with the part, though it was not picked out by those words.
    quotes = tuple(dict.fromkeys((*merged.part.quotes, *words)))
    return merged._replace(part=merged.part.model_copy(update={"quotes": quotes}), differences=differences)


def is_about(about: str, part: Part) -> bool:
    """Whether what a question is *about* may be *part*, by its name or what else it was called."""
    name = named(about)
    return name is not None and any(likeness(name, other) >= SAME for other in names_of(part))


def in_short(part: Part) -> str:
    """``pole (5, straighten: decided)``: enough to tell it from its neighbours."""
    told = (str(part.quantity or ""), part.metal or "", *map(decision_in_words, part.decisions[:1]))
    words = ", ".join(filter(None, told))
    return f"{part.name} ({words})" if words else part.name


class _Table(NamedTuple):
    """All the drafted parts and what each was given."""

    columns: tuple[int | None, ...]
    seen: _Seen
    filed: Sequence[OnFile]
    around: Around


class _Index:
    """The parts on file by the words that say what they are."""

    def __init__(self, filed: Sequence[OnFile]) -> None:
        self.filed = filed
        self.names = [names_of(row.part) for row in filed]
        self.by_head: dict[str, list[int]] = defaultdict(list)
        for at, names in enumerate(self.names):
            for head in {head for name in names for head in _heads(name)}:
                self.by_head[head].append(at)
        self._traits: dict[int, Traits] = {}

    def traits(self, at: int) -> Traits:
        if at not in self._traits:
            self._traits[at] = traits_of(before_note(self.filed[at]).part)
        return self._traits[at]

    def candidates(self, names: Iterable[Named]) -> list[int]:
        heads = {head for name in names for head in _heads(name)}
        found = {at for head in heads for at in self.by_head.get(head, ())}
        if not found:  # Nothing of that name: perhaps it was heard otherwise.
            alike = (head for head in self.by_head if any(_maybe(head, mine) for mine in heads))
            found = {at for head in alike for at in self.by_head[head]}
        return sorted(found)


def _heads(name: Named) -> tuple[str, ...]:
    """``rail`` too for ``handrail``: the ends a compound may have; and a name run together."""
    ends = tuple(name.head[at:] for at in range(3, len(name.head) - 3))
    together = tuple(word + name.head for word in name.words if len(name.words) == 2 and word != name.head)
    return (name.head, *ends, *together)


def _maybe(one: str, other: str) -> bool:
    return (one[:2] == other[:2] or one[-3:] == other[-3:]) and near(one, other)


def _weighed(drafted: Traits, index: _Index) -> dict[int, float]:
    found = {at: fit(drafted, index.traits(at)) for at in index.candidates(drafted.names)}
    best = sorted((at for at in found if found[at] > 0), key=lambda at: (-found[at], at))
    return {at: found[at] for at in best[:_MOST]}


def _match(part: Part, row: int, table: _Table) -> Match:
    column, filed = table.columns[row], table.filed
    if f"p{row + 1}" in table.around.settled:
        return Match() if column is None else match_with(filed[column], part, table.around)
    if column is None:
        return _unmatched(row, table)
    match = match_with(filed[column], part, table.around)
    if rivals := _rivals(row, table):
        why = f"could be {' or '.join(_tagged(filed[at]) for at in (column, *rivals))}"
        return _doubted(match, why, tuple(filed[at].tag for at in rivals))
    if (sharer := _sharer(row, table)) is not None:
        other = in_short(table.seen.drafted[sharer].part)
        return _doubted(match, f"{other} of this note could be {match.tag} as well")
    if table.seen.drafted[row].nearly(names_of(filed[column].part)):
        return _doubted(match, f"heard as '{part.name}', and on file is {match.tag} {match.name}: the same?")
    return _count_doubt(part, filed[column].part, match)


def _tagged(row: OnFile) -> str:
    return f"{row.tag} {in_short(row.part)}"


def _doubted(match: Match, why: str, rivals: tuple[str, ...] = ()) -> Match:
    return match.model_copy(update={"doubt": Doubt(field="match", why=why, rule=RULE), "rivals": rivals})


def _rivals(row: int, table: _Table) -> tuple[int, ...]:
    """Other parts on file that the row could have instead at next to no loss, all told."""
    mine, fits = table.columns[row], table.seen.fits
    assert mine is not None
    found = []
    for other, worth in fits[row].items():
        if other == mine:
            continue
        loss = fits[row][mine] - worth
        holder = next((r for r, c in enumerate(table.columns) if c == other), None)
        if holder is not None:
            # Where a person laid it there it stays, however it fits.
            kept = 2 * MARGIN if table.filed[other].taken_by else 0.0
            loss += max(kept, fits[holder].get(other, 0.0) - fits[holder].get(mine, 0.0))
        if loss < MARGIN:
            found.append(other)
    return tuple(found)


def _sharer(row: int, table: _Table) -> int | None:
    """Another drafted part, left without one on file, that would fit this one's nearly as well."""
    mine, fits = table.columns[row], table.seen.fits
    assert mine is not None
    for other, column in enumerate(table.columns):
        worth = 0.0 if f"p{other + 1}" in table.around.settled else fits[other].get(mine, 0.0)
        if column is None and worth > fits[row][mine] - MARGIN and not _one_set(row, other, table):
            return other
    return None


def _one_set(row: int, other: int, table: _Table) -> bool:
    """Whether two drafted parts are groups of one set: they are called the same."""
    drafted = table.seen.drafted
    return drafted[row].names[:1] == drafted[other].names[:1]


def _unmatched(row: int, table: _Table) -> Match:
    fits = table.seen.fits[row]
    if not fits:
        return Match()
    best = _best(fits)
    holder = next((r for r, c in enumerate(table.columns) if c == best), None)
    if holder is not None and _one_set(row, holder, table) and _one_record(table.filed[best], table):
        return _group_of(row, best, holder, table)
    told = _tagged(table.filed[best])
    nearly = table.seen.drafted[row].nearly(names_of(table.filed[best].part))
    why = f"{told} on file is much like it: the same?" if nearly else f"is it {told} too, or another one?"
    return _doubted(Match(), why, (table.filed[best].tag,))


def _best(fits: Mapping[int, float]) -> int:
    return max(fits, key=lambda at: (fits[at], -at))


def _one_record(on_file: OnFile, table: _Table) -> bool:
    """Whether the set on file is one record, so that this note is the first to tell its groups apart."""
    mine, tags = names_of(on_file.part)[:1], {on_file.tag, on_file.split_from} - {None}
    groups = (
        row for row in table.filed if names_of(row.part)[:1] == mine or {row.tag, row.split_from} & tags
    )
    return len(list(groups)) == 1


def _group_of(row: int, best: int, holder: int, table: _Table) -> Match:
    """A further group of the set on file, with a doubt where the groups don't add up to it."""
    fits, on_file = table.seen.fits, table.filed[best]
    rows = [
        r for r, column in enumerate(table.columns)
        if r == holder
        or (column is None and fits[r] and _best(fits[r]) == best and _one_set(r, holder, table))
    ]  # fmt: skip
    counts = [table.seen.drafted[r].part.quantity for r in rows]
    match = group_of(on_file, table.seen.drafted[row].part, table.around)
    whole = before_note(on_file).part.quantity
    if None in (whole, *counts) or sum(count or 0 for count in counts) == whole:
        return match
    added = " + ".join(map(str, counts))
    return _doubted(match, f"{added} are told apart, and {_tagged(on_file)} is on file: groups of it?")


def _count_doubt(part: Part, on_file: Part, match: Match) -> Match:
    """One of a set, or some of it, may be meant where fewer are spoken of than are on file."""
    was, now = on_file.quantity, part.quantity
    if was is None or now is None or now >= was or not _some_meant(part):
        return match
    why = f"{was} are on file as {match.tag}: are there {now} now, or are {now} of them meant?"
    return _doubted(match, why)


def _some_meant(part: Part) -> bool:
    """Whether the words may speak of some of a set, not of all of it."""
    words = f" {' '.join(part.heard_as).casefold()} "
    return part.quantity == 1 or any(f" {some} " in words for some in alike().some_of)
