// Any words with a button play exactly their seconds, from the kept recording.

import { say } from "./desk.js";
import { Player } from "./player.js";

const players = new Map();
let now = null;

function playerFor({ source, kind, decoded }) {
  if (!players.has(source)) players.set(source, new Player({ dataset: { source, kind, decoded } }, [], say));
  return players.get(source);
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("button[data-seconds]");
  if (!button) return;
  const player = playerFor(button.dataset);
  const again = now?.button === button && player.playing;
  now?.player.stop();
  now = { button, player };
  if (!again) player.play([button.dataset.seconds.split("-").map(Number)]);
});

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") now?.player.stop();
});
