// Single keys, which sleep while somebody types, while a dialog is open, and where they were switched off.

const SWITCH = "single-keys";
const TYPING = "input:not([type=checkbox], [type=radio], [type=button]), textarea, select";

/** `deeds` is what each key does; `leave` takes the person out of a field, `confirm` answers from within one. */
export function listen(deeds, { leave, confirm }) {
  const box = document.getElementById(SWITCH);
  box.checked = localStorage.getItem(SWITCH) !== "off";
  box.addEventListener("change", () => {
    localStorage.setItem(SWITCH, box.checked ? "on" : "off");
    mark(box.checked);
  });
  mark(box.checked);
  document.addEventListener("keydown", (event) => {
    if (event.defaultPrevented || event.isComposing || document.querySelector("dialog[open]")) return;
    const field = event.target.closest?.(TYPING);
    // For a moment after a dialog is closed its field still has the focus.
    const typing = field?.closest("dialog:not([open])") ? null : field;
    if (event.key === "Enter" && event.ctrlKey && !event.altKey) {
      event.preventDefault();
      confirm();
    } else if (event.key === "Escape" && typing) {
      event.preventDefault();
      leave();
    } else if (!typing && box.checked && !event.ctrlKey && !event.metaKey && !event.altKey && !event.repeat) {
      const deed = deeds[event.key];
      if (!deed) return;
      event.preventDefault();
      deed();
    }
  });
}

/** The keys stand on their buttons only while they do something. */
function mark(on) {
  document.body.classList.toggle("with-keys", on);
}
