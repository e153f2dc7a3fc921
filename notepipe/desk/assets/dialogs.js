// The dialogs of the review: each asks what the answer still needs, and gives it to `answer`.

import { complain, piece, send } from "./desk.js";
import { confirmation, fieldsOf } from "./card.js";

const by = (id) => document.getElementById(id);

function open(id, focus) {
  by(id).showModal();
  (focus ?? by(id).querySelector("input, button"))?.focus();
}

/** `room` has: form(), address, answer(answer), add(told), lay(tag). */
export function dialogs(room) {
  const give = (id, make) => {
    const told = make();
    if (told) {
      by(id).close();
      room.answer(told);
    }
  };
  onEnter("drop-reason", () => by("do-drop").click());
  onEnter("later-reason", () => by("do-later").click());
  by("do-drop").addEventListener("click", () =>
    give("drop", () => by("drop-reason").reportValidity() && { do: "drop", record: room.form().dataset.record, reason: by("drop-reason").value.trim() }));
  by("do-later").addEventListener("click", () =>
    give("later", () => ({ do: "put off", record: room.form().dataset.record, reason: by("later-reason").value.trim() || null })));
  by("do-all").addEventListener("click", () => give("all", () => ({ do: "confirm all without a doubt" })));
  splitting(room, give);
  joining(room);
  missing(room);
  return {
    drop: () => ask("drop-reason", "drop"),
    later: () => ask("later-reason", "later"),
    all: () => all(),
    split: () => split(room.form()),
    join: () => join(room),
    missing: () => {
      const marked = String(getSelection() ?? "").trim().replace(/\s+/g, " ");
      if (marked) by("m-said").value = marked;
      open("missing", by("m-name"));
    },
    legend: () => open("legend"),
  };
}

function ask(input, id) {
  by(input).value = "";
  open(id, by(input));
}

function onEnter(id, deed) {
  by(id).addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.isComposing) return;
    event.preventDefault();
    deed();
  });
}

function all() {
  const plain = Number(by("open-all")?.dataset.plain ?? 0);
  if (!plain) return false;
  by("all-told").textContent = `${plain === 1 ? "One record has" : `${plain} records have`} no doubt and no caution to acknowledge. Confirm as they were drafted, without looking at each? It stands so in the history.`;
  open("all", by("do-all"));
  return true;
}

// Splitting

function split(form) {
  const heard = Number(form.dataset.quantity);
  by("groups").replaceChildren();
  by("uneven").checked = false;
  group(form, heard > 1 ? heard - 1 : "");
  group(form, heard > 1 ? 1 : "");
  open("split", by("groups").querySelector("input"));
  sum(form);
}

function group(form, count) {
  const number = by("groups").children.length + 1;
  const box = made("fieldset", { className: "group" });
  box.append(made("legend", { textContent: `Group ${number}` }));
  box.append(labelled("how many", made("input", { value: String(count), inputMode: "numeric", autocomplete: "off" }), "quantity"));
  for (const fate of form.querySelectorAll(".fate:not(.new)")) {
    const name = `decision ${fate.dataset.decision}`;
    const chosen = (part) => fate.querySelector(`[name="${name} ${part}"]`);
    const select = made("select", {});
    const standing = chosen("standing").value;
    select.append(new Option(`${chosen("action").value}: ${standing}`, "", true, true));
    for (const one of chosen("standing").options) if (one.value !== standing) select.append(new Option(`${chosen("action").value}: ${one.value}`, `${name} standing=${one.value}`));
    select.append(new Option(`no ${chosen("action").value}`, `${name}=`));
    box.append(labelled(name, select, "choice"));
  }
  const action = made("select", {});
  action.append(new Option("–", ""));
  for (const one of form.querySelector('[data-new="action"]').options) if (one.value) action.append(new Option(one.value, `new decision=${one.value}`));
  box.append(labelled("one more", action, "choice"));
  for (const name of ["condition", "location", "finish"]) box.append(labelled(name, made("input", { autocomplete: "off", dir: "auto" }), name));
  by("groups").append(box);
}

function made(tag, properties) {
  return Object.assign(document.createElement(tag), properties);
}

function labelled(text, control, part) {
  control.dataset.part = part;
  const label = made("label", { className: "pair" });
  label.append(made("span", { textContent: text }), control);
  return label;
}

function counts() {
  return [...by("groups").querySelectorAll('[data-part="quantity"]')].map((input) => Number(input.value.trim()));
}

function sum(form) {
  const heard = Number(form.dataset.quantity);
  const total = counts().reduce((one, other) => one + other, 0);
  const uneven = Boolean(heard) && total !== heard;
  by("split-sum").textContent = `${counts().join(" + ")} = ${total}${heard ? `, ${heard} were heard` : ""}`;
  by("uneven-line").hidden = !uneven;
  return uneven;
}

function splitting(room, give) {
  by("groups").addEventListener("input", () => sum(room.form()));
  by("more-groups").addEventListener("click", () => {
    group(room.form(), "");
    by("groups").lastElementChild.querySelector("input").focus();
  });
  by("do-split").addEventListener("click", () => {
    const form = room.form();
    if (counts().some((count) => !Number.isInteger(count) || count < 1)) {
      by("split-sum").textContent = "Give each group a count, a whole number from 1.";
      return;
    }
    if (sum(form) && !by("uneven").checked) {
      by("uneven").focus();
      return;
    }
    give("split", () => {
      const { record, acknowledged, onto } = confirmation(form);
      const { quantity: _, ...shared } = fieldsOf(form);
      const groups = [...by("groups").children].map((box) => ({ quantity: Number(box.querySelector('[data-part="quantity"]').value), fields: { ...shared, ...different(box) } }));
      return { do: "split", record, groups, acknowledged, onto, uneven: by("uneven").checked };
    });
  });
}

/** What is different about a group, as fields of a correction. */
function different(box) {
  const fields = {};
  for (const one of box.querySelectorAll("[data-part]")) {
    const { part } = one.dataset;
    const text = one.value.trim();
    if (part === "quantity" || !text) continue;
    if (part === "choice") {
      const [field, ...value] = text.split("=");
      fields[field] = value.join("=");
    } else fields[part] = text;
  }
  return fields;
}

// Joining with one on file

function join(room) {
  by("join-words").value = room.form().querySelector("[name=name]")?.value ?? "";
  open("join", by("join-words"));
  by("join-words").select();
  look(room);
}

async function look(room) {
  const words = by("join-words").value;
  try {
    const html = await send("GET", `${room.address}/on-file?words=${encodeURIComponent(words)}`);
    if (by("join-words").value === words) by("join-found").replaceChildren(piece(html));
  } catch (mistake) {
    by("join").close();
    complain(mistake);
  }
}

function joining(room) {
  let later;
  by("join-words").addEventListener("input", () => {
    clearTimeout(later);
    later = setTimeout(() => look(room), 150);
  });
  onEnter("join-words", () => (by("join-found").querySelector("input") ?? by("join-words")).focus());
  by("do-join").addEventListener("click", () => {
    const chosen = by("join-found").querySelector("input:checked");
    if (!chosen) {
      by("join-found").querySelector("input")?.focus();
      return;
    }
    by("join").close();
    room.lay(chosen.value);
  });
  by("do-new").addEventListener("click", () => {
    by("join").close();
    room.lay("new");
  });
}

// A part that is in no draft

function missing(room) {
  by("do-missing").addEventListener("click", async () => {
    const fields = {};
    for (const one of by("missing").querySelectorAll("[data-missing]")) if (one.value.trim() && one.dataset.missing !== "name") fields[one.dataset.missing] = one.value.trim();
    const acknowledged = [...by("m-cautions").querySelectorAll("[data-acknowledge]:checked")].map((box) => box.dataset.acknowledge);
    const told = { name: by("m-name").value.trim(), fields, said: by("m-said").value.trim() || null, acknowledged };
    by("missing").close();
    if (await room.add(told)) by("missing").querySelectorAll("input").forEach((input) => { input.value = ""; });
  });
}

