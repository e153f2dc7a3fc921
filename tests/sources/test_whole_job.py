"""The page of a whole job: what it must hold, that anybody can check it, and that nothing typed can break it.

- AIC Guidelines for Practice, Commentary 24: a record names its purpose, its author and its date, and tells
  which thing it is about; 27: a dated record of all treatment with the names of those who did it, what is
  only on sound put on paper; 28: legible without a machine's program, in two copies, one with the owner.
- Collections Trust, Spectrum, Condition checking: conditions over time, before and after moves, side by side.
- EN 16095:2012, Condition recording: purpose, context and status of the report.
- RFC 8785 (JSON Canonicalization Scheme) and FIPS 180-4 (SHA-256): what an entry's hash is taken of.
- HTML (WHATWG), 13.1: elements that are opened are closed; RFC 3339: times with their offset.
"""

from __future__ import annotations

import hashlib
import html
import json
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from notepipe.copies import must_hold, read_copy
from notepipe.draft import Caution, Decision, Draft, Note, Part, Question, Quote, Size
from notepipe.entries import (
    Body,
    Change,
    JobOpened,
    NoteTaken,
    PaperIssued,
    PartConfirmed,
    QuestionAnswered,
    QuestionConfirmed,
)
from notepipe.errands import (
    ConditionNoted,
    LineBack,
    PriceNoted,
    PriceReleased,
    PromiseNoted,
    SheetBack,
    SheetLine,
    SheetSent,
    WhereaboutsNoted,
)
from notepipe.errors import BadLedger, NotFound
from notepipe.exporting import extract_of, page_of, says_the_same
from notepipe.ledger import Hand, Ledger
from notepipe.papers import Letter

SHA = "ab" * 32
LETTER = Letter(shop="Larkhill Tramway Workshop", date="")
HOSTILE = "</pre><script>alert(1)</script>\"'&amp;&#160;{{ 7 * 7 }}\xa0é\r\n\u2028\u202e\x1f😀<!-- ]]>"
LAMP = Part(
    name="lamp",
    quantity=2,
    metal="brass",
    condition=("worn, what a dog's dinner",),
    sizes=(Size(feature="across", value="14 1/2", unit="in", mm=368.3),),
    quotes=(Quote(text="two lamps", start_s=12.4, end_s=17.9),),
    decisions=(
        Decision(action="replate", standing="decided", by="plater", to_finish="nickel", quote="to Tarn's"),
    ),
    cautions=(Caution(id="x.y", text="Is it wired?", defer_to="an electrician"),),
)
ASK = Question(to="client", about="lamp", text="Brass or nickel?", quote="ask about nickel")
INSIDE = Question(to="shop", about="lamp", text="Where is the jig?", quote="where's the jig")
NOTE = Note(file="walk.m4a", sha256=SHA, duration_s=97.25, heard_with="whisper base int8")
LINE = SheetLine(line=1, tag="001", name="lamp", count=2, wanted="replate to nickel")
BACK = LineBack(line=1, count=2, finish="nickel", damage="a scratch")
LIFE: tuple[Body, ...] = (
    JobOpened(name="tram-7", client="Fennimore Museum of Transport", what="Tram 7"),
    NoteTaken(
        recording=SHA, file="walk.m4a", transcript="two lamps\nthe kettle is on",
        draft=Draft(note=NOTE, parts=(LAMP,)),
    ),
    PartConfirmed(
        recording=SHA, record="p1", tag="001", part=LAMP, settled=("metal: brass or bronze",),
        changes=(Change(field="metal", was="bronze", now="brass"),), acknowledged=("x.y",),
    ),
    QuestionConfirmed(recording=SHA, record="q1", tag="Q01", question=ASK),
    QuestionConfirmed(recording=SHA, record="q2", tag="Q02", question=INSIDE),
    ConditionNoted(tag="001", moment="on arrival", condition=("dented",), on="2026-11-20"),
    ConditionNoted(tag="001", moment="back", by_whom="Tarn Plating", condition=("bright",), on="2026-12-15"),
    WhereaboutsNoted(tag="001", where="kept", count=1, remark="Joe's drawer"),
    PriceNoted(price="M01", tag="001", amount="140", currency="GBP", what_for="plating", words="140 quid"),
    PriceNoted(price="M02", tag="001", amount="85", currency="GBP", what_for="wiring", words="85"),
    PriceReleased(price="M02"),
    PaperIssued(paper="client update", number=1, sha256="cd" * 32, to="Dr Adair", up_to=5, asked=("Q01",)),
    QuestionAnswered(
        tag="Q01", answer="nickel, please", by="Dr Adair", on="2026-12-01", way="on the telephone",
    ),
    SheetSent(
        sheet="S01", vendor="Tarn Plating", trade="plater", lines=(LINE,), pieces=2, on="2026-12-02",
        reference="TP/9",
    ),
    SheetBack(sheet="S01", lines=(BACK,), on="2026-12-15"),
    PromiseNoted(
        promise="D01", who="Tarn Plating", what="lamp", tags=("001",), words="two weeks, they reckon",
        said_on="2026-12-02", due="2026-12-16",
    ),
)  # fmt: skip


def ledger_of(*bodies: Body, who: str = "Ada Fenn") -> Ledger:
    ledger = Ledger(None)
    for number, body in enumerate(bodies):
        ledger.append("tram-7", Hand(who=who, at=f"2026-11-25T10:{number:02d}:00+01:00"), body)
    return ledger


LEDGER = ledger_of(*LIFE)
PAGE = page_of(LEDGER.written("tram-7"), LETTER)


class Elements(HTMLParser):
    """Every element of a page, whether they close as they opened, and the text."""

    EMPTY = ("meta", "br", "hr")

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.opened: list[str] = []
        self.seen: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(page)
        self.close()
        assert self.opened == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))
        if tag not in self.EMPTY:
            self.opened.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.opened.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += " " + data


def told(page: str) -> str:
    return re.sub(r" ([,:;.)])", r"\1", " ".join(Elements(page).text.split()))


@pytest.mark.parametrize(
    "what",
    [
        "Purpose To keep what was found, asked, decided and done",
        "Status open",
        "Larkhill Tramway Workshop",
        "Fennimore Museum of Transport",
        "Written by Ada Fenn (16 entries)",
        "001 lamp",
        "count 2 metal brass",
        "across 14 1/2 in (368.3 mm)",
        "as first seen worn, what a dog's dinner",
        "on arrival 2026-11-20: dented",
        "back from Tarn Plating 2026-12-15: bright",
        "the original 1 kept (Joe's drawer)",
        "140 GBP for plating (inside the shop)",
        "85 GBP for wiring (released to the client)",
        "Is it wired? Defer to: an electrician.",
        "replate to nickel, plater decided to Tarn's",
        "two lamps 0:12.4–0:17.9, walk.m4a#t=12.4,17.9",
        "metal: was bronze, now brass",
        "settled: metal: brass or bronze",
        "acknowledged the caution: x.y",
        "Brass or nickel? open since 2026-11-25 10:03, confirmed by Ada Fenn asked in update no. 1",
        "nickel, please Dr Adair, 2026-12-01, on the telephone; written down by Ada Fenn",
        "Where is the jig?",
        "client update no. 1 Dr Adair",
        "quotation TP/9",
        "2026-12-15: 2, nickel, damaged: a scratch",
        "two weeks, they reckon",
        f"walk.m4a SHA-256 {SHA} length 97.2 s",
        "the kettle is on",
    ],
)
def test_the_page_holds_what_such_a_record_must_hold(what: str) -> None:
    assert what in told(PAGE)


def test_every_time_of_an_entry_stands_with_its_offset() -> None:
    """RFC 3339, section 5.6."""
    times = {attributes["datetime"] for tag, attributes in Elements(PAGE).seen if tag == "time"}
    entries = {one.entry.at for one in LEDGER.written("tram-7")}
    assert entries <= times
    assert all(re.fullmatch(r"\d{4}-\d\d-\d\d(T\d\d:\d\d:\d\d[+-]\d\d:\d\d)?", str(time)) for time in times)


def test_the_page_needs_nothing_from_outside_and_runs_nothing() -> None:
    for tag, attributes in Elements(PAGE).seen:
        assert tag not in ("script", "link", "img", "iframe", "object", "embed", "form", "base")
        assert not {"src", "style", "srcset", "action"} & set(attributes)
        assert not [name for name in attributes if name.startswith("on")]
        assert str(attributes.get("href", "#")).startswith("#")
    assert "url(" not in PAGE
    assert "@import" not in PAGE


def test_every_link_within_the_page_leads_somewhere() -> None:
    seen = Elements(PAGE).seen
    ids = [attributes["id"] for _, attributes in seen if "id" in attributes]
    assert len(ids) == len(set(ids))
    assert {str(a["href"])[1:] for _, a in seen if "href" in a} <= set(ids)


def test_the_same_job_gives_the_same_bytes() -> None:
    assert page_of(LEDGER.written("tram-7"), LETTER) == PAGE


def test_the_copy_alone_holds_every_entry_as_it_was_written() -> None:
    copy = read_copy("tram-7.html", PAGE)
    must_hold("tram-7.html", copy)
    assert [one.entry for one in copy.written] == list(LEDGER.entries("tram-7"))
    assert says_the_same(copy, PAGE)


def texts(page: str) -> list[tuple[str, str]]:
    """Hash and text of each entry, cut out of the page without this program's own reader."""
    found = re.findall(r'<pre class="entry" data-sha256="(\w+)">(.*?)</pre>', page, re.DOTALL)
    return [(told, html.unescape(text)) for told, text in found]


def test_the_text_of_an_entry_is_what_its_hash_was_taken_of() -> None:
    """FIPS 180-4, by hashlib and by the sha256sum of the machine where it has one."""
    for told_hash, text in texts(PAGE):
        assert hashlib.sha256(text.encode()).hexdigest() == told_hash
    told_hash, text = texts(PAGE)[1]
    try:
        ran = subprocess.run(["sha256sum"], input=text.encode(), capture_output=True, check=True)
    except FileNotFoundError:
        pytest.skip("no sha256sum here")
    assert ran.stdout.decode().split()[0] == told_hash


def test_the_lines_the_page_gives_check_it_and_find_a_change(tmp_path: Path) -> None:
    (script,) = re.findall(r'<pre id="check-script">(.*?)</pre>', PAGE, re.DOTALL)
    code = tmp_path / "check.py"
    code.write_text(html.unescape(script), encoding="utf-8")

    def ran(page: str) -> subprocess.CompletedProcess[str]:
        copy = tmp_path / "tram-7.html"
        copy.write_text(page, encoding="utf-8", newline="")
        return subprocess.run([sys.executable, str(code), str(copy)], capture_output=True, text=True)

    last = LEDGER.entries("tram-7")[-1].hash
    assert ran(PAGE).stdout == f"16 entries hold, the last {last}\n"
    changed = ran(PAGE.replace('"metal":"brass"', '"metal":"steel"'))
    assert (changed.returncode, changed.stderr) == (1, "entry 2 does not hold\n")


def wrong(page: str) -> str:
    with pytest.raises(BadLedger) as error:
        must_hold("copy.html", read_copy("copy.html", page))
    return error.value.what


@given(st.data())
@settings(deadline=None, max_examples=60)
def test_one_letter_changed_in_any_entry_is_found_and_the_entry_named(data: st.DataObject) -> None:
    found = list(re.finditer(r'<pre class="entry" data-sha256="\w+">(.*?)</pre>', PAGE, re.DOTALL))
    number = data.draw(st.integers(1, len(found)))
    start, end = found[number - 1].span(1)
    at = data.draw(st.integers(start, end - 1))
    letter = data.draw(st.sampled_from("0aZ~"))
    if letter != PAGE[at]:
        assert f"entry {number}: was changed" in wrong(PAGE[:at] + letter + PAGE[at + 1 :])


def entry_of(number: int) -> str:
    match = re.search(rf'<article id="entry-{number}">.*?</article>\n', PAGE, re.DOTALL)
    assert match
    return match[0]


def test_an_entry_left_out_slipped_in_or_swapped_is_named() -> None:
    assert "entry 4: missing" in wrong(PAGE.replace(entry_of(4), ""))
    assert "entry 5: missing" in wrong(PAGE.replace(entry_of(4), entry_of(4) * 2))
    swapped = PAGE.replace(entry_of(4), "@").replace(entry_of(5), entry_of(4)).replace("@", entry_of(5))
    assert "entry 4: missing" in wrong(swapped)
    assert "entry 16: missing (the page says it holds 16)" in wrong(PAGE.replace(entry_of(16), ""))


def test_an_entry_of_another_history_does_not_hold_here() -> None:
    other = page_of(ledger_of(*LIFE, who="Joe Marsh").written("tram-7"), LETTER)
    (theirs,) = re.findall(r'<article id="entry-4">.*?</article>\n', other, re.DOTALL)
    assert "entry 4: does not hold the hash of the one before it" in wrong(PAGE.replace(entry_of(4), theirs))


def test_an_entry_that_hides_a_field_behind_its_double_is_refused() -> None:
    """RFC 8785, 3.1: no name twice. A reader would see both, a program only the last."""
    told_hash, text = texts(PAGE)[0]
    twice = text.replace('"what":"Tram 7"', '"what":"Tram 8","what":"Tram 7"')
    page = PAGE.replace(html.escape(text, quote=False), html.escape(twice, quote=False))
    page = page.replace(
        f'data-sha256="{told_hash}"', f'data-sha256="{hashlib.sha256(twice.encode()).hexdigest()}"'
    )
    assert "entry 1: is not written as RFC 8785 asks" in wrong(page)


def test_what_is_changed_above_the_entries_is_found_too() -> None:
    page = PAGE.replace("<dt>metal</dt><dd>brass</dd>", "<dt>metal</dt><dd>gold</dd>")
    copy = read_copy("copy.html", page)
    must_hold("copy.html", copy)
    assert not says_the_same(copy, page)


@pytest.mark.parametrize("page", ["", "<p>hello</p>", "<pre class=entry>{}</pre>", "shop = 1"])
def test_what_is_no_copy_is_told(page: str) -> None:
    with pytest.raises(NotFound, match="no copy"):
        read_copy("bill.html", page)


def test_an_entry_from_before_a_field_was_known_is_exported_as_it_was_hashed() -> None:
    import sqlalchemy as sa

    from notepipe import chain
    from notepipe import ledger as module

    ledger = ledger_of(*LIFE[:2])
    body = LIFE[2].model_dump(mode="json")
    for later in ("against", "because", "split_from"):
        del body[later]
    last = ledger.entries("tram-7")[-1]
    columns = {"job": "tram-7", "number": 3, "at": last.at, "who": "Ada Fenn", "before": last.hash}
    text = json.dumps(body)
    row = {**columns, "kind": "part-confirmed", "body": text, "hash": chain.hash_of(columns, body)}
    with ledger._engine.begin() as connection:
        connection.execute(sa.insert(module._entries), [row])
    page = page_of(ledger.written("tram-7"), LETTER)
    must_hold("old.html", read_copy("old.html", page))
    assert "because" not in texts(page)[2][1]


letters = st.text(st.characters(exclude_categories=["Cs"]), max_size=20) | st.just(HOSTILE)


@given(letters, letters, letters)
@settings(deadline=None, max_examples=80)
def test_nothing_that_was_typed_breaks_the_page_or_its_checking(name: str, client: str, who: str) -> None:
    part = LAMP.model_copy(update={"name": name, "condition": (client,), "metal": who})
    ledger = ledger_of(
        JobOpened(name="tram-7", client=client, what=name),
        LIFE[1].model_copy(update={"file": name, "transcript": client}),
        PartConfirmed(recording=SHA, record="p1", tag="001", part=part),
        QuestionAnswered(tag="Q01", answer=name, by=client, on="2026-12-01"),
        who=who,
    )
    page = page_of(ledger.written("tram-7"), Letter(shop=client, date=""))
    assert "script" not in {tag for tag, _ in Elements(page).seen}
    copy = read_copy("copy.html", page)
    must_hold("copy.html", copy)
    assert [one.text for one in copy.written] == [one.text for one in ledger.written("tram-7")]
    assert says_the_same(copy, page)
    assert "script" not in {tag for tag, _ in Elements(extract_of(ledger.written("tram-7"), LETTER)).seen}


def test_letters_that_turn_the_writing_round_stand_nowhere_but_in_the_entries() -> None:
    """Unicode, UAX 9: a name could else read backwards ("Decision: esaer" …)."""
    page = page_of(ledger_of(JobOpened(name="tram-7", client=HOSTILE, what="x")).written("tram-7"), LETTER)
    outside = re.sub(r'<pre class="entry".*?</pre>', "", page, flags=re.DOTALL)
    assert "\u202e" not in outside
    assert "\u202e" in page


@pytest.mark.parametrize(
    "inside",
    [
        "140",
        "M01",
        "jig",
        "dog's dinner",
        "Tarn",
        "two lamps",
        "kettle",
        "TP/9",
        "reckon",
        "Joe",
        "entry-1",
        "bronze",
    ],
)
def test_an_extract_for_the_client_keeps_the_shops_own_matters(inside: str) -> None:
    assert inside not in extract_of(LEDGER.written("tram-7"), LETTER)


@pytest.mark.parametrize(
    "shown",
    [
        "This is an extract.",
        "001 lamp",
        "replate to nickel by the plater decided",
        "85 GBP for wiring",
        "Brass or nickel?",
        "nickel, please",
        "S01 to plater",
        LEDGER.entries("tram-7")[-1].hash,
    ],
)
def test_an_extract_says_that_it_is_one_and_holds_what_is_the_clients(shown: str) -> None:
    assert shown in told(extract_of(LEDGER.written("tram-7"), LETTER))


def test_an_extract_can_not_be_checked_and_says_so() -> None:
    with pytest.raises(NotFound, match="an extract for the client"):
        read_copy("extract.html", extract_of(LEDGER.written("tram-7"), LETTER))


def test_words_of_an_earlier_note_stand_with_the_recording_they_were_said_in() -> None:
    first = "cd" * 32
    quotes = (*LAMP.quotes, Quote(text="six of them", start_s=61.0, end_s=62.0, recording=first))
    decision = LAMP.decisions[0].model_copy(update={"recording": first, "start_s": 63.0, "end_s": 64.0})
    part = LAMP.model_copy(update={"quotes": quotes, "decisions": (decision,)})
    taken = LIFE[1]
    assert isinstance(taken, NoteTaken)
    earlier = taken.model_copy(update={"recording": first, "file": "first.m4a"})
    both = ledger_of(LIFE[0], earlier, taken, PartConfirmed(recording=SHA, record="p1", tag="001", part=part))
    page = told(page_of(both.written("tram-7"), LETTER))
    assert "two lamps 0:12.4–0:17.9, walk.m4a#t=12.4,17.9" in page
    assert "six of them 1:01.0–1:02.0, first.m4a#t=61,62" in page
    assert "to Tarn's 1:03.0–1:04.0, first.m4a#t=63,64" in page
