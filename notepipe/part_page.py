"""All that stands of one part, as plain lines for a person of the shop; prices are in it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date

from notepipe.errands import ConditionNoted
from notepipe.months.asking import is_about
from notepipe.months.originals import leaves_original, unaccounted, whereabouts_now
from notepipe.months.outside import LineNow, Outside
from notepipe.months.prices import price_line
from notepipe.papers.parts_out import open_in_words
from notepipe.register import PartNow, PromiseNow, QuestionNow, Register
from notepipe.showing import count, record_lines, wrapped

InWords = Callable[[date], str]


def part_lines(register: Register, tag: str, in_words: InWords) -> Iterator[str]:
    """The page of the part under *tag*; days are told by *in_words*. Raises NotFound."""
    now = register.part(tag)
    lines = Outside(register).lines(now)
    yield from record_lines(now.tag, now.part, in_file=_in_file(register, now))
    yield from wrapped(_from_where(register, now), "    ")
    yield from _section("Condition", _conditions(now, in_words))
    yield from _section("Where it is", _where(lines, now, in_words))
    yield from _section("Sheets", (_sheet(line, in_words) for line in lines))
    yield from _section("Promises", _promises(register, now, lines, in_words))
    yield from _section("Questions", (_question(q) for q in register.questions if is_about(q, now)))
    yield from _section("Prices, for the shop's eyes", (price_line(price) for price in now.prices))
    if now.pictures:
        yield from _section("Pictures", [count(len(now.pictures), "picture")])


def _section(title: str, lines: Iterator[str] | list[str]) -> Iterator[str]:
    told = list(lines)
    if told:
        yield ""
        yield title
        yield from wrapped(told, "    ")


def _in_file(register: Register, now: PartNow) -> Callable[[str | None], str]:
    """The note that words of the part were said in, where there are several."""
    several = len({*now.said_in, now.recording}) > 1
    files = {note.recording: note.file for note in register.notes} if several else {}
    return lambda recording: files.get(recording or now.recording, "")


def _from_where(register: Register, now: PartNow) -> Iterator[str]:
    files = {note.recording: note.file for note in register.notes}
    heard = dict.fromkeys((*now.said_in, now.recording))
    names = ", ".join(files.get(recording, recording[:12]) for recording in heard)
    yield f"confirmed by {now.by} on {now.at[:10]}, from {names}"
    if now.split_from:
        yield f"split from {now.split_from}"
    if now.joined:
        yield f"joined with {', '.join(now.joined)}"


def _conditions(now: PartNow, in_words: InWords) -> Iterator[str]:
    """What the notes say, and how it was found at each moment, side by side in the order of the days."""
    rows = [(_moment(one), f"{_day(one.on, in_words)}: {'; '.join(one.condition)}") for one in _by_day(now)]
    if now.part.condition:
        rows.insert(0, ("in the notes", "; ".join(now.part.condition)))
    wide = max((len(moment) for moment, _ in rows), default=0)
    yield from (f"{moment:<{wide}}  {told}" for moment, told in rows)


def _by_day(now: PartNow) -> list[ConditionNoted]:
    return sorted(now.conditions, key=lambda one: one.on)


def _moment(one: ConditionNoted) -> str:
    return f"back from {one.by_whom}" if one.moment == "back" and one.by_whom else one.moment


def _where(lines: tuple[LineNow, ...], now: PartNow, in_words: InWords) -> Iterator[str]:
    out = sum(line.missing for line in lines)
    for line in lines:
        if line.missing:
            sent = line.sheet.sent
            since = f"since {_day(sent.on, in_words)}"
            yield f"{line.missing} with {sent.vendor} ({sent.trade}), {since}, sheet {sent.sheet}"
    if lines and now.part.quantity is not None:
        count = now.part.quantity
        yield f"{max(0, count - out - _lost(lines, count))} of {count} here"
    elif lines and not out:
        yield "here"
    yield from _originals(now)


def _lost(lines: tuple[LineNow, ...], counted: int) -> int:
    """The pieces that will not come back, of the *counted*; those that a later count left out never went."""
    return sum(max(0, line.not_coming - max(0, line.went - counted)) for line in lines)


def _originals(now: PartNow) -> Iterator[str]:
    for noted in now.whereabouts:
        some = "the original" if noted.count is None else f"{noted.count} of the originals"
        yield f"{some}: {noted.where}{f', {noted.remark}' if noted.remark else ''}"
    places = whereabouts_now(now)
    if len(now.whereabouts) > 1 and None not in places.values():
        yield f"of the originals now: {', '.join(f'{number} {where}' for where, number in places.items())}"
    left = unaccounted(now)
    if leaves_original(now) and left != 0:
        what = "the original" if left in (None, 1) else f"{left} originals"
        yield f"nobody has said yet where {what} {'is' if left in (None, 1) else 'are'}"


def _sheet(line: LineNow, in_words: InWords) -> str:
    sent = line.sheet.sent
    went = f"{sent.sheet}, line {line.line.line}: {line.went} to {sent.vendor} on {_day(sent.on, in_words)}"
    wanted = f", to be {line.line.wanted}" if line.line.wanted else ""
    back = f"; {line.back} back" if line.back else "; nothing back yet"
    told = [open_in_words(line)] if line.remarked else []
    told += [f"settled: {how}" for number, how in line.sheet.settled if number == line.line.line]
    if line.not_coming:
        told.append(f"{line.not_coming} not coming back")
    return f"{went}{wanted}{back}{''.join(f'; {text}' for text in told)}"


def _promises(
    register: Register, now: PartNow, lines: tuple[LineNow, ...], in_words: InWords
) -> Iterator[str]:
    sheets = {line.sheet.sent.sheet for line in lines}
    for promise in register.promises:
        if {now.tag, *now.joined} & {*promise.noted.tags} or promise.noted.sheet in sheets:
            yield _promise(promise, in_words)


def _promise(promise: PromiseNow, in_words: InWords) -> str:
    noted = promise.noted
    became = f", {promise.how} on {_day(promise.settled_on, in_words)}" if promise.settled_on else ""
    due = _day(noted.due, in_words)
    return f"{noted.promise}  {noted.who}: {noted.what}, due {due}{became} (“{noted.words}”)"


def _question(question: QuestionNow) -> str:
    answer = question.answer
    told = f"{answer.by}, {answer.on}: {answer.text}" if answer else "open"
    return f"{question.tag}  to the {question.question.to}: {question.question.text} — {told}"


def _day(on: str, in_words: InWords) -> str:
    return in_words(date.fromisoformat(on[:10]))
