// The review of a note: shows a record, sends its answer, and takes in what others did meanwhile.

import { complain, Mistake, piece, say, send } from "./desk.js";
import { confirmation, forgetTyped, keepTyped, restoreTyped, touched, fieldsOf } from "./card.js";
import { dialogs } from "./dialogs.js";
import { listen } from "./keys.js";
import { Player, stretches, within } from "./player.js";

const EVERY_MS = 2000;
const by = (id) => document.getElementById(id);
const bench = by("bench");
const { address } = bench.dataset;
const words = [...document.querySelectorAll("#transcript .w")];
const player = new Player(bench, words.filter((word) => word.dataset.s), say);
let last = Number(bench.dataset.last);
let run = document.querySelector("meta[name=desk-run]").content;
let offline = "";
let busy = false;

const form = () => by("record");
const current = () => form().dataset.record;
const waits = () => form().dataset.state === "waiting";

// The card

async function show(record, { onto = "", focus = true } = {}) {
  const chosen = onto ? `&onto=${encodeURIComponent(onto)}` : "";
  try {
    const html = await send("GET", `${address}/card?record=${encodeURIComponent(record)}${chosen}`);
    player.stop();
    by("card").replaceChildren(piece(html));
    begin();
    if (focus) by("card-head")?.focus();
    if (focus && by("by-itself")?.checked) playRecord();
  } catch (mistake) {
    complain(mistake);
  }
}

/** What a card needs once it is there: its words marked, what was typed before, its place in the address. */
function begin() {
  const record = current();
  history.replaceState(null, "", `${location.pathname}?record=${encodeURIComponent(record)}`);
  for (const row of document.querySelectorAll("[data-open]")) {
    if (row.dataset.open === record) row.setAttribute("aria-current", "true");
    else row.removeAttribute("aria-current");
  }
  let first = null;
  for (const word of words) {
    const mine = (word.dataset.of ?? "").split(" ").includes(record);
    word.classList.toggle("mine", mine);
    first ??= mine ? word : null;
  }
  if (first) within(by("transcript"), first);
  if (waits() && restoreTyped(address, form())) by("kept-typing").textContent = "What you had typed before is still here.";
  told();
  others(bench.others ?? []);
}

/** How many changes a confirmation would take along, and which fields they are in. */
function told() {
  if (!waits()) return;
  const fields = Object.keys(fieldsOf(form())).length;
  by("changes").textContent = fields ? ` with ${fields} put right` : "";
  for (const field of form().querySelectorAll("[data-was]")) field.classList.toggle("changed", field.value.trim() !== field.dataset.was.trim());
}

function rows() {
  return [...document.querySelectorAll("[data-open]")];
}

/** The next row that `fits`, behind the current one, else from the beginning. */
function following(fits, step = 1) {
  const all = rows();
  const at = all.findIndex((row) => row.dataset.open === current());
  for (let away = 1; away <= all.length; away += 1) {
    const row = all[(((at + step * away) % all.length) + all.length) % all.length];
    if (fits(row)) return row.dataset.open;
  }
  return null;
}

const isOpen = (row) => ["waiting", "in doubt"].includes(row.dataset.state);

function next() {
  const record = following(isOpen) ?? following((row) => row.dataset.state === "put off") ?? following(() => true);
  if (record) show(record);
}

function back() {
  const record = following(() => true, -1);
  if (record) show(record);
}

// Answers

async function ask(what, body) {
  if (busy) return null;
  busy = true;
  try {
    const answer = await send("POST", `${address}/${what}`, { ...body, since: last });
    take(answer);
    say(...answer.said, ...(answer.news ?? []));
    return answer;
  } catch (mistake) {
    complain(mistake);
    if (mistake instanceof Mistake && mistake.status === 409) await freshCautions(body);
    return null;
  } finally {
    busy = false;
  }
}

async function answer(body) {
  const record = current();
  const done = await ask("answer", body);
  if (!done) return;
  forgetTyped(address, record);
  document.dispatchEvent(new CustomEvent("record-answered", { detail: { record } }));
  if (body.do.startsWith("confirm all") && done.waiting.includes(record) && waits()) return;
  const record2 = following(isOpen);
  if (record2) await show(record2);
  else await show(record);
}

async function undo(entry) {
  const done = await ask("undo", entry ? { entry } : {});
  if (done) await show(done.opened?.[0] ?? current());
}

async function add(body) {
  return Boolean(await ask("add", body));
}

/** A caution that comes only with what was put right, or with the part on file, is shown to be acknowledged. */
async function freshCautions(body) {
  if (body.do !== "confirm" || !waits()) return;
  try {
    const { since: _, ...plain } = body;
    by("cautions").replaceChildren(piece(await send("POST", `${address}/cautions`, plain)));
    form().querySelector("[data-acknowledge]:not(:checked)")?.focus();
  } catch {
    // The line that says what was wrong stands already.
  }
}

function confirm() {
  if (!waits()) {
    next();
    return;
  }
  const which = form().querySelector(".which");
  if (which && !which.querySelector(":checked")) {
    complain(new Mistake({ where: "this record", what: "it is open which part on file it is", do: "Choose one, or say that it is new." }));
    which.querySelector("input").focus();
    return;
  }
  const unread = form().querySelector("[data-acknowledge]:not(:checked)");
  if (unread) {
    complain(new Mistake({ where: "this record", what: "a caution is not acknowledged", do: "Read it, then tick it (k, and k again)." }));
    unread.focus();
    return;
  }
  answer(confirmation(form()));
}

function acceptAnswer() {
  const boxes = [...form().querySelectorAll("[data-answers]")];
  const box = boxes.find((one) => !one.checked) ?? boxes[0];
  if (!box) {
    say("This record answers no open question.");
    return;
  }
  box.checked = !box.checked;
  box.focus();
  say(`${box.dataset.answers}: ${box.checked ? "these words are the answer" : "not answered"}`);
}

function acknowledge() {
  const unread = form().querySelector("[data-acknowledge]:not(:checked)");
  if (!unread) say("No caution is left to acknowledge.");
  else if (document.activeElement === unread) unread.checked = true;
  else unread.focus();
}

// Doubts

function takeOther(button) {
  if (!button) {
    say("No doubt here has another reading to take.");
    return;
  }
  const field = form().querySelector(`[name="${CSS.escape(button.dataset.field)}"]`);
  if (!field) return;
  const before = field.value;
  field.value = button.dataset.other;
  button.dataset.other = before;
  button.querySelector("bdi").textContent = before || "nothing";
  button.dataset.taken = button.dataset.taken ? "" : "yes";
  field.dispatchEvent(new Event("input", { bubbles: true }));
  say(`${button.dataset.field}: ${field.value || "nothing"}`);
}

function nextDoubt() {
  const doubts = [...form().querySelectorAll("[data-doubt]")];
  const at = doubts.findIndex((doubt) => doubt.contains(document.activeElement));
  if (doubts[at + 1]) {
    doubts[at + 1].focus();
    doubts[at + 1].scrollIntoView({ block: "nearest" });
    return;
  }
  const record = following((row) => row.dataset.state === "in doubt" && row.dataset.open !== current());
  if (record) show(record).then(() => form().querySelector("[data-doubt]")?.focus());
  else say("No other record is in doubt.");
}

// Listening

function playRecord() {
  if (player.playing) player.stop();
  else player.play(stretches(by("record-seconds") ?? form().querySelector("[data-play]")));
}

function playOn() {
  const [first] = stretches(by("record-seconds"));
  player.play([[first?.[0] ?? 0, Infinity]]);
}

function speed(step) {
  const select = by("speed");
  if (!select) return;
  select.selectedIndex = Math.min(select.options.length - 1, Math.max(0, select.selectedIndex + step));
  select.dispatchEvent(new Event("change"));
  say(`Speed ${select.value}`);
}

for (const [id, use] of [["around", (value) => { player.around = Math.max(0, Number(value) || 0); }], ["speed", (value) => { player.speed = Number(value); }]]) {
  const control = by(id);
  if (!control) continue;
  control.value = localStorage.getItem(id) ?? control.value;
  use(control.value);
  control.addEventListener("change", () => {
    localStorage.setItem(id, control.value);
    use(control.value);
  });
}

// What others do

async function pulse() {
  try {
    const now = await send("GET", `${address}/now?record=${encodeURIComponent(current())}&since=${last}`);
    if (offline || now.run !== run) say("The desk answers again; everything goes on where it was.");
    offline = "";
    run = now.run;
    bench.others = now.others;
    if (now.list && !busy) {
      take(now);
      if (now.news.length) say(...now.news);
      overtaken(now.waiting);
    }
    others(now.others);
  } catch (mistake) {
    if (!(mistake instanceof Mistake)) throw mistake;
    if (offline !== mistake.message) complain(mistake);
    offline = mistake.message;
  } finally {
    setTimeout(pulse, EVERY_MS);
  }
}

/** The list as it stands now. */
function take(now) {
  last = now.last;
  if (!now.list) return;
  const focused = document.activeElement?.closest("[data-open]")?.dataset.open;
  by("records-body").replaceChildren(piece(now.list));
  const record = current();
  for (const row of rows()) {
    if (row.dataset.open === record) row.setAttribute("aria-current", "true");
    if (row.dataset.open === focused) row.focus();
  }
  others(bench.others ?? []);
}

/** The record on the table was answered by somebody else, or waits again; what is typed is left alone. */
function overtaken(waiting) {
  const still = waiting.includes(current());
  if (waits() === still) {
    if (still && !touched(form()) && !form().contains(document.activeElement)) show(current(), { focus: false });
    return;
  }
  if (waits() && touched(form())) by("kept-typing").textContent = "Somebody else has settled this record; what you typed is still here, and was not kept.";
  else show(current(), { focus: false });
}

function others(seen) {
  const named = [...new Set(seen.map((one) => one.person))];
  const line = named.length ? `Also on this note: ${named.join(", ")}` : "";
  if (by("others").textContent !== line) by("others").textContent = line;
  for (const row of rows()) {
    const here = seen.filter((one) => one.record === row.dataset.open).map((one) => one.person);
    row.querySelector("[data-by]").textContent = here.length ? ` · ${here.join(", ")} looks at it` : "";
  }
}

// Hands

const ways = dialogs({ form, address, answer, add, lay: (tag) => show(current(), { onto: tag }) });
const only = (deed) => () => (waits() ? deed() : say("This record is settled: take it back first (u)."));
const isPart = () => Boolean(by("open-split"));
const openAll = () => ways.all() || say("No record is without a doubt.");
const DEEDS = {
  y: confirm,
  c: only(() => form().querySelector("input:not([type=checkbox], [type=radio]), textarea").focus()),
  o: only(() => takeOther(document.activeElement.closest("[data-doubt]")?.querySelector(".take") ?? form().querySelector('.take:not([data-taken="yes"])'))),
  x: nextDoubt,
  p: playRecord,
  P: playOn,
  ",": () => speed(-1),
  ".": () => speed(1),
  e: only(acceptAnswer),
  k: only(acknowledge),
  t: only(() => (by("open-join") ? ways.join() : say("Nothing of an earlier note is on file to lay it on."))),
  s: only(() => (isPart() ? ways.split() : say("A question can't be split."))),
  d: only(ways.drop),
  l: only(ways.later),
  n: next,
  b: back,
  a: openAll,
  u: () => undo(Number(by("take-back")?.dataset.entry) || undefined),
  m: ways.missing,
  "?": ways.legend,
};
const CLICKS = {
  "open-split": DEEDS.s,
  "open-drop": DEEDS.d,
  "open-later": DEEDS.l,
  "open-join": DEEDS.t,
  "open-all": openAll,
  "open-missing": DEEDS.m,
  "open-legend": DEEDS["?"],
  next,
  "next-doubt": nextDoubt,
  "take-back": DEEDS.u,
  undo: () => undo(),
  play: playRecord,
};

document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  if (CLICKS[button.id]) CLICKS[button.id]();
  else if (button.dataset.open) show(button.dataset.open);
  else if (button.dataset.play) player.play(stretches(button));
  else if (button.classList.contains("take")) takeOther(button);
});
by("transcript").addEventListener("click", (event) => {
  const word = event.target.closest(".w");
  if (word?.dataset.s && getSelection().isCollapsed) player.play([[Number(word.dataset.s), Infinity]]);
});
by("card").addEventListener("submit", (event) => {
  event.preventDefault();
  confirm();
});
by("card").addEventListener("keydown", (event) => {
  // Enter ends the typing; it is no answer yet.
  if (event.key !== "Enter" || event.ctrlKey || event.isComposing) return;
  if (!event.target.matches("input:not([type=checkbox], [type=radio]), select")) return;
  event.preventDefault();
  by("card-head").focus();
});
by("card").addEventListener("input", (event) => {
  if (event.target.name === "condition") many(event.target);
  keepTyped(address, form());
  told();
});
by("card").addEventListener("change", async (event) => {
  if (event.target.matches(".which [name=onto]")) {
    const tag = event.target.value;
    await show(current(), { onto: tag, focus: false });
    form().querySelector(`.which [value="${CSS.escape(tag)}"]`)?.focus();
  }
});
listen(DEEDS, { leave: () => by("card-head").focus(), confirm });

/** A field of several pieces is offered words for the last of them. */
function many(input) {
  const before = input.value.includes(";") ? `${input.value.slice(0, input.value.lastIndexOf(";") + 1)} ` : "";
  for (const option of input.list?.options ?? []) {
    option.dataset.word ??= option.value;
    option.value = before + option.dataset.word;
  }
}

send("GET", "/words").then((html) => by("words").replaceChildren(piece(html)), complain);
begin();
setTimeout(pulse, EVERY_MS);
