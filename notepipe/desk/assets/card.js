// What a person put right on the card, as the fields of an answer; kept in the browser until it is answered.

const names = (form) => form.querySelectorAll("[name][data-was]");

/** The fields that are not as they were drafted, by the names corrections know them by. */
export function fieldsOf(form) {
  const fields = {};
  for (const one of names(form)) {
    if (one.value.trim() !== one.dataset.was.trim()) fields[one.name] = one.value.trim();
  }
  for (const gone of form.querySelectorAll("[data-gone]:checked")) {
    for (const name of Object.keys(fields)) if (name.startsWith(`${gone.name} `)) delete fields[name];
    fields[gone.name] = "";
  }
  return { ...fields, ...added(form) };
}

/** A decision that was not heard: it stands behind those that were. */
function added(form) {
  const part = (name) => form.querySelector(`[data-new="${name}"]`)?.value.trim() ?? "";
  if (!part("action")) return {};
  const number = form.querySelectorAll("[data-decision]").length; // The empty one among them.
  const fields = { "new decision": `${part("action")} ${part("standing")}` };
  for (const name of ["to finish", "by"]) if (part(name)) fields[`decision ${number} ${name}`] = part(name);
  return fields;
}

/** Which part on file is meant: as the person said, else as it was shown; null where it goes as matched. */
export function ontoOf(form) {
  return form.querySelector("[name=onto]:checked")?.value || form.dataset.onto || null;
}

/** The whole card as the answer that confirms it. */
export function confirmation(form) {
  const acknowledged = [...form.querySelectorAll("[data-acknowledge]:checked")].map((box) => box.dataset.acknowledge);
  const answers = {};
  for (const offer of form.querySelectorAll("[data-offer]")) {
    const words = offer.querySelector("[data-answer-words]").value.trim();
    if (words || offer.querySelector("[data-answers]").checked) answers[offer.dataset.offer] = words;
  }
  return { do: "confirm", record: form.dataset.record, fields: fieldsOf(form), acknowledged, onto: ontoOf(form), answers };
}

/** Whether the person has put anything on the card that would be lost with it. */
export function touched(form) {
  const { fields, acknowledged, answers } = confirmation(form);
  return Object.keys(fields).length > 0 || acknowledged.length > 0 || Object.keys(answers).length > 0;
}

const key = (address, record) => `typed ${address} ${record}`;

/** A tick that is kept like typing, by what it is about; an acknowledged caution is none: it has to be read again. */
const TICKS = "[data-gone], [data-answers]";
const tick = (box) => `tick ${box.name || box.dataset.answers}`;

/** Keeps what is typed, so that neither a reload nor a desk started anew loses it. */
export function keepTyped(address, form) {
  const typed = {};
  for (const one of form.querySelectorAll("[id]")) {
    if (one.matches("input[type=checkbox], input[type=radio]") || !("value" in one) || one.tagName === "BUTTON") continue;
    if (one.value !== (one.dataset.was ?? one.defaultValue ?? "")) typed[one.id] = one.value;
  }
  for (const box of form.querySelectorAll(TICKS)) if (box.checked) typed[tick(box)] = "yes";
  if (Object.keys(typed).length) sessionStorage.setItem(key(address, form.dataset.record), JSON.stringify(typed));
  else forgetTyped(address, form.dataset.record);
}

/** Puts back what was typed before; whether there was anything. */
export function restoreTyped(address, form) {
  let typed;
  try {
    typed = JSON.parse(sessionStorage.getItem(key(address, form.dataset.record)) ?? "{}");
  } catch {
    return false;
  }
  let some = false;
  for (const [id, value] of Object.entries(typed)) {
    const field = form.querySelector(`#${CSS.escape(id)}`);
    if (field && field.value !== value) {
      field.value = value;
      some = true;
    }
  }
  for (const box of form.querySelectorAll(TICKS)) {
    if (!typed[tick(box)]) continue;
    box.checked = true;
    some = true;
  }
  return some;
}

export function forgetTyped(address, record) {
  sessionStorage.removeItem(key(address, record));
}
