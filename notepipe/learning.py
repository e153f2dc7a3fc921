"""What people put right, as words for the shop's own pack: names, nicknames, vendors, values, mishearings.

Pure: corrections in, rows of a pack out. Nothing is taken over but by a person (``accepting.py``).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain
from typing import Literal, NamedTuple

from notepipe.draft import Part, Question
from notepipe.entries import Change, Entry, NoteTaken, PartConfirmed, QuestionConfirmed
from notepipe.reading.patterns import forms
from notepipe.reading.terms import Lexicon, singular
from notepipe.trade.hearing_words import sounds_alike

ALIKE = 0.6
"""Two verbs as alike as this, letter for letter, may be taken for each other; else a mind was changed."""
TermKind = Literal["part", "metal", "finish", "trade"]
_FIELDS: Mapping[str, TermKind] = {
    "name": "part",
    "about": "part",
    "by": "trade",
    "metal": "metal",
    "to metal": "metal",
    "finish": "finish",
    "to finish": "finish",
}


class Correction(NamedTuple):
    """One field that a person put right, and the words it had been heard in."""

    job: str
    tag: str
    who: str
    on: str
    """ISO 8601."""
    field: str
    was: str | None
    now: str
    quote: str
    start_s: float | None
    file: str


class Word(NamedTuple):
    """What could be learnt of one correction: a term's *phrases* that mean *value*, or a mishearing."""

    kind: TermKind | Literal["mishearing"]
    value: str
    """The draft's word; of a mishearing what was said."""
    phrase: str
    """As it is spoken or written; of a mishearing what is heard."""
    wrong: str = ""


class Offer(NamedTuple):
    """A word for the shop's pack and the corrections it rests on."""

    kind: TermKind | Literal["mishearing"]
    value: str
    phrases: tuple[str, ...]
    wrong: str
    rests_on: tuple[Correction, ...]


def corrections(entries: Sequence[Entry]) -> Iterator[Correction]:
    """Every field put right in review or after, of one job, in the order it was done."""
    notes = {e.body.recording: e.body for e in entries if isinstance(e.body, NoteTaken)}
    for entry in entries:
        body = entry.body
        if isinstance(body, PartConfirmed | QuestionConfirmed):
            for change in _changes(body):
                if change.now:
                    yield _correction(entry, body, change, notes.get(body.recording))


Meaning = tuple[str, str, str]
"""Kind, value and phrase (in small letters) of a word."""


def offers(
    told: Iterable[Correction], lexicon: Lexicon, refused: frozenset[Meaning] = frozenset()
) -> tuple[Offer, ...]:
    """The words that *told* would teach the packs of *lexicon*, the most often put right first.

    What the packs know already and what was *refused* is not offered.
    """
    found: dict[tuple[str, str], list[tuple[Word, Correction]]] = {}
    for one in told:
        for word in _words(one, lexicon):
            if (word.kind, word.value, word.phrase.casefold()) in refused:
                continue
            found.setdefault((word.kind, _key(word)), []).append((word, one))
    made = [_offer([word for word, _ in rows], [one for _, one in rows]) for rows in found.values()]
    return tuple(sorted(made, key=lambda offer: -len(offer.rests_on)))


def _key(word: Word) -> str:
    return f"{word.value}>{word.phrase}" if word.kind == "mishearing" else word.value


def _offer(words: list[Word], rests_on: list[Correction]) -> Offer:
    phrases = {word.phrase.casefold(): word.phrase for word in words}
    first = words[0]
    return Offer(
        first.kind, first.value, tuple(phrases.values()), first.wrong, tuple(dict.fromkeys(rests_on))
    )


def _changes(body: PartConfirmed | QuestionConfirmed) -> tuple[Change, ...]:
    if isinstance(body, QuestionConfirmed):
        return body.changes
    if body.how == "added by hand":
        return (Change(field="name", was=None, now=body.part.name),)
    # Laid on a part on file, *changes* are what the note brought; what the person put right stands apart.
    return body.corrected if body.against not in (None, "new") else body.changes


def _correction(
    entry: Entry, body: PartConfirmed | QuestionConfirmed, change: Change, note: NoteTaken | None
) -> Correction:
    record = _drafted(note, body.record) or (body.part if isinstance(body, PartConfirmed) else body.question)
    quote, start_s = _said(record, change)
    return Correction(
        job=entry.job,
        tag=body.tag,
        who=entry.who,
        on=entry.at[:10],
        field=change.field,
        was=change.was,
        now=change.now or "",
        quote=quote,
        start_s=start_s,
        file=note.file if note else "",
    )


def _drafted(note: NoteTaken | None, record: str) -> Part | Question | None:
    found = re.fullmatch(r"([pq])(\d+)", record)
    if note is None or found is None:
        return None
    rows: Sequence[Part | Question] = note.draft.parts if found[1] == "p" else note.draft.questions
    at = int(found[2])
    return rows[at - 1] if at <= len(rows) else None


def _said(record: Part | Question, change: Change) -> tuple[str, float | None]:
    """The words the field was heard in, and when."""
    if isinstance(record, Question):
        return record.quote, record.start_s
    numbered = re.match(r"decision (\d+)", change.field)
    if numbered and int(numbered[1]) <= len(record.decisions):
        decision = record.decisions[int(numbered[1]) - 1]
        return decision.quote, decision.start_s
    said = [(quote.text, quote.start_s) for quote in record.quotes]
    said += [(decision.quote, decision.start_s) for decision in record.decisions]
    holding = [one for one in said if change.was and change.was.casefold() in one[0].casefold()]
    return next(chain(holding, said, [("", None)]))


def _words(one: Correction, lexicon: Lexicon) -> Iterator[Word]:
    field = re.sub(r"^decision \d+ ?", "", one.field)
    if field == "action":
        yield from _misheard_action(one, lexicon)
    elif field in _FIELDS:
        yield from _named(one, _FIELDS[field], lexicon)


def _named(one: Correction, kind: TermKind, lexicon: Lexicon) -> Iterator[Word]:
    """A word the packs don't know, and the words it was heard as, where those mean nothing else to them."""
    known = _known(kind, lexicon)
    if _plain(one.now) not in known:
        yield Word(kind, one.now, one.now)
    if not one.was or _plain(one.was) == _plain(one.now):
        return
    if _plain(one.was) not in known:  # Else somebody spoke of another one.
        yield Word(kind, one.now, one.was)


def _known(kind: TermKind, lexicon: Lexicon) -> frozenset[str]:
    """Whatever the packs call a *kind*, in the singular, and the draft's words for it."""
    terms = [term for term in lexicon.trade.terms if term.kind == kind]
    said = (phrase for term in terms for phrase in (*term.phrases, *filter(None, (term.value,))))
    return frozenset(map(_plain, said))


def _plain(text: str) -> str:
    """In small letters, without an article in front, the last word in the singular."""
    words = re.sub(r"^(the|a|an|that|this|those|these) ", "", " ".join(text.casefold().split())).split(" ")
    return " ".join([*words[:-1], singular(words[-1])])


def _misheard_action(one: Correction, lexicon: Lexicon) -> Iterator[Word]:
    """The verb that was heard, and the one of the right action that sounds most like it, in the same form."""
    for word in re.findall(r"[a-z'-]+", one.quote.casefold()):
        row = lexicon.verbs.get(word)
        if row is None or row[0].action != one.was:
            continue
        known = any(_stem(one.heard) == _stem(word) for one in lexicon.trade.mishearings)
        said = [form for verb in _verbs(one.now, lexicon) if (form := _in_form(verb, row[1]))]
        meant = max(said, key=lambda form: sounds_alike(form, word), default="")
        if not known and sounds_alike(meant, word) >= ALIKE:
            wrong = f"Heard as {one.was} where {one.now} was meant"
            yield Word("mishearing", meant, word, wrong)


def _stem(word: str) -> str:
    return re.sub(r"(ing|ed|es|s|e)$", "", word.casefold())


def _verbs(action: str, lexicon: Lexicon) -> Iterator[str]:
    yield from (verb for row in lexicon.trade.actions if row.action == action for verb in row.verbs)


def _in_form(verb: str, form: str) -> str | None:
    found = forms(verb)
    by_form = {"base": found.base, "third": found.third, "ing": found.ing[0], "ed": found.ed[0]}
    return by_form.get(form)
