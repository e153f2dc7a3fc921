// What every page of the desk shares: asking the server, and saying what came of it.

const line = document.getElementById("line");
const wrong = document.getElementById("mistake");

/** A mistake, as the server words them: where, what, and what to do. */
export class Mistake extends Error {
  constructor({ where, what, do: todo }, status) {
    super(`${where}: ${what}`);
    Object.assign(this, { where, what, todo, status });
  }
}

/** Sends JSON and gives back JSON, or the text of a piece of a page. Throws Mistake. */
export async function send(method, address, body) {
  const headers = { accept: "application/json" };
  if (body !== undefined) headers["content-type"] = "application/json";
  let answer;
  try {
    answer = await fetch(address, { method, headers, body: body === undefined ? undefined : JSON.stringify(body) });
  } catch {
    throw new Mistake({
      where: "the desk",
      what: "does not answer",
      do: "Start it again in its terminal: notepipe desk. What you typed is kept, and this page goes on by itself.",
    }, 0);
  }
  const isJson = (answer.headers.get("content-type") ?? "").startsWith("application/json");
  if (answer.ok && !answer.redirected) return isJson ? answer.json() : answer.text();
  if (answer.redirected) throw new Mistake({ where: "the desk", what: "who is reviewing?", do: "Choose your name on the first page." }, 403);
  const told = isJson ? await answer.json() : { where: "the desk", what: `answered with ${answer.status}`, do: "Load the page again." };
  throw new Mistake(told, answer.status);
}

/** One line of what came of it; each of `told` is kept apart, whichever way it is written. */
export function say(...told) {
  wrong.replaceChildren();
  line.replaceChildren(...told.flatMap((text, at) => {
    const one = document.createElement("bdi");
    one.textContent = text;
    return at ? [" · ", one] : [one];
  }));
}

/** One line of what went wrong and what to do. */
export function complain(mistake) {
  if (!(mistake instanceof Mistake)) throw mistake;
  line.textContent = "";
  const what = document.createElement("bdi");
  what.textContent = `${mistake.message}.`;
  const todo = document.createElement("bdi");
  todo.textContent = mistake.todo;
  wrong.replaceChildren(what, " ", todo);
}

/** HTML that the server made (it has escaped what is in it) as something to put into the page. */
export function piece(html) {
  const template = document.createElement("template");
  template.innerHTML = html;
  return template.content;
}
