"""A draft is matched as a whole; what could be two parts is a doubt."""

from typing import Any

from notepipe.draft import Decision, Draft, Note, Part, Question
from notepipe.later.assigning import assigned
from notepipe.later.matching import Around, Match, OnFile, held_against


def decision(action: str, standing: str = "decided", **more: Any) -> Decision:
    return Decision.model_validate({"action": action, "standing": standing, "quote": "", **more})


def filed(*parts: Part, **more: Any) -> list[OnFile]:
    return [OnFile(tag=f"{n:03d}", part=part, recording="11" * 32, **more) for n, part in enumerate(parts, 1)]


def held(on_file: list[OnFile], *parts: Part, around: Around | None = None) -> tuple[Match, ...]:
    draft = Draft(note=Note(file="2.txt", sha256="22" * 32), parts=parts)
    return held_against(draft, on_file, around or Around())


def tags(matches: tuple[Match, ...]) -> list[str | None]:
    return [match.tag for match in matches]


def doubts(matches: tuple[Match, ...]) -> list[bool]:
    return [match.doubt is not None for match in matches]


POLES = (
    Part(name="horse pole", quantity=22, metal="brass", decisions=(decision("polish"),)),
    Part(
        name="horse pole",
        quantity=5,
        metal="brass",
        condition=("got dents in",),
        decisions=(decision("straighten"), decision("polish")),
    ),
    Part(name="horse pole", quantity=3, metal="brass", decisions=(decision("make", by="pole man"),)),
)


def test_the_groups_of_a_set_go_to_its_groups_as_a_whole() -> None:
    matches = held(
        filed(*POLES),
        Part(name="pole", quantity=6, decisions=(decision("straighten"), decision("polish"))),
        Part(name="pole", quantity=3, decisions=(decision("buy", by="pole man"),)),
        Part(name="pole", quantity=21, decisions=(decision("polish"),)),
    )
    assert tags(matches) == ["002", "003", "001"]
    assert [match.against for match in matches] == ["changes", "says the same", "changes"]
    assert doubts(matches) == [False] * 3


def test_a_group_named_by_nothing_that_tells_it_apart_is_a_doubt_with_both_tags() -> None:
    handles = (Part(name="door handle", metal="brass"), Part(name="door handle", metal="brass"))
    (match,) = held(filed(*handles), Part(name="door handle", finish="chrome"))
    assert match.doubt is not None
    assert {match.tag, *match.rivals} == {"001", "002"}
    assert "001 door handle" in match.doubt.why
    assert "002 door handle" in match.doubt.why


def test_two_of_the_note_that_fit_one_on_file_are_a_doubt_on_both() -> None:
    matches = held(filed(Part(name="handle")), Part(name="door handle"), Part(name="window handle"))
    assert doubts(matches) == [True, True]


def test_front_and_rear_are_never_taken_for_each_other() -> None:
    matches = held(filed(Part(name="front hub cap"), Part(name="rear hub cap")), Part(name="rear hub cap"))
    assert (tags(matches), doubts(matches)) == (["002"], [False])
    assert tags(held(filed(Part(name="front hub cap")), Part(name="rear hub cap"))) == [None]


def test_a_nickname_is_known_again_from_the_words_it_was_spoken_of() -> None:
    cover = Part(name="top gear cover", heard_as=("the cheese", "the big round cover off the top gear"))
    matches = held(filed(cover, Part(name="bell")), Part(name="cheese", heard_as=("The cheese",)))
    assert (tags(matches), doubts(matches)) == (["001"], [False])


def test_a_name_that_only_sounds_like_one_on_file_is_asked_about() -> None:
    (match,) = held(filed(Part(name="gutter rail")), Part(name="guttor rail"))
    assert match.doubt is not None
    assert "heard as 'guttor rail'" in match.doubt.why
    (head,) = held(filed(Part(name="stirrup")), Part(name="stirrop"))
    assert head.doubt is not None


def test_what_has_no_likeness_is_new_without_a_doubt() -> None:
    (match,) = held(filed(*POLES), Part(name="lamp holder"))
    assert (match.tag, match.against, match.doubt) == (None, "new", None)


def test_a_set_told_apart_only_now_keeps_its_tag_and_the_others_split_from_it() -> None:
    hinges = Part(name="bellows hinge", quantity=4, metal="steel")
    one, two = held(
        filed(hinges),
        Part(name="bellows hinge", quantity=2, decisions=(decision("coat"),)),
        Part(name="hinge", heard_as=("bellows hinges",), quantity=2, decisions=(decision("make"),)),
    )
    assert (one.tag, one.split_from) == ("001", None)
    assert two.doubt is not None  # Called otherwise: asked about.
    one, two = held(
        filed(hinges),
        *(Part(name="bellows hinge", quantity=2, decisions=(decision(a),)) for a in ("coat", "make")),
    )
    assert (one.tag, two.tag, two.split_from, doubts((one, two))) == ("001", None, "001", [False, False])
    assert ("quantity", "4", "2") in [(d.field, d.was, d.now) for d in two.differences]


def test_groups_that_do_not_add_up_to_the_set_are_a_doubt() -> None:
    lamps = [Part(name="lamp", quantity=n) for n in (4, 3)]
    matches = held(filed(Part(name="lamp", quantity=6)), *lamps)
    assert [match.doubt.why for match in matches if match.doubt] == [
        "4 + 3 are told apart, and 001 lamp (6) is on file: groups of it?"
    ]


def test_one_of_a_set_is_no_silent_change_of_its_count() -> None:
    for some in (
        Part(name="hinge", quantity=1),
        Part(name="hinge", quantity=2, heard_as=("two of the hinges",)),
    ):
        (match,) = held(filed(Part(name="hinge", quantity=6)), some)
        assert match.doubt is not None
        assert "of them meant" in match.doubt.why
    (fewer,) = held(filed(Part(name="hinge", quantity=6)), Part(name="hinge", quantity=5))
    assert fewer.doubt is None


def test_a_part_that_another_record_of_the_note_was_laid_on_is_taken() -> None:
    (match,) = held(filed(Part(name="bell"), taken_by="p7"), Part(name="bell"))
    assert match.tag is None
    assert match.doubt is not None
    assert match.rivals == ("001",)


def test_what_turned_up_is_no_longer_looked_for() -> None:
    sought = Part(name="tail socket", decisions=(decision("source"),))
    text = "Down in the bucket was the tail socket, so nobody needs to look for that."
    (match,) = held(
        filed(sought), Part(name="tail socket", heard_as=("the tail socket",)), around=Around(text)
    )
    assert match.against == "withdraws"
    assert held(filed(sought), Part(name="tail socket"))[0].against == "says the same"


def test_a_plan_read_out_of_no_change_is_none() -> None:
    bell = Part(name="bell", decisions=(decision("polish"),))
    said = Part(name="bell", decisions=(decision("replace", quote="The bell, no change"),))
    assert held(filed(bell), said)[0].against == "says the same"
    more = Part(name="bell", decisions=(decision("coat", quote="no change, only wax it"),))
    assert held(filed(bell), more)[0].against == "adds"


def test_a_value_is_quoted_with_the_sentence_that_says_it() -> None:
    around = Around(
        "Stirrups, I've emptied the bucket, forty-six. And the magnet won't look at them, they're brass.",
        {"11" * 32: "Stirrups, a bucketful. Steel, with a bit of nickel."},
    )
    said = Part(name="stirrup", heard_as=("Stirrups",), quantity=46, metal="brass")
    on_file = filed(Part(name="stirrup", heard_as=("Stirrups",), metal="steel"))
    count, metal = held(on_file, said, around=around)[0].differences
    assert count.now_said[0].text == "Stirrups, I've emptied the bucket, forty-six."
    assert metal.was_said[0].text == "Steel, with a bit of nickel."
    assert metal.now_said[0].text == "And the magnet won't look at them, they're brass."


def test_a_size_asked_about_is_settled_by_the_one_that_is_said() -> None:
    asked = (Question(to="shop", about="bar", text="Are the bars 6 or 8 mm?", quote=""),)
    sizes = [{"value": v, "unit": "mm", "mm": float(v)} for v in ("6", "8")]
    on_file = filed(Part.model_validate({"name": "bar", "sizes": sizes}))
    said = Part.model_validate({"name": "bar", "sizes": sizes[1:]})
    assert held(on_file, said, around=Around(asked=asked))[0].against == "changes"


def test_the_dearest_pair_gives_way_where_the_sum_is_higher() -> None:
    assert assigned([{0: 5.0, 1: 4.0}, {0: 4.5}]) == (1, 0)
    assert assigned([{7: 1.0}, {7: 2.0}, {}]) == (None, 7, None)
    assert assigned([]) == ()
