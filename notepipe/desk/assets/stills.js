// Stills of a filmed note. On a review card they come by themselves; a chosen one is kept when the record is confirmed.

import { complain, piece, say } from "./desk.js";
import { post } from "./forms.js";

const bench = document.getElementById("bench");
const held = new Map();
const watcher = new MutationObserver(() => bring());
let shown = null;

/** The stills of the record on the table, behind its words. */
async function bring() {
  const record = document.getElementById("record");
  const name = record?.dataset.record;
  if (!name?.startsWith("p") || record.querySelector("[data-stills]") || shown === record) return;
  shown = record;
  const answer = await fetch(`${bench.dataset.address}/stills?record=${encodeURIComponent(name)}`).catch(() => null);
  if (answer?.status === 204) watcher.disconnect();
  if (answer?.status !== 200 || document.getElementById("record") !== record) return;
  const stills = piece(await answer.text());
  if (!stills.firstElementChild) return;
  const place = document.createElement("section");
  place.className = "of-film";
  place.append(stills);
  // Beside the card and not in it: a form in a form is none.
  record.after(place);
  const kept = held.get(name);
  if (!kept) return;
  const chosen = place.querySelector(`[name=at][value="${CSS.escape(kept)}"]`);
  if (chosen) chosen.checked = true;
  const hold = place.querySelector("[data-hold]");
  if (hold) hold.checked = true;
}

function note(form) {
  const name = form.dataset.record;
  if (form.querySelector("[data-hold]")?.checked) held.set(name, form.elements.at.value);
  else held.delete(name);
}

/** The record was answered: where a picture was chosen for it and it stands now, the picture is kept. */
async function answered(name) {
  const at = held.get(name);
  if (!at) return;
  held.delete(name);
  try {
    const done = await post(`${bench.dataset.address}/still`, new URLSearchParams({ record: name, at }));
    say(`${document.getElementById("line").textContent} · ${done.said}`);
  } catch (mistake) {
    // A record that was dropped needs no picture.
    if (!mistake.message.includes("not confirmed")) complain(mistake);
  }
}

if (bench) {
  document.addEventListener("change", (event) => {
    const form = event.target.closest("form[data-stills][data-record]");
    if (!form) return;
    if (event.target.name === "at" && form.querySelector("[data-hold]")) form.querySelector("[data-hold]").checked = true;
    note(form);
  });
  document.addEventListener("record-answered", (event) => answered(event.detail.record));
  watcher.observe(document.getElementById("card"), { childList: true });
  bring();
}
