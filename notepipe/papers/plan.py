"""What is to become of one part, in sentences, and the section of the letter it stands in."""

from __future__ import annotations

import itertools
from typing import Literal

from notepipe.draft import Decision, Part, Standing
from notepipe.papers.actions import IN_HOUSE, by_whom, said
from notepipe.papers.fit import reason
from notepipe.papers.phrases import is_many, subject
from notepipe.trade.wording import wording

Place = Literal[
    "plater", "here", "trades", "new", "left", "considering", "asking", "done", "sought", "scrapped", "open"
]
_NEW = ("make", "replace", "buy")


def place(part: Part) -> Place:
    """The one section *part* stands in, by what lies furthest ahead of it.

    A part that is still hunted for stands there whatever comes after; then what leaves the house, then what
    is new, then our own work, then what hangs on an answer or on us, then what stays and what is finished.
    """
    decided = _of(part, "decided")
    if any(
        d.action == "source" for d in part.decisions if d.standing in ("decided", "considering", "asking")
    ):
        return "sought"
    if any(goes_to_plater(d) for d in decided):
        return "plater"
    if any(d.by not in (None, IN_HOUSE) for d in decided):
        return "trades"
    if any(d.action in _NEW for d in decided):
        return "new"
    if any(d.action not in ("leave", "scrap") for d in decided):
        return "here"
    if any(d.action == "scrap" for d in decided):
        return "scrapped"
    return _undecided(part)


def goes_to_plater(decision: Decision) -> bool:
    """Whether this leaves the house for the plater; a plating nobody was named for does."""
    return decision.by in wording().platers or (decision.by is None and decision.action == "replate")


def sentences(part: Part, number: int | None, *, answered: bool = False) -> str:
    """All that stands of *part*, as a client reads it; *number* is that of the question it waits for.

    With *answered* the client has said what is to be, and we have not acted on it yet.
    """
    verb = "have" if is_many(part) else "has"
    end = ", on which we have your answer." if answered else _as_you_decide(number)
    told = [
        *_done(part, verb),
        *_decided(part),
        *_scrapped(part),
        *_sought(part, "are" if is_many(part) else "is"),
        *_open(part, "may yet be", "considering", "."),
        *_open(part, "may be", "asking", end),
        *_ruled_out(part),
    ]
    if not told:
        return f"{subject(part).rstrip(',')}: nothing has been decided yet."
    pronoun = "They" if is_many(part) else "It"
    first, *others = told
    whole = [f"{subject(part)} {first}", *(f"{pronoun} {sentence}" for sentence in others)]
    return " ".join([*whole, *_old_ones(part)])


def _undecided(part: Part) -> Place:
    if _of(part, "asking"):
        return "asking"
    if _of(part, "considering"):
        return "considering"
    if any(d.action == "leave" for d in _of(part, "decided")):
        return "left"
    if _of(part, "done"):
        return "done"
    return "left" if _of(part, "ruled-out") else "open"


def _of(part: Part, standing: Standing) -> tuple[Decision, ...]:
    return tuple(d for d in part.decisions if d.standing == standing)


def _done(part: Part, verb: str) -> list[str]:
    done = _of(part, "done")
    if not done:
        return []
    found = next((wording().of("source").done for d in done if d.action == "source"), None)
    work = [d for d in done if d.action != "source"]
    told = [f"{verb} already been {found}."] if found else []
    return [*told, *([f"{verb} already been {_joined(work, part)}."] if work else [])]


def _decided(part: Part) -> list[str]:
    decided = _of(part, "decided")
    work = [d for d in decided if d.action not in ("source", "leave", "scrap")]
    if any(d.action in ("make", "buy") for d in work):
        # The new one takes its place anyway; "made new and replaced" would replace the new one.
        work = [d for d in work if d.action != "replace"]
    told = [f"will be {_joined(work, part)}."] if work else []
    left = [d for d in decided if d.action == "leave"]
    return [*told, *([f"will be {said(left[0], part)}{_why(left[0], part)}."] if left else [])]


def _scrapped(part: Part) -> list[str]:
    scrapped = any(d.action == "scrap" for d in _of(part, "decided"))
    return ["will be scrapped."] if scrapped and not _is_renewed(part) else []


def _old_ones(part: Part) -> list[str]:
    """Where a new one comes, "will be made new and scrapped" would scrap the wrong one."""
    if not _is_renewed(part) or not any(d.action == "scrap" for d in _of(part, "decided")):
        return []
    return [f"The old {'ones' if is_many(part) else 'one'} will be scrapped."]


def _is_renewed(part: Part) -> bool:
    return any(d.action in _NEW for d in (*_of(part, "decided"), *_of(part, "done")))


def _sought(part: Part, verb: str) -> list[str]:
    if not any(d.action == "source" for d in _of(part, "decided")):
        return []
    replaced = any(d.action == "replace" for d in _of(part, "decided"))
    if replaced:
        many = is_many(part)
        return [
            f"{verb} still without {'replacements' if many else 'a replacement'}, which we are looking for."
        ]
    return [f"{verb} still being looked for."]


def _open(part: Part, modal: str, standing: Standing, end: str) -> list[str]:
    choices = _of(part, standing)
    return [f"{modal} {_either(choices, part)}{end}"] if choices else []


def _ruled_out(part: Part) -> list[str]:
    """Plain refusals; that a part is *not* left as it is says nothing a client needs."""
    ruled_out = [d for d in _of(part, "ruled-out") if d.action not in ("leave", "scrap", "source")]
    if not ruled_out:
        return []
    refusals = list(dict.fromkeys(said(d, part) for d in ruled_out))
    why = next((w for d in ruled_out if (w := _why(d, part))), "")
    return [f"will not be {_listed(refusals, 'or')}{why}."]


def _why(decision: Decision, part: Part) -> str:
    because = reason(decision.quote, part)
    return f", because {because}" if because else ""


def _as_you_decide(number: int | None) -> str:
    return f", as you decide (question {number} below)." if number else ", as you decide."


def _joined(decisions: list[Decision], part: Part) -> str:
    """``stripped and straightened here, then replated in nickel by the plater``, in the order decided.

    "Then" only where that is the usual order of work too: the order of talk alone claims none.
    """
    decisions = list({(said(d, part), by_whom(d)): d for d in decisions}.values())
    steps = [wording().of(d.action).step for d in decisions]
    in_order = all(steps) and all(a <= b for a, b in itertools.pairwise(steps))
    pieces: list[str] = []
    for at, decision in enumerate(decisions):
        following = decisions[at + 1] if at + 1 < len(decisions) else None
        same_hand = following is not None and by_whom(following) == by_whom(decision)
        whom = "" if same_hand else by_whom(decision)
        pieces.append(f"{said(decision, part)} {whom}".strip())
    if in_order and len(set(steps)) == len(steps):
        return ", then ".join(pieces)
    return _listed(list(dict.fromkeys(pieces)), "and")


def _either(decisions: tuple[Decision, ...], part: Part) -> str:
    pieces = dict.fromkeys(f"{said(d, part)} {by_whom(d)}".strip() for d in decisions)
    # Without the comma "brazed or cast new by the foundry" would have the foundry do both.
    apart = any(by_whom(d) != by_whom(decisions[0]) for d in decisions)
    return ", or ".join(pieces) if apart else _listed(list(pieces), "or")


def _listed(pieces: list[str], word: str) -> str:
    if len(pieces) < 2:
        return "".join(pieces)
    return f"{', '.join(pieces[:-1])} {word} {pieces[-1]}"
