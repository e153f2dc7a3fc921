// Forms that stay on the page until they are done: what was typed is lost by no mistake.

import { complain, Mistake, say } from "./desk.js";

const SAID = "said";

/** Sends a form as it is; gives back what the server said. Throws Mistake. */
export async function post(address, body) {
  let answer;
  try {
    answer = await fetch(address, { method: "POST", body, headers: { accept: "application/json" } });
  } catch {
    throw new Mistake({ where: "the desk", what: "does not answer", do: "Start it again in its terminal: notepipe desk. What you typed is still here." }, 0);
  }
  const isJson = (answer.headers.get("content-type") ?? "").startsWith("application/json");
  if (answer.ok && isJson) return answer.json();
  const told = isJson ? await answer.json() : { where: "the desk", what: `answered with ${answer.status}`, do: "Load the page again." };
  throw new Mistake(told, answer.status);
}

/** Goes on where the server says, and says there what came of it. */
export function goOn(done) {
  if (done.said) sessionStorage.setItem(SAID, done.said);
  const to = new URL(done.to, location.href);
  const here = to.pathname === location.pathname;
  location.assign(to);
  if (here) location.reload();
}

async function submit(form) {
  const buttons = [...form.querySelectorAll("button")];
  const body = form.enctype === "multipart/form-data" ? new FormData(form) : new URLSearchParams(new FormData(form));
  for (const button of buttons) button.disabled = true;
  try {
    const done = await post(form.action, body);
    if (done.wrong?.length) {
      const [first, ...more] = done.wrong;
      const others = more.map((one) => ` ${one.where}: ${one.what}.`).join("");
      complain(new Mistake({ ...first, do: `${first.do}${others} ${done.said}` }, 400));
      for (const button of buttons) button.disabled = false;
      return;
    }
    goOn(done);
  } catch (mistake) {
    for (const button of buttons) button.disabled = false;
    complain(mistake);
  }
}

document.addEventListener("submit", (event) => {
  if (!event.target.matches("form[data-send]")) return;
  event.preventDefault();
  submit(event.target);
});

// Files dropped onto a form are as good as chosen ones.
for (const zone of document.querySelectorAll("[data-drop]")) {
  for (const kind of ["dragover", "dragenter"]) {
    zone.addEventListener(kind, (event) => {
      event.preventDefault();
      zone.classList.add("over");
    });
  }
  zone.addEventListener("dragleave", () => zone.classList.remove("over"));
  zone.addEventListener("drop", (event) => {
    event.preventDefault();
    zone.classList.remove("over");
    const input = zone.querySelector("input[type=file]");
    if (!event.dataTransfer.files.length) return;
    input.files = event.dataTransfer.files;
    zone.requestSubmit();
  });
}

// A file dropped beside a zone would replace the page.
for (const kind of ["dragover", "drop"]) {
  document.addEventListener(kind, (event) => {
    if ([...(event.dataTransfer?.types ?? [])].includes("Files")) event.preventDefault();
  });
}

const said = sessionStorage.getItem(SAID);
if (said) {
  sessionStorage.removeItem(SAID);
  say(said);
}
const aim = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
if (aim) {
  const folded = aim.querySelector("details");
  if (folded && aim.matches("article")) folded.open = true;
}
