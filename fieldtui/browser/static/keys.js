// From a key of the keyboard to what a terminal sends for it (XTerm's sequences).

const NAMED = {
  Enter: "\r", Tab: "\t", Escape: "\x1b", Backspace: "\x7f", Delete: "\x1b[3~", Insert: "\x1b[2~",
  ArrowUp: "\x1b[A", ArrowDown: "\x1b[B", ArrowRight: "\x1b[C", ArrowLeft: "\x1b[D", Home: "\x1b[H", End: "\x1b[F",
  PageUp: "\x1b[5~", PageDown: "\x1b[6~", F1: "\x1bOP", F2: "\x1bOQ", F3: "\x1bOR", F4: "\x1bOS", F5: "\x1b[15~",
  F6: "\x1b[17~", F7: "\x1b[18~", F8: "\x1b[19~", F9: "\x1b[20~", F10: "\x1b[21~",
};
const LEFT_TO_THE_BROWSER = "crtnwvlq+-=0";
const ALSO_FROM_THE_FIELD = /^(F([1-9]|10)|PageUp|PageDown|Escape|Tab|ArrowUp|ArrowDown)$/;

export function sequenceOf(event) {
  if (event.metaKey || event.altKey || event.isComposing) return "";
  if (event.ctrlKey) {
    const letter = event.key.toLowerCase();
    const ours = /^[a-z]$/.test(letter) && !LEFT_TO_THE_BROWSER.includes(letter);
    return ours ? String.fromCharCode(letter.charCodeAt(0) - 96) : "";
  }
  if (event.key === "Tab" && event.shiftKey) return "\x1b[Z";
  if (NAMED[event.key]) return NAMED[event.key];
  return [...event.key].length === 1 ? event.key : "";
}

export function goesThroughTheField(event) {
  return ALSO_FROM_THE_FIELD.test(event.key) && !event.shiftKey && !event.ctrlKey;
}
