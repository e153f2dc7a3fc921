// Recordings dropped onto the page: sent one after the other, then watched while they are heard.

import { complain, Mistake, piece, say, send } from "./desk.js";

const EVERY_MS = 1000;
const zone = document.getElementById("drop");
const list = document.getElementById("coming");
const sending = document.getElementById("sending");
const address = zone?.dataset.address ?? location.pathname;
const most = Number(zone?.dataset.most ?? 0);
const queue = [];
let busy = false;
let watching = false;
let states = "";

/** One file as the body of a request, so that the disk has it once; tells how far it is. */
function sent(file, tell) {
  return new Promise((done, wrong) => {
    const request = new XMLHttpRequest();
    request.open("POST", `${address}?name=${encodeURIComponent(file.name)}`);
    request.setRequestHeader("accept", "application/json");
    request.setRequestHeader("content-type", "application/octet-stream");
    request.responseType = "json";
    request.upload.addEventListener("progress", (event) => tell(event.loaded, event.total));
    const away = () => wrong(new Mistake({ where: file.name, what: "did not get through", do: "Is the desk still open? Drop it here again." }, 0));
    request.addEventListener("error", away);
    request.addEventListener("abort", away);
    request.addEventListener("load", () => {
      if (request.status < 300 && request.response) done(request.response);
      else wrong(new Mistake(request.response ?? { where: file.name, what: `was refused (${request.status})`, do: "Load the page again." }, request.status));
    });
    request.send(file);
  });
}

function line(file) {
  const row = document.createElement("li");
  const name = document.createElement("bdi");
  name.textContent = file.name;
  const bar = document.createElement("progress");
  bar.max = 100;
  bar.setAttribute("aria-label", `Sending ${file.name}`);
  row.append("Sending ", name, " ", bar);
  sending.append(row);
  return { row, bar };
}

async function work() {
  if (busy) return;
  busy = true;
  while (queue.length) {
    const { file, row, bar } = queue.shift();
    try {
      const told = await sent(file, (done, all) => { bar.value = all ? (100 * done) / all : 0; });
      say(`${file.name} is here and waits to be heard.`);
      show(told.list);
      watch();
    } catch (mistake) {
      complain(mistake);
    }
    row.remove();
  }
  busy = false;
}

function take(files) {
  for (const file of files) {
    if (most && file.size > most) complain(new Mistake({ where: file.name, what: "is too large", do: "Cut it into several recordings." }, 413));
    else queue.push({ file, ...line(file) });
  }
  work();
}

function show(html) {
  const focused = document.activeElement?.closest("li[data-name]")?.dataset.name;
  list.replaceChildren(piece(html));
  document.getElementById("none").hidden = Boolean(list.firstElementChild);
  if (focused) list.querySelector(`li[data-name="${CSS.escape(focused)}"] :is(button, a)`)?.focus();
}

/** Only a step from one state to the next is said aloud; each percent would be a din. */
function tell(coming) {
  const now = coming.map((one) => `${one.name}${one.state}`).join(" ");
  if (now === states) return;
  const before = states;
  states = now;
  if (!before) return;
  const last = coming.find((one) => !before.includes(`${one.name}${one.state}`));
  if (last?.state === "hearing") say(`${last.file} is being heard.`);
  if (last?.state === "done") say(`${last.file}: ${last.said}.`);
  if (last?.wrong) complain(new Mistake(last.wrong, 400));
}

async function watch() {
  if (watching) return;
  watching = true;
  let left = 1;
  while (left) {
    await new Promise((later) => { setTimeout(later, EVERY_MS); });
    try {
      const now = await send("GET", `${address}/progress`);
      show(now.list);
      tell(now.coming);
      left = now.at_work;
    } catch (mistake) {
      complain(mistake);
      left = mistake.status === 0 ? 1 : 0;
    }
  }
  watching = false;
}

if (zone) {
  const input = document.getElementById("recordings");
  input.addEventListener("change", () => {
    take([...input.files]);
    input.value = "";
  });
  for (const kind of ["dragover", "dragenter"]) {
    document.addEventListener(kind, (event) => {
      event.preventDefault();
      zone.classList.add("over");
    });
  }
  document.addEventListener("dragleave", (event) => {
    if (!event.relatedTarget) zone.classList.remove("over");
  });
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    zone.classList.remove("over");
    take([...event.dataTransfer.files]);
  });
  window.addEventListener("beforeunload", (event) => {
    if (busy) event.preventDefault();
  });
}
if (Number(list.dataset.atWork)) watch();
