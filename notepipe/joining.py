"""Two tags that turn out to be one part, or one set: one goes on, the other stands no longer. Pure."""

from __future__ import annotations

from notepipe.comparing import against
from notepipe.entries import Body, PartConfirmed, PartsJoined
from notepipe.errors import BadAnswer
from notepipe.merging import Layer, laid_over
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


def _layer(now: PartNow) -> Layer:
    return Layer(now.part, now.recording)
