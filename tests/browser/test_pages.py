"""Every page and dialog of the desk as people meet it: with a screen reader, by keys, on a telephone, on paper."""

import io
from collections.abc import Callable
from typing import Any

import pytest
from PIL import Image, ImageChops, ImageStat

PAGES = (
    "/",
    "/who",
    "{place}/review",
    "{note}",
    "{note}?record=p2",
    "{note}?record=p3",
    "{note}?record=q1",
    "{place}/register",
    "{place}/register?words=nothing-like-it",
    "{place}/part/001",
    "{place}/questions",
    "{place}/due",
    "{place}/papers",
    "{place}/papers/update",
    "{place}/send?vendor=Tarn+Plating&trade=plater",
    "{place}/pictures",
    "{place}/story",
    "{place}/take-in",
    "{place}/nowhere",
)
DIALOGS = {"s": "split", "d": "drop", "l": "later", "a": "all", "t": "join", "m": "missing", "?": "legend"}
STANDARD = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
PHONE = {"viewport": {"width": 360, "height": 740}, "is_mobile": True, "has_touch": True}
Browsers = Callable[..., Any]


@pytest.fixture
def faults() -> Callable[..., list[str]]:
    """What axe-core finds on a page against WCAG 2.2, A and AA, and its own good practice."""
    axe = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="axe-playwright-python is missing"
    )
    core = axe.Axe()

    def found(page: Any, *only: str) -> list[str]:
        # The pencil rules of the paper: axe-core measures no contrast on a gradient.
        page.evaluate("() => { document.body.style.backgroundImage = 'none'; }")
        rules = {"type": "rule", "values": only} if only else {"type": "tag", "values": STANDARD}
        violations = core.run(page, options={"runOnly": rules}).response["violations"]
        return [
            f"{v['id']}: {node['html'][:120]} {node['failureSummary']}"
            for v in violations
            for node in v["nodes"]
        ]

    return found


def test_every_page_meets_wcag_in_light_and_dark(
    browsers: Browsers, full: Any, faults: Callable[..., list[str]]
) -> None:
    page, wrong = browsers(), {}
    for where in PAGES:
        at = where.format(place=full.place, note=full.note)
        page.emulate_media(color_scheme="light")
        page.goto(at)
        page.evaluate("() => { for (const one of document.querySelectorAll('details')) one.open = true; }")
        light = faults(page)
        page.emulate_media(color_scheme="dark")
        if found := light + faults(page, "color-contrast"):
            wrong[where] = found
    assert wrong == {}


def test_every_dialog_meets_wcag_takes_the_focus_and_gives_it_back(
    browsers: Browsers, jobs: Any, faults: Callable[..., list[str]]
) -> None:
    page = browsers(to=jobs(*_on_file()).note)
    page.locator("#record").wait_for()
    wrong = {}
    for key, dialog in DIALOGS.items():
        page.locator("#card-head").focus()
        page.keyboard.press(key)
        page.locator(f"#{dialog}[open]").wait_for()
        assert page.evaluate("() => document.activeElement.closest('dialog')?.id") == dialog
        if found := faults(page):
            wrong[dialog] = found
        page.keyboard.press("Escape")
        page.locator(f"#{dialog}[open]").wait_for(state="detached")
        assert page.evaluate("() => document.activeElement.id") == "card-head"
    assert wrong == {}


def _on_file() -> tuple[Any, ...]:
    from notepipe.draft import Draft, Note, Part
    from notepipe.entries import NoteTaken, PartConfirmed

    first, part = "ab" * 32, Part(name="seat handle", quantity=8)
    draft = Draft(note=Note(file="first.txt", sha256=first), parts=(part,))
    return (
        NoteTaken(recording=first, file="first.txt", transcript="", draft=draft),
        PartConfirmed(recording=first, record="p1", tag="001", part=part),
    )


@pytest.mark.parametrize("width", [360, 320])
def test_no_page_scrolls_sideways_on_a_telephone(browsers: Browsers, full: Any, width: int) -> None:
    page = browsers(**{**PHONE, "viewport": {"width": width, "height": 740}})
    wide = {}
    for where in PAGES:
        page.goto(where.format(place=full.place, note=full.note))
        page.evaluate("() => { for (const one of document.querySelectorAll('details')) one.open = true; }")
        if (across := page.evaluate("() => document.documentElement.scrollWidth")) > width:
            wide[where] = across
    assert wide == {}


def test_a_record_is_reviewed_by_touch(browsers: Browsers, job: Any) -> None:
    page = browsers(to=f"{job.note}?record=p2", **PHONE)
    page.get_by_role("button", name="take bronze").tap()
    page.get_by_role("button", name="It is right").tap()
    page.locator("#record[data-record=p3]").wait_for()
    assert job.bodies("part-confirmed")[0].part.metal == "bronze"


def test_what_is_to_be_touched_is_large_enough_for_a_finger(browsers: Browsers, full: Any) -> None:
    """WCAG 2.2, 2.5.8: 24 by 24 CSS pixels, links within a line of text aside."""
    page, small = browsers(**PHONE), {}
    for where in PAGES:
        page.goto(where.format(place=full.place, note=full.note))
        found = page.evaluate(
            """() => [...document.querySelectorAll("button, input, select, summary")]
              .map((one) => [one.id || one.textContent || one.name, one.getBoundingClientRect()])
              .filter(([, box]) => box.width && Math.min(box.width, box.height) < 24)
              .map(([name, box]) => `${name.trim()} ${box.width} x ${box.height}`)"""
        )
        if found:
            small[where] = found
    assert small == {}


# By keys alone


def focused(page: Any) -> dict[str, Any]:
    """What has the focus, whether a ring is seen round it, and whether it can be seen itself."""
    seen: dict[str, Any] = page.evaluate(
        """() => {
          const one = document.activeElement;
          const box = one.getBoundingClientRect();
          const style = getComputedStyle(one.closest("label:has(img)") ?? one);
          const points = [[0.5, 0.5], [0.1, 0.2], [0.9, 0.8]].map(([x, y]) =>
            document.elementFromPoint(box.left + x * box.width, box.top + y * box.height));
          return {
            name: one.id || one.textContent.trim().slice(0, 40) || one.name || one.tagName,
            body: one === document.body,
            ring: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2,
            hidden: !points.some((at) => at && (one.contains(at) || at.contains(one) || one.labels?.[0]?.contains(at))),
          };
        }"""
    )
    return seen


@pytest.mark.parametrize(
    "where", ["{note}", "{place}/register", "{place}/part/001", "{place}/questions", "/"]
)
def test_keys_alone_reach_everything_and_the_focus_is_always_seen(
    browsers: Browsers, full: Any, where: str
) -> None:
    page = browsers(to=where.format(place=full.place, note=full.note))
    count = page.evaluate(
        """() => [...document.querySelectorAll("a[href], button, input:not([type=hidden], [type=radio]), select, textarea, summary")]
          .filter((one) => one.checkVisibility({ visibilityProperty: true }) && !one.disabled).length"""
    )
    walked = []
    for _ in range(count + 40):
        page.keyboard.press("Tab")
        now = focused(page)
        if now["body"]:
            break
        walked.append(now)
    assert [one["name"] for one in walked if not one["ring"]] == []
    assert [one["name"] for one in walked if one["hidden"]] == []
    assert len(walked) >= count


def test_where_single_keys_are_off_tab_and_enter_do_the_work(browsers: Browsers, job: Any) -> None:
    page = browsers(to=job.note)
    page.keyboard.press("?")
    page.locator("#single-keys").uncheck()
    page.keyboard.press("Escape")
    page.locator("#card-head").focus()
    page.keyboard.press("y")
    page.keyboard.press("d")
    assert page.locator("dialog[open]").count() == 0
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("() => document.activeElement.id") == "confirm":
            break
    page.keyboard.press("Enter")
    page.locator("#record[data-record=p2]").wait_for()
    assert [b.record for b in job.bodies("part-confirmed")] == ["p1"]


# As it looks


def shot(page: Any) -> Image.Image:
    return Image.open(io.BytesIO(page.screenshot())).convert("L")


def test_dark_is_dark_and_light_is_light(browsers: Browsers, full: Any) -> None:
    page = browsers()
    for where in ("/", full.note, f"{full.place}/part/001"):
        page.goto(where)
        page.emulate_media(color_scheme="light")
        light = shot(page)
        page.emulate_media(color_scheme="dark")
        dark = shot(page)
        assert ImageStat.Stat(light).mean[0] > 150
        assert ImageStat.Stat(dark).mean[0] < 90
        assert ImageStat.Stat(ImageChops.difference(light, dark)).mean[0] > 60


@pytest.mark.parametrize("where", ["{note}", "{place}/register", "{place}/part/001", "{place}/papers/update"])
def test_on_paper_there_are_no_controls(browsers: Browsers, full: Any, where: str) -> None:
    page = browsers(to=where.format(place=full.place, note=full.note))
    page.emulate_media(media="print")
    left = page.evaluate(
        """() => [...document.querySelectorAll("button:not(.row), nav .places, input[type=file], summary, dialog")]
          .filter((one) => one.checkVisibility()).map((one) => one.id || one.textContent.trim())"""
    )
    assert left == []
    assert page.locator("h1").is_visible() or page.locator(".paper pre").is_visible()
