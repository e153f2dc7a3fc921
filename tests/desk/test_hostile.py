"""Names, quotes and reasons are never anything but text, whatever is written in them."""

import re
from html.parser import HTMLParser

import pytest
from starlette.testclient import TestClient

from notepipe.desk.app import application
from notepipe.desk.desk import Desk, job_key
from notepipe.draft import Caution, Decision, Doubt, Draft, Note, Part, Question, Quote, Size
from notepipe.entries import JobOpened, NoteTaken
from notepipe.ledger import Hand, Ledger
from notepipe.shop import Settings, Shop, start_shop

HOSTILE = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "' autofocus onfocus='alert(1)",
    "</textarea></select><svg onload=alert(1)>",
    "{{ 7 * 7 }}{% raw %}",
    "javascript:alert(1)",
    "\u202egpj.exe",
    "مصباح أمامي",
    "a\u0000b".replace("\u0000", "\ufffd"),
    "]]><!--",
]
HOME = "http://127.0.0.1:7407"
SHA = "ef" * 32
AT = "2026-11-25T10:00:00+00:00"
Shown = tuple[str, list[str]]
"""A hostile text, and every page and piece that shows it."""


def _draft(text: str) -> Draft:
    part = Part(
        name=text,
        heard_as=(text,),
        quantity=2,
        metal=text,
        finish=text,
        location=text,
        condition=(text,),
        sizes=(Size(feature=text, value="2", unit="in", mm=50.8),),
        decisions=(
            Decision(
                action="replate", standing="decided", by=text, to_finish=text, to_metal=text, quote=text
            ),
        ),
        quotes=(Quote(text=text),),
        doubts=(Doubt(field="metal", why=text, other=text), Doubt(field="decision", why=text, other=text)),
        cautions=(Caution(id=text, text=text, defer_to=text, acknowledge=True),),
    )
    question = Question(
        to="client", about=text, text=text, quote=text, doubts=(Doubt(field="text", why=text),)
    )
    note = Note(file=text, sha256=SHA, warnings=(text,))
    return Draft(note=note, parts=(part,), questions=(question,), doubts=(Doubt(field="note", why=text),))


class _Tags(HTMLParser):
    """The elements of a page with their attributes, and its text."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.words: list[tuple[str, str]] = []
        """Each text with the element right around it."""
        self._open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta", "link", "input", "br"):
            word = " w" in f" {dict(attrs).get('class') or ''}"
            self._open.append("span.w" if tag == "span" and word else tag)

    def handle_endtag(self, _: str) -> None:
        self._open.pop()

    def handle_data(self, data: str) -> None:
        self.text += data
        self.words.append((self._open[-1] if self._open else "", data))


@pytest.fixture(params=HOSTILE)
def pages(request: pytest.FixtureRequest, tmp_path) -> Shown:
    """The hostile text, and every page and piece that shows it."""
    text = request.param
    shop: Shop = start_shop(
        tmp_path / "shop", Settings(shop=text.replace("\u202e", "") or "x", reviewers=("Ada Fenn",))
    )
    ledger = Ledger(shop.ledger)
    hand = Hand(who="Ada Fenn", at=AT)
    ledger.append(
        text,
        hand,
        JobOpened(name=text, client=text, what=text),
        NoteTaken(recording=SHA, file=text, transcript=text, draft=_draft(text)),
    )
    desk = Desk(shop, ledger, lambda: AT, port=7407, person="Ada Fenn")
    browser = TestClient(application(desk), base_url=HOME, headers={"origin": HOME})
    browser.get("/enter", params={"token": desk.token})
    job = f"/job/{job_key(text)}"
    note = f"{job}/note/{SHA[:16]}"
    shown = [browser.get(path).text for path in ("/", "/who", f"{job}/review", note, f"{note}?record=q1")]
    browser.post(f"{note}/answer", json={"do": "put off", "record": "q1", "reason": text})
    shown.append(browser.get(f"{note}/card?record=q1").text)
    told = browser.post(f"{note}/answer", json={"do": "drop", "record": "p1", "reason": text})
    assert told.status_code == 200
    shown += [told.json()["list"], browser.get(f"{note}/card?record=p1").text]
    shown.append(browser.get(f"/job/{job_key(text)}x/review").text)
    return text, shown


def test_hostile_text_makes_no_element_and_no_handler(pages: Shown) -> None:
    _, shown = pages
    for page in shown:
        parser = _Tags()
        parser.feed(page)
        for tag, attributes in parser.tags:
            assert not any(name.startswith("on") for name in attributes), (tag, attributes)
            assert "autofocus" not in attributes
            assert tag not in ("img", "svg", "iframe", "object", "embed", "base", "style")
            if tag == "script":
                assert re.fullmatch(r"/assets/[a-z_-]+\.js", attributes["src"] or "")
            if tag == "a":
                assert re.match(r"[/#]", attributes["href"] or "")


def test_hostile_text_stands_there_letter_for_letter(pages: Shown) -> None:
    text, shown = pages
    parser = _Tags()
    parser.feed(shown[3])
    assert text in parser.text
    assert any(attributes.get("value") == text for tag, attributes in parser.tags if tag == "input")


def test_text_that_runs_the_other_way_turns_nothing_round_it(pages: Shown) -> None:
    text, shown = pages
    for page in shown:
        parser = _Tags()
        parser.feed(page)
        for inside, words in parser.words:
            if text in words:
                assert inside in ("bdi", "textarea", "span.w", "option") or "\u2068" in words, (inside, words)


@pytest.mark.parametrize(
    "name", ["a/b", "..", ".", "tram 7", "%2e%2e", "ä", "x" * 300, "a\\b", "a?b#c", "<b>"]
)
def test_any_jobs_name_makes_an_address_of_plain_letters_that_leads_to_it(tmp_path, name: str) -> None:
    assert re.fullmatch(r"[A-Za-z0-9_-]+", job_key(name))
    shop = start_shop(tmp_path / "shop", Settings(shop="Larkhill", reviewers=("Ada Fenn",)))
    ledger = Ledger(shop.ledger)
    ledger.append(name, Hand(who="Ada Fenn", at=AT), JobOpened(name=name, client="c", what="w"))
    desk = Desk(shop, ledger, lambda: AT, port=7407)
    assert desk.job(job_key(name)).name == name


def test_two_names_that_look_alike_have_addresses_of_their_own() -> None:
    assert len({job_key(name) for name in ("tram 7", "tram/7", "tram-7", "tram?7")}) == 4
