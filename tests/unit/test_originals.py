"""The original of a replaced part is somewhere; conditions at the moments of a stay stand side by side."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from notepipe.draft import Decision, Part
from notepipe.errands import ConditionNoted, Whereabouts
from notepipe.errors import NotepipeError
from notepipe.months.originals import (
    Found,
    condition_noted,
    original_noted,
    originals_open,
    unaccounted,
    whereabouts_now,
)
from notepipe.part_page import part_lines
from notepipe.register import Register

Registered = Callable[..., Register]
TODAY = date(2026, 12, 16)
REPLACED = Part(
    name="step plate",
    quantity=5,
    condition=("worn",),
    decisions=(Decision(action="replace", standing="decided", quote="x"),),
)
POLISHED = Part(name="gong", decisions=(Decision(action="polish", standing="decided", quote="x"),))


def noted(register: Register, where: Whereabouts, count: int | None = None) -> Register:
    body = original_noted(register, "001", where, count, None)
    part = register.parts[0]
    kept = part.model_copy(update={"whereabouts": (*part.whereabouts, body)})
    return register.model_copy(update={"parts": (kept, *register.parts[1:])})


def refused(do: Callable[[], object]) -> str:
    with pytest.raises(NotepipeError) as found:
        do()
    return str(found.value)


def test_what_is_replaced_is_listed_until_all_of_it_is_accounted_for(registered: Registered) -> None:
    register = registered(REPLACED, POLISHED)
    assert [now.tag for now in originals_open(register)] == ["001"]
    register = noted(register, "kept", 3)
    assert unaccounted(register.parts[0]) == 2
    register = noted(register, "lost", 2)
    assert originals_open(register) == ()


def test_what_was_kept_may_be_returned_later(registered: Registered) -> None:
    register = noted(registered(REPLACED), "kept")
    register = noted(register, "returned", 2)
    assert whereabouts_now(register.parts[0]) == {"kept": 3, "returned": 2}
    register = noted(register, "returned", 3)
    assert whereabouts_now(register.parts[0]) == {"returned": 5}
    assert len(register.parts[0].whereabouts) == 3


def test_more_originals_than_there_are_is_refused(registered: Registered) -> None:
    register = noted(registered(REPLACED, POLISHED), "scrapped", 4)
    assert "2 can't be kept: of 5, 4 scrapped" in refused(lambda: noted(register, "kept", 2))
    assert "0 of them are kept" in refused(lambda: noted(register, "kept", 0))
    assert "it has no original" in refused(lambda: original_noted(register, "002", "kept", None, None))


def test_a_set_nobody_counted_is_accounted_for_as_a_whole(registered: Registered) -> None:
    register = registered(REPLACED.model_copy(update={"quantity": None}))
    assert unaccounted(register.parts[0]) is None
    assert unaccounted(noted(register, "kept", 2).parts[0]) is None
    assert originals_open(noted(register, "scrapped")) == ()


def test_conditions_stand_side_by_side(registered: Registered) -> None:
    register = registered(REPLACED)
    found = (
        Found(moment="On  arrival", condition="pitted; two dents", on="2026-11-25"),
        Found(moment="back", condition="bright", on="2026-12-16", by_whom="Tarn Plating"),
    )
    rows = tuple(condition_noted(register, "001", one, TODAY) for one in found)
    assert rows[0] == ConditionNoted(
        tag="001", moment="on arrival", condition=("pitted", "two dents"), on="2026-11-25"
    )
    part = register.parts[0].model_copy(update={"conditions": rows})
    told = list(part_lines(register.model_copy(update={"parts": (part,)}), "001", date.isoformat))
    at = told.index("Condition")
    assert told[at + 1 : at + 4] == [
        "    in the notes            worn",
        "    on arrival              2026-11-25: pitted; two dents",
        "    back from Tarn Plating  2026-12-16: bright",
    ]


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"moment": "later"}, "no moment 'later'"),
        ({"condition": " ; "}, "no condition given"),
        ({"on": "2026-12-17"}, "is still to come"),
        ({"by_whom": "Tarn Plating"}, "on arrival, and from Tarn Plating?"),
    ],
)
def test_a_slip_is_told(registered: Registered, change: dict[str, str], told: str) -> None:
    found = Found(moment="on arrival", condition="worn", on="2026-12-16").model_copy(update=change)
    assert told in refused(lambda: condition_noted(registered(REPLACED), "001", found, TODAY))
