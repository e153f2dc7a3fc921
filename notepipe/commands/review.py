"""The command ``review``: a named person goes through drafts, at a terminal or by recorded answers."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from notepipe.commands.shared import PATH, as_option, ledger_of, now, reviewer_of, shop_of, shop_option, talk
from notepipe.errors import NotFound

if TYPE_CHECKING:
    from notepipe.entries import Body
    from notepipe.ledger import Ledger
    from notepipe.review import Answer, Sitting, Standing
    from notepipe.shop import Shop


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("note", required=False)
@click.option("--all-without-a-doubt", "all_", is_flag=True, help="Confirm those in one stroke, and stop.")
@click.option("--answers", type=PATH, help="Play back a recorded review (TOML).")
@as_option
@shop_option
def review(
    job_name: str, note: str | None, person: str | None, shop_folder: Path | None, **told: Any
) -> None:
    """Go through the drafts of a JOB, or of one NOTE of it, record by record. Each answer is kept at once.

    Only the people listed in shop.toml may review.

    \b
    Examples:
      notepipe review tram-7 --as "Ada Fenn"
      notepipe review tram-7 walk-1.m4a --as "Ada Fenn" --all-without-a-doubt
    """
    from notepipe.answers import Recorded, read_answers
    from notepipe.closing import refuse_where_closed
    from notepipe.jobs import entries_of, job_and_note

    shop = shop_of(shop_folder)
    who = reviewer_of(shop, person)
    ledger = ledger_of(shop)
    job, note = job_and_note(ledger, job_name, note)
    refuse_where_closed(entries_of(ledger, job))
    room = _Room(shop, ledger, job, note, who)
    if told["answers"]:
        room.play_back(read_answers(told["answers"]))
    elif told["all_"]:
        room.play_back((Recorded(do="confirm all without a doubt"),))
    else:
        room.talk_through()


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("tag")
@click.argument("fields", metavar="[FIELD=TEXT]...", nargs=-1)
@click.option("--drop", metavar="REASON", help="It should never have been confirmed; say why.")
@click.option("--acknowledge", metavar="CAUTION", multiple=True, help="A caution you have read, by its id.")
@as_option
@shop_option
def correct(job_name: str, tag: str, fields: tuple[str, ...], **told: Any) -> None:
    """Put right what was confirmed under a TAG. What it was before stays in the history.

    \b
    Fields: name, quantity, metal, finish, location, condition,
            "decision 1", "decision 1 by", "new decision", "size 1", "new size"
            of a question: to, about, text

    \b
    Examples:
      notepipe correct tram-7 003 metal=bronze "decision 1 by=plater" --as "Ada Fenn"
      notepipe correct tram-7 007 --drop "it was a shadow" --as "Ada Fenn"
    """
    from notepipe.jobs import entries_of, put_right
    from notepipe.ledger import Hand
    from notepipe.review import correction, withdrawal
    from notepipe.terminal import told as told_of

    shop = shop_of(told["shop_folder"])
    who = reviewer_of(shop, told["person"])
    ledger = ledger_of(shop)
    entries_of(ledger, job_name)
    changes = _fields(fields)
    if bool(changes) == bool(told["drop"]):
        raise click.UsageError('Give FIELD=TEXT, for example metal=bronze, or --drop "why".')

    def make(standing: Standing) -> Body:
        if told["drop"]:
            return withdrawal(standing, told["drop"])
        return correction(standing, changes, told["acknowledge"])

    for line in told_of(put_right(ledger, job_name, Hand(who=who, at=now()), tag, make)):
        talk(line)


@click.command()
@click.argument("job_name", metavar="JOB")
@click.argument("name")
@click.argument("fields", metavar="[FIELD=TEXT]...", nargs=-1)
@click.option("--from", "note", metavar="NOTE", help="The note it was said in, where the job has several.")
@click.option("--said", metavar="WORDS", help="The words of the note that it rests on.")
@click.option("--acknowledge", metavar="CAUTION", multiple=True, help="A caution you have read, by its id.")
@as_option
@shop_option
def add(job_name: str, name: str, fields: tuple[str, ...], **told: Any) -> None:
    """Record a part NAME that was said and is in no draft. The history tells that it was added by hand.

    Fields are as in notepipe correct; a decision is "new decision".

    \b
    Example:
      notepipe add tram-7 "sand box lid" quantity=2 metal=steel "new decision=replate" \\
        --from walk-1.m4a --said "both the sand box lids" --as "Ada Fenn"
    """
    from notepipe.adding import Added
    from notepipe.entries import PartConfirmed
    from notepipe.jobs import add_part, entries_of
    from notepipe.ledger import Hand
    from notepipe.showing import caution_lines
    from notepipe.terminal import told as told_of
    from notepipe.trade import load_trade

    shop = shop_of(told["shop_folder"])
    who = reviewer_of(shop, told["person"])
    ledger = ledger_of(shop)
    entries_of(ledger, job_name)
    added = Added(name=name, fields=_fields(fields), said=told["said"], acknowledged=told["acknowledge"])
    cautions = load_trade(shop.packs()).cautions
    bodies = add_part(ledger, job_name, Hand(who=who, at=now()), (told["note"], added), cautions)
    for line in told_of(bodies):
        talk(line)
    for body in bodies:
        for line in caution_lines(body.part.cautions if isinstance(body, PartConfirmed) else ()):
            talk(line)


def _fields(words: tuple[str, ...]) -> dict[str, str]:
    """What stands on each side of the equals signs."""
    if not all("=" in one for one in words):
        raise click.UsageError("Give FIELD=TEXT, for example metal=bronze.")
    return {field.strip(): text for field, _, text in (one.partition("=") for one in words)}


class _Room:
    """A named person's review of a job, or of one note of it."""

    def __init__(self, shop: Shop, ledger: Ledger, job: str, note: str | None, who: str) -> None:
        self._shop, self._ledger, self._job, self._note, self._who = shop, ledger, job, note, who
        self._rows: tuple[Any, ...] | None = None

    def sittings(self) -> tuple[Sitting, ...]:
        from notepipe.jobs import register_of, sittings

        found = sittings(register_of(self._ledger, self._job), self._note)
        return tuple(one.model_copy(update={"caution_rows": self._cautions()}) for one in found)

    def keep(self, sitting: Sitting, answer: Answer) -> tuple[Body, ...]:
        from notepipe.jobs import keep_answer
        from notepipe.ledger import Hand

        hand = Hand(who=self._who, at=now())
        return keep_answer(self._ledger, self._job, hand, sitting.recording, answer, self._cautions())

    def _cautions(self) -> tuple[Any, ...]:
        from notepipe.trade import load_trade

        if self._rows is None:
            self._rows = load_trade(self._shop.packs()).cautions
        return self._rows

    def play_back(self, recorded: Sequence[Any]) -> None:
        from notepipe.answers import play_back
        from notepipe.terminal import told

        failed = 0
        for outcome in play_back(recorded, self.sittings, self.keep):
            if outcome.error is None:
                for line in told(outcome.bodies):
                    talk(line)
            else:
                talk(str(outcome.error))
                failed += isinstance(outcome.error, NotFound)
        self._tell_left()
        if failed:
            raise click.exceptions.Exit(1)

    def talk_through(self) -> None:
        from notepipe.terminal import review_note

        talk(f"Reviewing {self._job} as {self._who}.")
        for sitting in self.sittings():
            if sitting.waiting() and not review_note(self._conversation(sitting)):
                break
        self._tell_left()

    def _conversation(self, sitting: Sitting) -> Any:
        from notepipe.terminal import Talk

        def again() -> Sitting:
            return next(s for s in self.sittings() if s.recording == sitting.recording)

        return Talk(talk, _ask, _player_of(self._shop, sitting), lambda a: self.keep(sitting, a), again)

    def _tell_left(self) -> None:
        from notepipe.showing import count

        left = sum(len(sitting.waiting()) for sitting in self.sittings())
        after = f"{count(left, 'record')} still to review." if left else "Nothing is left to review."
        talk(f"{self._job}: {after}")


def _ask(prompt: str) -> str:
    """A line of the person's; the prompt goes to standard error. Raises EOFError at the end."""
    click.echo(prompt, err=True, nl=False)
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    return line.rstrip("\n")


def _player_of(shop: Shop, sitting: Sitting) -> Callable[[float, float], None]:
    players: list[Any] = []

    def play(start_s: float, end_s: float) -> None:
        from notepipe.player import Player
        from notepipe.recording import open_recording

        if not players:
            players.append(Player(open_recording(shop.recording(sitting.recording))))
        players[0].play(start_s, end_s)

    return play
