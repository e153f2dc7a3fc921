"""Two tags that turn out to be one part, or one set; and a set on file that turns out to be several. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from notepipe.entries import Body, Change, PartConfirmed, PartsJoined
from notepipe.errors import BadAnswer
from notepipe.later.comparing import against
from notepipe.later.merging import Layer, laid_over
from notepipe.register import PartNow, Register
from notepipe.review import refuse_unread


def joined(
    register: Register, tag: str, into: str, reason: str, acknowledged: tuple[str, ...] = ()
) -> tuple[Body, ...]:
    """The entries that join the part *tag* with *into*, which goes on as the whole of both.

    What was said last takes the place of what was said before, but for the count, which stays as *into*
    has it where it has one. Raises NotFound for no such part, BadAnswer for one part alone, a set and its
    own group, no reason, or a caution not acknowledged.
    """
    gone, stays = register.part(tag), register.part(into)
    if tag == into:
        raise BadAnswer(f"part {tag}", "is one part already", "Give two tags.")
    if not reason.strip():
        raise BadAnswer(f"part {tag}", "joined without a reason", "Say why in a few words: --reason")
    earlier, later = sorted((gone, stays), key=lambda now: (now.at, now.tag))
    asked = [row.question.text for row in register.open_questions]
    merged = laid_over(_layer(earlier), _layer(later), asked)
    quantity = stays.part.quantity or gone.part.quantity
    known = {decision.action for decision in merged.part.decisions}
    others = [decision for decision in earlier.part.decisions if decision.action not in known]
    decisions = (*merged.part.decisions, *others)  # Of two at once none takes the place of the other.
    update = {"name": stays.part.name, "quantity": quantity, "decisions": decisions}
    part = merged.part.model_copy(update=update)
    off = {*stays.cautions_off, *gone.cautions_off}
    part = part.model_copy(update={"cautions": tuple(c for c in part.cautions if c.id not in off)})
    refuse_unread(part, acknowledged)
    told = laid_over(_layer(stays), Layer(part, stays.recording), asked)
    body = PartConfirmed(
        recording=stays.recording,
        record=stays.record,
        tag=into,
        part=part,
        changes=told.changes,
        acknowledged=tuple(c.id for c in part.cautions if c.id in acknowledged),
        split_from=None if stays.split_from == tag else stays.split_from,
        against=against(told.differences),
    )
    return (PartsJoined(tag=tag, into=into, reason=reason.strip()), body)


def parted(
    register: Register, tag: str, counts: Sequence[int], acknowledged: tuple[str, ...] = ()
) -> tuple[Body, ...]:
    """The entries that split the set *tag* into groups of so many; the first keeps the tag.

    Raises NotFound for no such part, BadAnswer for one group alone, counts that do not add up to a count on
    file, or a caution not acknowledged.
    """
    now = register.part(tag)
    if len(counts) < 2 or min(counts) < 1:
        raise BadAnswer(
            f"part {tag}", "a split needs two groups or more", "Give the counts, for example: 4 2"
        )
    if now.part.quantity not in (None, sum(counts)):
        what = f"{' + '.join(map(str, counts))} is {sum(counts)}, and {now.part.quantity} are on file"
        do = f"Put the count right first: notepipe correct {register.job} {tag} quantity={sum(counts)}"
        raise BadAnswer(f"part {tag}", what, do)
    refuse_unread(now.part, acknowledged)
    was = None if now.part.quantity is None else str(now.part.quantity)
    return tuple(
        PartConfirmed(
            recording=now.recording,
            record=now.record,
            tag=f"{register.part_tags + position:03d}" if position else tag,
            part=now.part.model_copy(update={"quantity": count}),
            changes=(Change(field="quantity", was=was, now=str(count)),),
            acknowledged=tuple(c.id for c in now.part.cautions if c.id in acknowledged),
            split_from=tag if position else now.split_from,
        )
        for position, count in enumerate(counts)
    )


def _layer(now: PartNow) -> Layer:
    return Layer(now.part, now.recording)
