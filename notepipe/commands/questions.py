"""The questions of a job: the commands ``questions`` and ``answer``."""

from __future__ import annotations

import shlex
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from notepipe.commands.shared import (
    as_option,
    hand_of,
    ledger_of,
    now,
    reviewer_of,
    shop_of,
    shop_option,
    show,
    talk,
)

if TYPE_CHECKING:
    from notepipe.entries import Body
    from notepipe.ledger import Hand
    from notepipe.months.asking import Given
    from notepipe.register import Register


@click.command()
@click.argument("job_name", metavar="JOB")
@click.option("--open", "stand", flag_value="open", help="Only those without an answer.")
@click.option("--answered", "stand", flag_value="answered", help="Only those with one.")
@click.option("--to", type=click.Choice(["client", "shop"]), help="Only those to one of the two.")
@shop_option
def questions(job_name: str, stand: str | None, to: str | None, shop_folder: Path | None) -> None:
    """List the questions of a JOB: open since when, asked in which letters, answered by whom.

    \b
    Examples:
      notepipe questions tram-7
      notepipe questions tram-7 --open --to client
    """
    from notepipe.enquiries import question_lines
    from notepipe.jobs import register_of

    shop = shop_of(shop_folder)
    register = register_of(ledger_of(shop), job_name)

    def in_words(at: str) -> str:
        return shop.settings.date_in_words(date.fromisoformat(at[:10]))

    asked = [question for question in register.questions if to in (None, question.question.to)]
    for question in asked:
        if stand in (None, "open" if question.answer is None else "answered"):
            show(question_lines(register, question, _today(), in_words))
    still = sum(question.answer is None for question in asked)
    talk(f"{job_name}: {still} open, {len(asked) - still} answered")


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("tag", metavar="QUESTION")
@click.argument("words", metavar="[ANSWER]", required=False)
@click.option("--by", metavar="WHO", help="Who gave it: client, or a name (else whom it was put to).")
@click.option("--on", metavar="DAY", help="The day it was given, as 2026-11-25 (else today).")
@click.option("--way", help='How it came: "on the telephone", "by letter".')
@click.option("--decides", multiple=True, metavar="TAG/N=HOW", help="What it settles; see below.")
@click.option("--acknowledge", metavar="CAUTION", multiple=True, help="A caution you have read, by its id.")
@click.option("--again", is_flag=True, help="Put an answer right that was written down before.")
@click.option("--all-the-same", is_flag=True, help="The day is right, though the question came up later.")
@as_option
@shop_option
def answer(job_name: str, tag: str, words: str | None, **told: Any) -> None:
    """Write the ANSWER to a QUESTION of a JOB down, and settle what hung on it.

    Whoever took the call may write the answer down. Only a reviewer says what it settles, at once or later:
    --decides 003/1=decided for the first decision of part 003, =ruled-out where it is not to be. For any
    other field write it as in notepipe correct: --decides "003 metal=brass".

    \b
    Examples:
      notepipe answer tram-7 Q01 "burgundy" --by client --on 2026-11-20 --way "on the telephone"
      notepipe answer tram-7 Q01 --decides 003/1=decided --decides 003/2=ruled-out --as "Ada Fenn"
    """
    from notepipe.folding import fold
    from notepipe.jobs import entries_of
    from notepipe.ledger import Hand
    from notepipe.months.asking import Said, entries_for_answer, read_decides

    shop = shop_of(told["shop_folder"])
    ledger = ledger_of(shop)
    decides = tuple(map(read_decides, told["decides"]))
    if words is None and not decides:
        raise click.UsageError("Give the ANSWER, or what it settles with --decides.")
    person = told["person"]
    hand = Hand(who=reviewer_of(shop, person), at=now()) if decides else hand_of(shop, person)
    before = entries_of(ledger, job_name)
    given = None if words is None else _given(fold(before), tag, words, hand, told)
    said = Said(given=given, decides=decides, acknowledged=told["acknowledge"])
    made = ledger.decide(
        job_name, hand, lambda entries: entries_for_answer(fold(entries), tag, said, _today())
    )
    for entry in made:
        _tell(entry.body)
    if told["again"] and words is not None:
        _tell_settled_before(job_name, [entry.body for entry in before], tag)
    _tell_hanging(fold(entries_of(ledger, job_name)), tag, shop.settings.reviewers)


def _given(register: Register, tag: str, words: str, hand: Hand, told: dict[str, Any]) -> Given:
    from notepipe.months.asking import Given

    asked = register.question(tag).question.to
    return Given(
        answer=words,
        by=told["by"] or ("the client" if asked == "client" else hand.who),
        on=told["on"] or hand.at[:10],
        way=told["way"],
        again=told["again"],
        all_the_same=told["all_the_same"],
    )


def _today() -> date:
    return date.fromisoformat(now()[:10])


def _tell(body: Body) -> None:
    from notepipe.entries import PartConfirmed, QuestionAnswered

    if isinstance(body, QuestionAnswered):
        talk(f"{body.tag}: answered by {body.by} on {body.on}: {body.answer}")
    elif isinstance(body, PartConfirmed):
        changes = "; ".join(f"{c.field}: was {c.was}, now {c.now}" for c in body.changes)
        talk(f"{body.tag} {body.part.name}: {changes} (because of {body.because})")


def _tell_settled_before(job: str, bodies: list[Body], tag: str) -> None:
    from notepipe.months.asking import rests_on

    for part in rests_on(bodies, tag):
        talk(f"{part} was settled by the answer as it was before. Look at it again: "
             f"notepipe history {job} --part {part}")  # fmt: skip


def _tell_hanging(register: Register, tag: str, reviewers: tuple[str, ...]) -> None:
    from notepipe.enquiries import hanging_lines, settling_command
    from notepipe.months.asking import hanging
    from notepipe.showing import caution_lines, count

    question = register.question(tag)
    found = hanging(register, question)
    if not found:
        return
    verb = "hangs" if len(found) == 1 else "hang"
    talk(f"{count(len(found), 'decision')} still {verb} on {tag}:")
    for line in hanging_lines(register, question):
        talk(f"  {line}")
    read = {one.tag: one.part for one in found}
    for part in read.values():
        for line in caution_lines(tuple(caution for caution in part.cautions if caution.acknowledge)):
            talk(line)
    who = reviewers[0] if reviewers else "REVIEWER"
    quoted = shlex.quote(register.job)
    command = settling_command(register, question, who)
    talk("A reviewer settles it, for example:")
    talk(f"  {command.replace(f'answer {register.job} ', f'answer {quoted} ', 1)}")
