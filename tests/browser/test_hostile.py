"""Text from outside never becomes anything but text in a real browser, and no other page gets at the desk."""

import http.client
import threading
from collections.abc import Callable, Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from typing import Any

import pytest

from notepipe.draft import Caution, Decision, Doubt, Draft, Part, Question, Size
from notepipe.entries import PartConfirmed, QuestionConfirmed

SCRIPTS = (
    "<script>window.ran = 1</script>",
    '"><img src=x onerror="window.ran = 1">',
    "' autofocus onfocus='window.ran = 1",
    "</textarea></select><svg onload=window.ran=1>",
    "<iframe srcdoc='<script>parent.ran = 1</script>'>",
    "<style>*{display:none}</style><base href=//other.example>",
    "{{ 7 * 7 }}",
)
TURNED = "مصباح أمامي \u202egpj.exe"
LONG = "W" * 400
Browsers = Callable[..., Any]


def called(text: str, like: Part) -> Part:
    """A part with *text* in every field that a person can have said."""
    said = {"by": text, "to_finish": text, "to_metal": text, "quote": text}
    return Part(
        name=text,
        heard_as=(text,),
        quantity=2,
        metal=text,
        finish=text,
        location=text,
        condition=(text,),
        sizes=(Size(feature=text, value="2", unit="in", mm=50.8),),
        decisions=(Decision(action="replate", standing="decided", **said),),
        quotes=tuple(q.model_copy(update={"text": text}) for q in like.quotes),
        doubts=(Doubt(field="metal", why=text, other=text), Doubt(field="decision", why=text, other=text)),
        cautions=(Caution(id="c", text=text, defer_to=text, acknowledge=True),),
    )


def told(jobs: Any, *texts: str) -> Any:
    """A job in which everything is called one of *texts*: each a part that waits, and one confirmed with a
    question."""

    def change(draft: Draft) -> Draft:
        parts = tuple(called(text, draft.parts[0]) for text in texts)
        questions = tuple(Question(to="client", about=t, text=t, quote=t) for t in texts)
        doubts = tuple(Doubt(field="note", why=text) for text in texts)
        update = {"parts": (*parts, *parts), "questions": questions, "doubts": doubts}
        return draft.model_copy(update=update)

    job = jobs(change=change, file=" ".join(texts))
    draft = job.bodies("note-taken")[0].draft
    for k in range(1, len(texts) + 1):
        part, asked, rest = draft.parts[k - 1], draft.questions[k - 1], {"recording": job.recording}
        job.append(
            PartConfirmed(record=f"p{len(texts) + k}", tag=f"{k:03d}", part=part, **rest),
            QuestionConfirmed(record=f"q{k}", tag=f"Q{k:02d}", question=asked, **rest),
        )
    return job


def pages(job: Any, count: int = 1) -> tuple[str, ...]:
    """Every page of the job on which the texts stand."""
    more = ("review", "register", "questions", "due", "papers/update", "pictures", "story", "take-in")
    each = range(1, count + 1)
    return (
        "/",
        *(f"{job.note}?record=p{k}" for k in range(1, 2 * count + 1)),
        *(f"{job.place}/part/{k:03d}" for k in each),
        *(f"{job.place}/{page}" for page in more),
    )


def test_what_is_written_like_a_page_neither_runs_nor_breaks_one(
    browsers: Browsers, jobs: Any, desk: Any
) -> None:
    job, page = told(jobs, *SCRIPTS), browsers()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("dialog", lambda dialog: asked.append(dialog.message))
    for where in pages(job, len(SCRIPTS)):
        page.goto(where)
        assert page.evaluate("() => window.ran") is None, where
        assert page.locator("main h1").is_visible() or page.locator("body.sheet").count()
    for k, text in enumerate(SCRIPTS, start=1):
        page.goto(f"{job.note}?record=p{k}")
        assert page.input_value("#f-name") == text
        page.keyboard.press("s")
        page.locator("#split[open]").wait_for()
        page.keyboard.press("Escape")
        page.locator("#split[open]").wait_for(state="detached")
        page.keyboard.press("o")
        page.keyboard.press("d")
        page.locator("#drop-reason").fill(text)
        page.keyboard.press("Enter")
        page.locator(f'[data-open=p{k}][data-state="dropped"]').wait_for()
        assert text in page.inner_text("#line")
        assert page.evaluate("() => window.ran") is None
    assert [url for url in asked if not url.startswith(desk.home)] == []


def test_text_that_runs_the_other_way_turns_nothing_round_it(browsers: Browsers, jobs: Any) -> None:
    job = told(jobs, TURNED)
    page = browsers(to=job.note)
    page.locator("#record").wait_for()
    loose = page.evaluate(
        """(text) => {
          const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
          const loose = [];
          while (walker.nextNode()) {
            const { parentElement: one, textContent } = walker.currentNode;
            if (!textContent.includes("أمامي") || !one.checkVisibility()) continue;
            let isolated = false;
            for (let at = one; at && getComputedStyle(at).display === "inline"; at = at.parentElement)
              isolated ||= getComputedStyle(at).unicodeBidi.startsWith("isolate");
            if (!isolated && getComputedStyle(one).unicodeBidi !== "isolate") loose.push(one.outerHTML.slice(0, 80));
          }
          return loose;
        }""",
        TURNED,
    )
    assert [one for one in loose if 'class="w' not in one] == []
    assert page.input_value("#f-name") == TURNED


def test_one_endless_word_pushes_nothing_off_a_telephone(browsers: Browsers, jobs: Any) -> None:
    job = told(jobs, LONG)
    page = browsers(viewport={"width": 360, "height": 740})
    wide = {}
    for where in pages(job):
        page.goto(where)
        if (across := page.evaluate("() => document.documentElement.scrollWidth")) > 360:
            wide[where] = across
    assert wide == {}


# Other pages, other names, other paths


@pytest.fixture
def other_site(chromium: Any) -> Iterator[Callable[[str], str]]:
    """Serves a page of another site (other.example, which leads to this machine); gives back its address."""
    html = ""

    class Answer(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("content-type", "text/html")
            self.end_headers()
            self.wfile.write(html.encode())

        def log_message(self, *_: Any) -> None:
            pass

    server = HTTPServer(("127.0.0.1", 0), Answer)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()

    def serve(page: str) -> str:
        nonlocal html
        html = page
        return f"http://other.example:{server.server_port}/"

    yield serve
    server.shutdown()
    server.server_close()
    thread.join()


def test_a_page_of_another_site_can_neither_answer_nor_read_nor_frame(
    browsers: Browsers, job: Any, desk: Any, other_site: Callable[[str], str]
) -> None:
    page = browsers(to=job.note)
    page.goto("about:blank")
    answered: dict[str, int] = {}
    page.on("response", lambda got: answered.update({f"{got.request.method} {got.url}": got.status}))
    told = '{"do": "confirm", "record": "p4"}'
    page.goto(
        other_site(
            f"""<form method="post" action="{desk.home}{job.note}/answer" enctype="text/plain" target="t">
            <input name='{told[:-1]}, "x": "' value='"}}'></form>
            <iframe name="t"></iframe><iframe id="f" src="{desk.home}{job.note}"></iframe>
            <audio src="{desk.home}/recording/{job.recording}" preload="auto"></audio>
            <script>
              document.forms[0].submit();
              fetch("{desk.home}{job.note}/answer", {{ method: "POST", mode: "no-cors", credentials: "include", body: '{told}' }}).catch(() => {{}});
              fetch("{desk.home}/", {{ credentials: "include" }}).then((a) => a.text()).then((t) => {{ window.got = t; }}, () => {{}});
            </script>"""
        )
    )
    page.wait_for_load_state("networkidle")
    ours = {at: status for at, status in answered.items() if desk.home in at}
    assert ours
    assert set(ours.values()) <= {401, 403}
    assert page.evaluate("() => window.got") is None
    assert all("Larkhill" not in frame.content() for frame in page.frames)
    assert job.bodies("part-confirmed") == []


def test_a_name_of_the_wide_world_that_leads_here_is_refused(browsers: Browsers, desk: Any) -> None:
    page = browsers()
    answer = page.goto(desk.way_in.replace("127.0.0.1", "other.example"))
    assert answer.status == 403
    assert "Larkhill" not in page.content()


@pytest.mark.parametrize(
    "path",
    [
        "/assets/../app.py",
        "/assets/%2e%2e/app.py",
        "/assets/..%2f..%2f__init__.py",
        "/assets//etc/passwd",
        "/recording/..%2f..%2fledger.db",
        "/recording/../ledger.db",
        "/picture/..%2f..%2fshop.toml",
        "/still/../../shop.toml/0",
        "/job/..%2f..%2f/register",
        "/job/tram-1/note/..%2f..%2fledger.db",
        "/job/tram-1/papers/..%2f..%2fshop.toml",
        "/job/tram-1/papers/sheet/..%2f..%2fshop.toml",
        "//other.example/",
        "/%00",
    ],
)
def test_no_path_leads_out_of_the_desk(browsers: Browsers, desk: Any, path: str) -> None:
    (cookie,) = browsers().context.cookies()
    asked = http.client.HTTPConnection("127.0.0.1", desk.port, timeout=10)
    asked.request("GET", path, headers={"cookie": f"{cookie['name']}={cookie['value']}"})
    answer = asked.getresponse()
    body = answer.read()
    asked.close()
    assert answer.status == 404
    assert b"SQLite format" not in body
    assert b"import " not in body
    assert b"root:" not in body
    assert b"[[" not in body
