"""A draft reviewed in a real browser, with the real sound: by keys, by mouse, and by two people at once."""

import re
from collections.abc import Callable
from typing import Any

import pytest

from notepipe.draft import Draft, Note, Part
from notepipe.entries import Body, NoteTaken, PartConfirmed
from notepipe.shop import Shop

LINE, MISTAKE = "#line", "#mistake"
Browsers = Callable[..., Any]


def on(page: Any, record: str) -> None:
    """Waits until that record lies on the table."""
    page.locator(f"#record[data-record={record}]").wait_for()


def state(page: Any, record: str, wanted: str) -> None:
    """Waits until the list says *wanted* of the record."""
    page.locator(f'[data-open={record}][data-state="{wanted}"]').wait_for()


@pytest.fixture
def page(browsers: Browsers, job: Any) -> Any:
    """The note under review, its first record on the table."""
    page = browsers(to=job.note)
    on(page, "p1")
    return page


def test_one_key_confirms_what_stands_there_and_brings_the_next(page: Any, job: Any) -> None:
    page.locator("[data-open=p4]").click()
    on(page, "p4")
    page.keyboard.press("y")
    on(page, "p5")
    state(page, "p4", "confirmed")
    (kept,) = job.bodies("part-confirmed")
    assert (kept.part.name, kept.part.quantity, kept.changes) == ("lamp bracket", 2, ())
    assert "lamp bracket" in page.inner_text(LINE)


def test_a_value_is_put_right_in_place_and_the_words_of_the_trade_are_offered(page: Any, job: Any) -> None:
    page.locator("[data-open=p5]").click()
    on(page, "p5")
    page.locator("#words-finishes option").first.wait_for(state="attached")
    offered = page.locator("#f-finish").evaluate("field => [...field.list.options].map((one) => one.value)")
    assert "nickel" in offered
    page.keyboard.press("c")
    page.locator("#f-finish").fill("nickel")
    assert "with 1 put right" in page.inner_text("#confirm")
    page.keyboard.press("Control+Enter")
    state(page, "p5", "confirmed")
    (kept,) = job.bodies("part-confirmed")
    assert kept.part.finish == "nickel"
    assert [(c.field, c.was, c.now) for c in kept.changes] == [("finish", "chrome", "nickel")]


def test_letters_typed_into_a_field_are_no_answers(page: Any, job: Any) -> None:
    page.locator("#f-location").press_sequentially("nearside, by the lady's yard")
    page.keyboard.press("Enter")
    on(page, "p1")
    assert job.bodies("part-confirmed") == job.bodies("record-dropped") == []
    assert page.locator("dialog[open]").count() == 0
    assert page.input_value("#f-location") == "nearside, by the lady's yard"


def test_a_set_is_split_into_its_fates(page: Any, job: Any) -> None:
    page.keyboard.press("s")
    counts = page.locator('#groups [data-part="quantity"]')
    counts.nth(0).fill("6")
    page.locator("#do-split").click()
    assert "8 were heard" in page.inner_text("#split-sum")
    assert job.bodies("part-confirmed") == []
    counts.nth(1).fill("2")
    second = page.locator("#groups .group").nth(1)
    second.get_by_label("decision 1").select_option("decision 1=")
    second.get_by_label("one more").select_option("new decision=replace")
    page.locator("#do-split").click()
    state(page, "p1", "confirmed")
    six, two = job.bodies("part-confirmed")
    assert (six.part.quantity, two.part.quantity) == (6, 2)
    assert [d.action for d in six.part.decisions] == ["replate"]
    assert [d.action for d in two.part.decisions] == ["replace"]


def test_a_doubt_is_settled_by_its_other_reading_with_two_keys(page: Any, job: Any) -> None:
    page.keyboard.press("x")
    on(page, "p2")
    page.wait_for_function("() => document.activeElement.dataset.doubt === 'metal'")
    page.keyboard.press("o")
    assert page.input_value("#f-metal") == "bronze"
    page.keyboard.press("y")
    state(page, "p2", "confirmed")
    (kept,) = job.bodies("part-confirmed")
    assert kept.part.metal == "bronze"


def test_nothing_is_confirmed_before_its_caution_is_acknowledged(page: Any, job: Any) -> None:
    page.locator("[data-open=p3]").click()
    on(page, "p3")
    page.keyboard.press("y")
    page.locator(MISTAKE, has_text="a caution is not acknowledged").wait_for()
    assert job.bodies("part-confirmed") == []
    page.keyboard.press("k")
    page.keyboard.press("y")
    state(page, "p3", "confirmed")
    (kept,) = job.bodies("part-confirmed")
    assert kept.acknowledged == ("straighten-brass",)


def test_what_is_no_record_is_dropped_only_with_a_reason(page: Any, job: Any) -> None:
    page.locator("[data-open=p6]").click()
    on(page, "p6")
    page.keyboard.press("d")
    page.locator("#do-drop").click()
    assert page.locator("#drop[open]").count() == 1
    page.locator("#drop-reason").fill("it is tea")
    page.keyboard.press("Enter")
    state(page, "p6", "dropped")
    assert job.bodies("record-dropped")[0].reason == "it is tea"


def test_a_record_put_off_says_why_and_waits(page: Any, job: Any) -> None:
    page.keyboard.press("l")
    page.locator("#later-reason").fill("ask the plater")
    page.keyboard.press("Enter")
    state(page, "p1", "put off")
    page.locator("[data-open=p1]").click()
    page.locator("#record", has_text="ask the plater").wait_for()
    assert job.bodies("record-put-off")[0].reason == "ask the plater"


def test_an_answer_taken_back_is_an_entry_of_its_own_and_the_record_waits_again(page: Any, job: Any) -> None:
    page.keyboard.press("y")
    on(page, "p2")
    page.keyboard.press("u")
    on(page, "p1")
    state(page, "p1", "waiting")
    assert len(job.bodies("part-confirmed")) == len(job.bodies("record-reopened")) == 1


def test_all_without_a_doubt_are_confirmed_after_it_said_how_many(page: Any, job: Any) -> None:
    page.keyboard.press("a")
    page.locator("#all-told", has_text="5 records have no doubt").wait_for()
    page.locator("#do-all").click()
    state(page, "p6", "confirmed")
    assert {b.record for b in job.bodies("part-confirmed")} == {"p1", "p4", "p5", "p6"}
    assert [b.record for b in job.bodies("question-confirmed")] == ["q1"]


def test_a_part_that_was_not_heard_is_added_with_the_words_that_were_marked(page: Any, job: Any) -> None:
    page.evaluate(
        """() => {
          const words = [...document.querySelectorAll("#transcript .w")];
          const at = words.findIndex((word) => word.textContent === "ruby");
          getSelection().setBaseAndExtent(words[at], 0, words[at + 1], 1);
        }"""
    )
    page.keyboard.press("m")
    page.locator("#m-name").fill("ruby lens")
    page.locator("#m-decision").fill("source decided")
    assert page.input_value("#m-said") == "ruby lens"
    page.locator("#do-missing").click()
    page.locator("[data-open=added-1]").wait_for()
    (kept,) = job.bodies("part-confirmed")
    assert (kept.part.name, [d.action for d in kept.part.decisions]) == ("ruby lens", ["source"])


def test_the_mouse_alone_does_a_whole_record(page: Any, job: Any) -> None:
    page.locator("[data-open=p2]").click()
    on(page, "p2")
    page.get_by_role("button", name="take bronze").click()
    page.get_by_role("button", name="It is right").click()
    state(page, "p2", "confirmed")
    page.locator("#undo").click()
    state(page, "p2", "in doubt")
    assert len(job.bodies("record-reopened")) == 1


def earlier(*parts: Part) -> tuple[Body, ...]:
    """Parts that an earlier note put on file."""
    first = "ab" * 32
    note = Note(file="first.txt", sha256=first)
    draft = Draft(note=note, parts=parts)
    return (
        NoteTaken(recording=first, file="first.txt", transcript="", draft=draft),
        *(
            PartConfirmed(recording=first, record=f"p{k}", tag=f"{k:03d}", part=part)
            for k, part in enumerate(parts, start=1)
        ),
    )


def test_a_record_is_laid_on_the_part_on_file_it_is(browsers: Browsers, jobs: Any) -> None:
    lever = Part(name="bell lever", metal="bronze", location="rear platform")
    crank = Part(name="bell crank", metal="bronze")
    job = jobs(*earlier(lever, crank))
    page = browsers(to=f"{job.note}?record=p2")
    page.locator("#record .on-file").wait_for()
    page.keyboard.press("t")
    page.locator("#join-words").fill("crank")
    page.locator("#join-found", has_text="002").wait_for()
    page.locator("#join-found input").first.check()
    page.locator("#do-join").click()
    page.locator("#record[data-onto='002']").wait_for()
    page.keyboard.press("y")
    state(page, "p2", "confirmed")
    assert job.bodies("part-confirmed")[-1].tag == "002"


def test_what_changes_is_shown_as_it_was_and_as_it_is_now(browsers: Browsers, jobs: Any) -> None:
    job = jobs(*earlier(Part(name="lamp bracket", quantity=2, metal="brass")))
    page = browsers(to=f"{job.note}?record=p4")
    was_now = page.locator("[data-change=metal]")
    assert was_now.locator(".was bdi").inner_text() == "brass"
    assert was_now.locator(".now bdi").inner_text() == "cast iron"


# What is typed


def test_what_was_typed_and_ticked_is_there_after_a_reload_in_the_middle(page: Any, job: Any) -> None:
    page.locator("#f-location").fill("lower saloon")
    page.locator("#f-quantity").fill("7")
    page.locator("#new-action").select_option("replace")
    page.locator("[data-decision='1'] [data-gone]").check()
    page.reload()
    on(page, "p1")
    page.locator("#kept-typing", has_text="still here").wait_for()
    assert page.input_value("#f-location") == "lower saloon"
    assert page.locator("[data-decision='1'] [data-gone]").is_checked()
    page.keyboard.press("y")
    state(page, "p1", "confirmed")
    (kept,) = job.bodies("part-confirmed")
    assert (kept.part.location, kept.part.quantity) == ("lower saloon", 7)
    assert [d.action for d in kept.part.decisions] == ["replace"]


def test_what_was_typed_is_there_after_looking_at_other_records(page: Any) -> None:
    page.locator("#f-location").fill("lower saloon")
    page.keyboard.press("Escape")
    page.keyboard.press("n")
    on(page, "p2")
    page.keyboard.press("b")
    on(page, "p1")
    assert page.input_value("#f-location") == "lower saloon"


# Two people


def test_of_two_who_answer_the_same_record_the_second_is_told_who_was_first(
    browsers: Browsers, job: Any
) -> None:
    ada, joe = browsers("Ada Fenn", to=job.note), browsers("Joe Marsh", to=job.note)
    on(joe, "p1")
    ada.keyboard.press("y")
    state(ada, "p1", "confirmed")
    joe.keyboard.press("y")
    joe.locator(MISTAKE, has_text="Ada Fenn").wait_for()
    assert len(job.bodies("part-confirmed")) == 1
    state(joe, "p1", "confirmed")


def test_each_sees_where_the_other_is_and_what_was_done(browsers: Browsers, job: Any) -> None:
    ada, joe = browsers("Ada Fenn", to=job.note), browsers("Joe Marsh", to=f"{job.note}?record=p5")
    ada.locator("#others", has_text="Joe Marsh").wait_for()
    ada.locator("[data-open=p5]", has_text="Joe Marsh").wait_for()
    joe.keyboard.press("y")
    state(joe, "p5", "confirmed")
    state(ada, "p5", "confirmed")
    assert "Joe Marsh" in ada.inner_text(LINE)


def test_what_one_types_survives_the_others_answer_to_the_same_record(browsers: Browsers, job: Any) -> None:
    ada, joe = browsers("Ada Fenn", to=job.note), browsers("Joe Marsh", to=job.note)
    joe.locator("#f-location").fill("rear platform")
    ada.keyboard.press("y")
    joe.locator("#kept-typing", has_text="Somebody else").wait_for()
    assert joe.input_value("#f-location") == "rear platform"


# The sound


def played(page: Any) -> dict[str, Any]:
    """Where the sound was, from the first moment to the last that it ran: kept by SOUND."""
    kept: dict[str, Any] = page.evaluate("window.sounded")
    return kept


SOUND = """
  const real = HTMLMediaElement.prototype.play;
  window.sounded = { from: Infinity, to: -Infinity, rate: 0, ran: 0, ended: false };
  HTMLMediaElement.prototype.play = function play() {
    const look = () => {
      if (this.paused) { window.sounded.ended = true; return; }
      if (!this.seeking) {
        window.sounded.from = Math.min(window.sounded.from, this.currentTime);
        window.sounded.to = Math.max(window.sounded.to, this.currentTime);
        window.sounded.rate = this.playbackRate;
        window.sounded.ran += 1;
      }
      setTimeout(look, 10);
    };
    const done = real.call(this);
    done.then(look);
    return done;
  };
"""
"""Watches the real player from outside."""


def test_one_key_plays_exactly_the_seconds_of_the_record(browsers: Browsers, job: Any) -> None:
    page = browsers()
    page.add_init_script(SOUND)
    page.goto(f"{job.note}?record=p4")
    words = page.locator(".w.mine")
    start_s = float(words.first.get_attribute("data-s"))
    page.locator("#around").fill("0.2")
    page.locator("#around").blur()
    page.keyboard.press("p")
    page.locator("#transcript .w.lit").first.wait_for()
    assert page.locator("#transcript .w.lit.mine").count() == 1
    page.wait_for_function("() => window.sounded.ended")
    run = played(page)
    spans = [pair.split("-") for pair in page.locator("#record-seconds").get_attribute("data-play").split()]
    last_s = max(float(end) for _, end in spans)
    assert run["ran"] > 5
    assert start_s - 0.25 <= run["from"] <= start_s + 0.3
    assert last_s <= run["to"] <= last_s + 0.2 + 0.25


def test_the_sound_goes_slower_and_stops_when_the_record_is_answered(browsers: Browsers, job: Any) -> None:
    page = browsers()
    page.add_init_script(SOUND)
    page.goto(job.note)
    page.keyboard.press(",")
    page.keyboard.press("p")
    page.wait_for_function("() => window.sounded.ran > 3")
    assert played(page)["rate"] == 0.75
    page.keyboard.press("y")
    on(page, "p2")
    page.wait_for_function("() => window.sounded.ended")


def test_a_word_that_is_clicked_plays_on_from_there(browsers: Browsers, job: Any) -> None:
    page = browsers()
    page.add_init_script(SOUND)
    page.goto(job.note)
    word = page.locator("#transcript .w", has_text=re.compile("^kettle's$"))
    word.click()
    page.wait_for_function("() => window.sounded.ran > 10")
    page.keyboard.press("p")
    page.wait_for_function("() => window.sounded.ended")
    start_s = float(word.get_attribute("data-s"))
    assert start_s - 0.4 <= played(page)["from"] <= start_s + 0.3


def test_two_hearings_and_badly_heard_words_are_told_apart_without_colour(page: Any) -> None:
    assert page.locator(".w.differs", has_text="plater").count() == 1
    assert page.locator("#transcript .other-hearing").inner_text().endswith("later")
    weak = page.locator(".w.weak")
    assert weak.first.inner_text() == "rechromed,"
    for words in (".w.weak", ".w.differs"):
        style = page.locator(words).first.evaluate("one => getComputedStyle(one).textDecorationStyle")
        assert style in ("dotted", "dashed")


# Pictures


def test_a_picture_chosen_from_a_filmed_note_is_kept_with_its_part(
    browsers: Browsers, jobs: Any, shop: Shop, filming: Callable[..., Any], tmp_path: Any
) -> None:
    film = shop.keep(filming(tmp_path / "walk.mp4")).name[:64]

    def of_the_film(draft: Draft) -> Draft:
        named = [q.model_copy(update={"start_s": 2.0, "end_s": 3.0}) for q in draft.parts[3].quotes]
        return draft.model_copy(
            update={"parts": (draft.parts[3].model_copy(update={"quotes": tuple(named)}),), "questions": ()}
        )

    job = jobs(change=of_the_film, recording=film, file="walk.mp4")
    page = browsers(to=job.note)
    shown = page.locator("[data-stills] img")
    shown.nth(4).wait_for()
    assert shown.count() == 5
    page.wait_for_function("() => document.querySelector('.named img').naturalWidth > 0")
    page.locator("[data-stills] label", has=page.locator("img")).nth(3).click()
    page.keyboard.press("y")
    state(page, "p1", "confirmed")
    page.locator(LINE, has_text="picture").wait_for()
    (kept,) = job.bodies("picture-attached")
    assert kept.at_s == pytest.approx(3.25)
    page.goto(f"{job.place}/part/001")
    assert page.locator(".pictures img").count() == 1
    page.wait_for_function("() => document.querySelector('.pictures img').naturalWidth > 0")


# The end of a desk


def test_a_desk_killed_and_started_again_goes_on_and_nothing_typed_is_lost(
    browsers: Browsers, job: Any, own_desk: Any
) -> None:
    page = browsers(way_in=own_desk.way_in, base_url=own_desk.home, to=job.note)
    page.locator("#f-location").fill("lower saloon")
    own_desk.kill()
    page.keyboard.press("Control+Enter")
    page.locator(MISTAKE, has_text="does not answer").wait_for()
    assert page.input_value("#f-location") == "lower saloon"
    own_desk.open()
    another = page.context.new_page()
    another.goto(own_desk.way_in)
    another.get_by_role("button", name="Ada Fenn").click()
    page.locator(LINE, has_text="The desk answers again").wait_for()
    page.locator("#confirm").click()
    state(page, "p1", "confirmed")
    (kept,) = job.bodies("part-confirmed")
    assert kept.part.location == "lower saloon"


def test_an_answer_that_was_kept_before_the_desk_died_stands_there_afterwards(
    browsers: Browsers, job: Any, own_desk: Any
) -> None:
    page = browsers(way_in=own_desk.way_in, base_url=own_desk.home, to=job.note)
    page.keyboard.press("y")
    on(page, "p2")
    own_desk.kill()
    own_desk.open()
    page.goto(own_desk.way_in)
    page.get_by_role("button", name="Ada Fenn").click()
    page.goto(job.note)
    state(page, "p1", "confirmed")
    on(page, "p2")
