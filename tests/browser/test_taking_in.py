"""A recording dropped onto the page is kept, heard and drafted while the page tells how far it is."""

from collections.abc import Callable
from typing import Any

WORDS = "Two lamp brackets, cast iron. They just get cleaned and painted black. The bell lever is bronze."
DROPPED = """([name, words]) => {
  const files = new DataTransfer();
  files.items.add(new File([words], name, { type: "text/plain" }));
  return files;
}"""
Browsers = Callable[..., Any]


def drop(page: Any, name: str, words: str) -> None:
    files = page.evaluate_handle(DROPPED, [name, words])
    page.dispatch_event("#drop", "dragenter", {"dataTransfer": files})
    assert "over" in page.locator("#drop").get_attribute("class").split()
    page.dispatch_event("#drop", "drop", {"dataTransfer": files})


def test_what_is_dropped_is_taken_in_and_then_reviewed(browsers: Browsers, job: Any) -> None:
    page = browsers(to=f"{job.place}/take-in")
    drop(page, "second walk.txt", WORDS)
    row = page.locator("#coming li", has_text="second walk.txt")
    row.get_by_role("link", name="Review it").click(timeout=60_000)
    page.locator("#record").wait_for()
    assert "second walk.txt" in page.inner_text("h1")
    assert len(job.bodies("note-taken")) == 2


def test_what_is_no_recording_is_refused_in_one_line(browsers: Browsers, job: Any) -> None:
    page = browsers(to=f"{job.place}/take-in")
    drop(page, "bill.pdf", "%PDF-1.7")
    page.locator(".mistake", has_text="bill.pdf").first.wait_for()
    assert len(job.bodies("note-taken")) == 1


def test_files_are_chosen_as_well_as_dropped(browsers: Browsers, job: Any) -> None:
    page = browsers(to=f"{job.place}/take-in")
    page.set_input_files("#recordings", {"name": "a.pdf", "mimeType": "application/pdf", "buffer": b"%PDF"})
    page.locator(".mistake", has_text="a.pdf").first.wait_for()
