"""The rules' reading of a note: values and fates put on the groups that pointing found."""

from __future__ import annotations

from collections.abc import Sequence

from notepipe.reading.clauses import Clause, clauses_of
from notepipe.reading.marks import Asked, Fate, Group, Marks, Span, Value
from notepipe.reading.measures import Measure, measures_in, spoken, to_mm, unit_for
from notepipe.reading.numbers import numbers_in
from notepipe.reading.pointing import Memory, Scene, point
from notepipe.reading.standing import Cue, cues_in, kinds_of, standing_of
from notepipe.reading.terms import Action, Found, Lexicon
from notepipe.reading.tokens import Token
from notepipe.trade import Trade

IN_HOUSE = (
    ("here",),
    ("ourselves",),
    ("myself",),
    ("in", "house"),
    ("in-house",),
    ("our", "own"),
    ("on", "our"),
    ("my", "own"),
    ("my", "bench"),
    ("our", "bench"),
)
FAULTS = {
    "dent",
    "dents",
    "crack",
    "cracks",
    "chip",
    "chips",
    "hole",
    "holes",
    "hairline",
    "scratch",
    "gap",
    "split",
    "tear",
    "wrinkle",
    "ding",
    "pit",
    "pits",
    "gouge",
    "bow",
    "kink",
    "bald",
    "patch",
    "check",
    "opened",
}


def mark_by_rules(tokens: Sequence[Token], trade: Trade, lexicon: Lexicon) -> Marks:
    """The marks that the rules alone make of *tokens*."""
    terms, actions, numbers = lexicon.terms(tokens), lexicon.actions(tokens), numbers_in(tokens)
    scene = Scene(tokens, clauses_of(tokens), terms, actions, numbers, measures_in(tokens, numbers))
    cues = cues_in(tokens, trade, kinds_of(actions, terms))
    memory = point(scene)
    _values(scene, memory)
    _fates(scene, memory, cues)
    return Marks(memory.groups, list(_asked(scene, memory, cues)))


def _group_at(memory: Memory, clause: Clause, i: int) -> Group | None:
    """The group spoken of nearest before token *i* in the clause, else the nearest after it, else the
    last before the clause.
    """
    before = [k for k in memory.at if clause.first <= k <= i]
    if before:
        return memory.at[max(before)]
    after = [k for k in memory.at if i < k <= clause.last]
    if after:
        return memory.at[min(after)]
    earlier = [k for k in memory.at if k < clause.first]
    return memory.at[max(earlier)] if earlier else None


def _values(scene: Scene, memory: Memory) -> None:
    for clause in scene.clauses:
        for term in scene.terms:
            if clause.first <= term.first <= clause.last and term.kind in ("metal", "finish"):
                _surface(scene, memory, clause, term)
        for measure in scene.measures:
            if clause.first <= measure.first <= clause.last:
                _size(scene, memory, clause, measure)
        for number in scene.numbers:
            if (
                clause.first <= number.first <= clause.last
                and number.kind == "count"
                and number.first not in memory.at
            ):
                _count(scene, memory, clause, number.first, number.last, int(number.value))


def _surface(scene: Scene, memory: Memory, clause: Clause, term: Found) -> None:
    """A metal or a finish it has; what is inside an action ("for nickel", "nickelled again") is what it
    is to become.
    """
    if any(a.first <= term.first <= a.last for a in scene.actions) or any(
        t.kind in ("part", "trade") and t.first <= term.first <= t.last and t != term for t in scene.terms
    ):
        return
    group = _group_at(memory, clause, term.first)
    if group is None:
        return
    before = [t.norm for t in scene.tokens[max(clause.first, term.first - 3) : term.first]]
    if (
        term.kind == "metal"
        and before[-1:] == ["in"]
        and any(
            a.first < term.first and a.row.action in ("make", "replace", "buy")
            for a in _in(scene.actions, clause)
        )
    ):
        return
    if "not" in before or "no" in before or "as" in before[-1:]:
        return
    group.values.append(
        Value(
            "metal" if term.kind == "metal" else "finish", term.value, Span(term.first, term.last), term.rule
        )
    )


def _in(actions: Sequence[Action], clause: Clause) -> list[Action]:
    return [a for a in actions if clause.first <= a.first <= clause.last]


def _size(scene: Scene, memory: Memory, clause: Clause, measure: Measure) -> None:
    """A size of the part; the size of a dent is no size of the part."""
    near = {
        t.norm
        for t in scene.tokens[max(clause.first, measure.first - 6) : min(clause.last + 1, measure.last + 6)]
    }
    if near & FAULTS:
        return
    group = _group_at(memory, clause, measure.first)
    if group is not None:
        group.values.append(size_value(scene.tokens, measure, "size.said", scene.measures))


def size_value(tokens: Sequence[Token], measure: Measure, rule: str, measures: Sequence[Measure]) -> Value:
    """A measure as the value of a draft; a unit that was not said or is loose is taken as the likely
    one, by the other *measures* of the note, with a doubt.
    """
    unit = measure.unit or unit_for(measure, measures)
    why = ""
    if measure.unit is None:
        why = f"no unit was said, taken as {'inches' if unit == 'in' else 'millimetres'}"
    elif measure.loose:
        why = "'mil' is a millimetre to some and a thousandth of an inch to others"
    size = {
        "feature": _feature(tokens, measure),
        "value": spoken(measure.value, unit),
        "unit": unit,
        "mm": to_mm(measure.value, unit),
    }
    return Value("size", size, Span(measure.first, measure.last), rule, sure=not why, why=why)


def _feature(tokens: Sequence[Token], measure: Measure) -> str | None:
    names = {
        "long": "length",
        "length": "length",
        "wide": "width",
        "width": "width",
        "high": "height",
        "tall": "height",
        "height": "height",
        "thick": "thickness",
        "deep": "depth",
        "across": "across",
        "diameter": "diameter",
        "bore": "bore",
        "inside": "inside diameter",
        "outside": "outside diameter",
    }
    for token in [
        *tokens[measure.last + 1 : measure.last + 4],
        *reversed(tokens[max(0, measure.first - 3) : measure.first]),
    ]:
        if token.norm in names:
            return names[token.norm]
        if token.text in ".;":
            break
    return None


def _count(scene: Scene, memory: Memory, clause: Clause, first: int, last: int, value: int) -> None:
    """A count beside its group: "Handlebars, four", "there's thirty", "eighteen of those"."""
    tokens = scene.tokens
    if any(m.first <= first <= m.last for m in scene.measures) or tokens[first - 1].text in "$£€":
        return
    after = tokens[last + 1].norm if last + 1 < len(tokens) else "."
    if after in (
        "quid",
        "pounds",
        "pound",
        "dollars",
        "bucks",
        "euro",
        "weeks",
        "days",
        "week",
        "day",
        "months",
        "hours",
        "minutes",
        "years",
        "o'clock",
        "percent",
        "in",
        "car",
        "%",
    ):
        return
    group = _group_at(memory, clause, first)
    beside = after in (".", ",", "of", "off", "all", "altogether", ";", "–", "in", "told") or tokens[
        first - 1
    ].norm in ("'s", "are", "have", "count", "number", "is", "only")
    if group is not None and beside and group.set_of is None and not group.picked:
        group.values.append(Value("quantity", value, Span(first, last), "count.beside"))


def _fates(scene: Scene, memory: Memory, cues: Sequence[Cue]) -> None:
    heading: Fate | None = None
    headed: set[int] = set()
    for clause in scene.clauses:
        heading = _heading(scene, clause, cues, heading)
        for action in _in(scene.actions, clause):
            said = standing_of(action, clause, cues, scene.tokens)
            if said is None or any(
                c.row.sets.startswith("heading-r") and c.first <= action.first <= c.last for c in cues
            ):
                continue
            group = _group_at(memory, clause, action.first)
            if group is not None:
                _put(group, _fate(scene, clause, action, said))
        if heading is not None:
            _put_under(heading, clause, memory, headed)


def _put_under(heading: Fate, clause: Clause, memory: Memory, headed: set[int]) -> None:
    """Put *heading* on the groups first named in *clause*, once each; *headed* remembers their ids."""
    for k, group in memory.at.items():
        new = id(group) not in headed and group.anchors and group.anchors[0].first >= clause.first
        if new and clause.first <= k <= clause.last:
            headed.add(id(group))
            _put(group, heading)


def _heading(scene: Scene, clause: Clause, cues: Sequence[Cue], now: Fate | None) -> Fate | None:
    """ "None of this lot gets plated": a ruled-out that holds for every group named until it ends."""
    for cue in cues:
        if not clause.first <= cue.first <= clause.last:
            continue
        if cue.row.sets == "heading-end":
            now = None
        if cue.row.sets == "heading-ruled-out":
            action = next((a for a in scene.actions if cue.first <= a.first <= cue.last + 1), None)
            if action is not None:
                word, quote = Span(action.first, action.last), Span(clause.first, clause.last)
                now = Fate(action.row.action, "ruled-out", word, quote, cue.row.id)
    return now


def _fate(scene: Scene, clause: Clause, action: Action, said: tuple[str, str]) -> Fate:
    standing, rule = said
    near = range(max(clause.first, action.first - 8), min(clause.last, action.last + 6) + 1)
    trade = next((t.value for t in scene.terms if t.kind == "trade" and t.first in near), None)
    house = said_in_house([scene.tokens[i] for i in near])
    return Fate(
        action.row.action,
        standing,
        Span(action.first, action.last),
        Span(clause.first, clause.last),
        f"{action.rule} + {rule}",
        by=trade or ("in-house" if house else None),
        to_finish=_to_finish(scene, clause, action),
        to_metal=_to_metal(scene, clause, action),
    )


def said_in_house(tokens: Sequence[Token]) -> bool:
    """Whether *tokens* say that it is done here: "ourselves", "in house", "on our own bench"."""
    words = [t.norm for t in tokens]
    return any(tuple(words[i : i + len(p)]) == p for p in IN_HOUSE for i in range(len(words)))


def _to_finish(scene: Scene, clause: Clause, action: Action) -> str | None:
    if action.row.action not in ("replate", "coat"):
        return None
    after = next(
        (
            t.value
            for t in scene.terms
            if t.kind == "finish" and action.first <= t.first <= min(action.last + 4, clause.last)
        ),
        None,
    )
    return after or action.row.to_finish


def _to_metal(scene: Scene, clause: Clause, action: Action) -> str | None:
    if action.row.action not in ("make", "replace", "buy"):
        return None
    for term in scene.terms:
        if (
            term.kind == "metal"
            and action.first < term.first <= clause.last
            and scene.tokens[term.first - 1].norm in ("in", "of", "out", "from", "sheet")
        ):
            return term.value
    return None


def _put(group: Group, fate: Fate) -> None:
    if not any(f.action == fate.action and f.standing == fate.standing for f in group.fates):
        group.fates.append(fate)


def _asked(scene: Scene, memory: Memory, cues: Sequence[Cue]) -> list[Asked]:
    asked: list[Asked] = []
    for clause in scene.clauses:
        for cue in cues:
            if cue.row.sets in ("to-client", "to-shop") and clause.first <= cue.first <= clause.last:
                group = _group_at(memory, clause, clause.last)
                to = "client" if cue.row.sets == "to-client" else "shop"
                sentence = [c for c in scene.clauses if c.sentence == clause.sentence]
                span = Span(sentence[0].first, sentence[-1].last)
                if not any(a.clause == span for a in asked) and group is not None:
                    asked.append(Asked(to, group, group.name, span, cue.row.id))  # type: ignore[arg-type]
    for group in memory.groups:
        for fate in group.fates:
            if (
                fate.action == "source"
                and fate.standing == "decided"
                and not any(a.group is group for a in asked)
            ):
                asked.append(Asked("shop", group, group.name, fate.clause, "hunted-for"))
    return asked
