// The next rows of the register come onto the page without leaving it; the link works without this as well.

import { complain, piece, say, send } from "./desk.js";

document.addEventListener("click", async (event) => {
  const link = event.target.closest("a[data-more]");
  if (!link) return;
  event.preventDefault();
  const { search } = new URL(link.href);
  try {
    const rows = piece(await send("GET", `${location.pathname}/rows${search}`));
    const first = rows.querySelector("li a");
    const added = rows.querySelectorAll("li[data-tag]").length;
    link.closest("li").replaceWith(rows);
    first?.focus();
    say(`${added} more`);
  } catch (mistake) {
    complain(mistake);
  }
});
