"""A part that was said and not understood: a person records it by hand."""

from __future__ import annotations

import re
from collections.abc import Sequence

from pydantic import Field

from notepipe.changing import changed_part
from notepipe.draft import Draft, Part, Quote
from notepipe.entries import Body
from notepipe.errors import BadAnswer, NotFound
from notepipe.reading.plausibility import cautions_of
from notepipe.register import NoteNow, Register
from notepipe.review import NEW, Confirm, Sitting, entries_for, refuse_unread
from notepipe.trade.cautions import CautionRow
from notepipe.transcript import Frozen

BY_HAND = "added by hand"


class Added(Frozen):
    """What a person says of a part that is in no draft."""

    name: str
    fields: dict[str, str] = Field(default_factory=dict)
    """As in a correction; see changing.py."""
    said: str | None = None
    """Words of the note that it rests on."""
    acknowledged: tuple[str, ...] = ()
    """Ids of the cautions the person has acknowledged."""


def note_to_add_to(register: Register, name: str | None) -> NoteNow:
    """The note called *name*, or the only one of the job. Raises NotFound."""
    if name is None and len(register.notes) != 1:
        files = ", ".join(note.file for note in register.notes)
        do = f"Give --from and one of: {files}" if files else f"Run: notepipe take {register.job} FILE"
        raise NotFound(f"job {register.job}", "from which note?", do)
    return register.note(name or register.notes[0].file)


def addition(sitting: Sitting, transcript: str, added: Added, cautions: Sequence[CautionRow]) -> Body:
    """The entry for a part of the note *sitting* that its draft does not have, under the next free tag.

    Raises BadAnswer for a field there is not, words the note does not have, or a caution not acknowledged.
    """
    part, _ = changed_part(sitting.file, Part(name=""), {"name": added.name, **added.fields})
    if added.said is not None:
        part = _resting_on(part, _words_of(sitting.file, transcript, added.said))
    part = part.model_copy(update={"cautions": cautions_of(part, cautions)})
    refuse_unread(part, added.acknowledged)
    # It is confirmed as the only part of a draft would be, but for its place in the note.
    table = sitting.model_copy(
        update={"draft": Draft(note=sitting.draft.note, parts=(part,)), "reviewed": frozenset()}
    )
    (body,) = entries_for(table, Confirm(record="p1", acknowledged=added.acknowledged, onto=NEW))
    number = 1 + sum(name.startswith("added-") for name in sitting.reviewed)
    return body.model_copy(update={"record": f"added-{number}", "how": BY_HAND})


def _resting_on(part: Part, words: str) -> Part:
    decisions = tuple(decision.model_copy(update={"quote": words}) for decision in part.decisions)
    return part.model_copy(update={"quotes": (Quote(text=words),), "decisions": decisions})


def _words_of(file: str, transcript: str, said: str) -> str:
    """*said* as it stands in the transcript. Raises BadAnswer where it does not."""
    pattern = r"\s+".join(re.escape(word) for word in said.split())
    found = re.search(pattern, transcript, re.IGNORECASE) if pattern else None
    if found is None:
        do = "Give words as they were heard, or leave --said out."
        raise BadAnswer(file, f"'{said}' is not in what was heard", do)
    return found[0]
