// The page: a connection that comes back by itself, the keyboard, the buttons, the size of the letters.

import { goesThroughTheField, sequenceOf } from "./keys.js";
import { Line } from "./line.js";
import { Screen } from "./screen.js";

const WORDS = {
  identify: "call given", over: "over", undo: "undo", dismiss: "seen", help: "help", battery: "battery",
  channels: "channels", close: "close", older: "older", newer: "newer",
};
const MORE_WORDS = {
  packets: "packets", "packets-position": "send position", "packets-message": "send message", plan: "plan",
  settings: "settings", saver: "saver", mute: "bell", leave: "leave", up: "\u2191", down: "\u2193", left: "\u2190", right: "\u2192",
};
const MAIN = ["identify", "over"];
// What is typed next goes to a page, not into the entry line.
const OPENS = ["packets", "packets-position", "packets-message", "plan", "settings", "help", "battery"];
const SILENT_SECONDS = 14; // a beat comes every 4
const WAITS_SECONDS = [0.5, 1, 2, 4, 8, 15];
const SMALLEST = 10, LARGEST = 28;

const body = document.body;
const view = body.dataset.role === "view";
const place = document.getElementById("screen");
const status = document.getElementById("status");
const again = document.getElementById("again");
const field = document.getElementById("field");
const touch = matchMedia("(pointer: coarse)").matches;

let socket = null;
let failures = 0;
let heard = 0;
let timer = 0;
let over = false;

function send(...message) {
  if (socket && socket.readyState === WebSocket.OPEN) socket.send(JSON.stringify(message));
}
const keys = (text) => { if (text) send("keys", text); };

const screen = new Screen(place, () => {
  if (navigator.vibrate) navigator.vibrate(200);
  status.classList.add("rung");
  setTimeout(() => status.classList.remove("rung"), 1500);
});
const line = new Line(document.getElementById("line"), field, keys);

function say(words, lost = false) {
  status.textContent = words;
  status.classList.toggle("lost", lost);
}

// Size

function measure(letters) {
  const row = Math.round(letters * 1.22);
  body.style.setProperty("--letters", `${letters}px`);
  body.style.setProperty("--row", `${row}px`);
  const probe = document.createElement("div");
  probe.className = "probe";
  probe.textContent = "0".repeat(50);
  place.append(probe);
  const width = probe.getBoundingClientRect().width / 50;
  probe.remove();
  return [Math.floor(place.clientWidth / width), Math.floor(place.clientHeight / row)];
}

// As large as leaves 80 columns, or on a phone what its width takes: the screen is laid out from 53 columns on.
function fit() {
  const chosen = Number(localStorage.getItem("letters"));
  let letters = chosen || 16;
  let [columns, rows] = measure(letters);
  while (!chosen && letters > 11 && columns < (letters > 14 ? 80 : 53)) {
    letters -= 0.5;
    [columns, rows] = measure(letters);
  }
  columns = Math.max(20, columns);
  rows = Math.max(5, rows);
  if (columns !== screen.columns || rows !== screen.rows) {
    screen.resize(columns, rows);
    send("size", columns, rows);
  }
  return letters;
}

function setLetters(by) {
  const now = Number(localStorage.getItem("letters")) || fit();
  localStorage.setItem("letters", String(Math.min(LARGEST, Math.max(SMALLEST, now + by))));
  fit();
}

document.getElementById("smaller").addEventListener("click", () => setLetters(-1));
document.getElementById("larger").addEventListener("click", () => setLetters(1));
new ResizeObserver(fit).observe(place);
// Where a keyboard covers the page instead of shrinking it.
visualViewport?.addEventListener("resize", () => {
  body.style.setProperty("--seen", `${visualViewport.height}px`);
  scrollTo(0, 0);
});

// The connection

function tab() {
  let name = sessionStorage.getItem("tab");
  if (!name) {
    name = [...crypto.getRandomValues(new Uint8Array(8))].map((part) => part.toString(16).padStart(2, "0")).join("");
    sessionStorage.setItem("tab", name);
  }
  return name;
}

function connect() {
  clearTimeout(timer);
  over = false;
  again.hidden = true;
  fit();
  const look = matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light";
  const query = new URLSearchParams({ tab: tab(), columns: screen.columns, rows: screen.rows, look });
  const scheme = location.protocol === "https:" ? "wss" : "ws";
  const mine = new WebSocket(`${scheme}://${location.host}${body.dataset.base}/screen?${query}`);
  mine.binaryType = "arraybuffer";
  socket = mine;
  heard = performance.now();
  let opened = false;
  mine.onopen = () => {
    opened = true;
    failures = 0;
    say(view ? "connected, watching only" : "connected");
    screen.reset();
    line.sayAgain();
    fit();
  };
  mine.onmessage = (event) => {
    heard = performance.now();
    if (typeof event.data === "string") obey(...JSON.parse(event.data));
    else screen.write(new Uint8Array(event.data));
  };
  mine.onclose = (event) => { if (socket === mine) closed(event, opened); };
}

function obey(what, words) {
  if (what === "reset") screen.reset();
  else if (what === "ended") finish("The screen was left. The session goes on in the journal.");
  else if (what === "refused") finish(words);
}

function finish(words) {
  over = true;
  again.querySelector("p").textContent = words;
  again.hidden = false;
  say("no screen", true);
}

async function closed(event, opened) {
  socket = null;
  if (over) return;
  if (event.code === 4001) { finish("This page is open elsewhere."); return; }
  const seconds = WAITS_SECONDS[Math.min(failures, WAITS_SECONDS.length - 1)];
  failures += 1;
  say(`connection lost: trying again in ${Math.ceil(seconds)} s`, true);
  clearTimeout(timer);
  timer = setTimeout(connect, seconds * (750 + Math.random() * 500));
  if (!opened) {
    // Only an answer counts: 401 means that the server was started anew and wants the phrase again.
    const answer = await fetch(`/may/${body.dataset.role}`).catch(() => null);
    if (answer && answer.status === 401) location.reload();
  }
}

function tryNow() {
  if (!socket && !over && failures) connect();
}
addEventListener("online", tryNow);
document.addEventListener("visibilitychange", () => { if (!document.hidden) tryNow(); });
again.querySelector("button").addEventListener("click", connect);
setInterval(() => {
  if (socket && performance.now() - heard > SILENT_SECONDS * 1000) {
    const dead = socket;
    socket = null;
    dead.onclose = null;
    dead.close();
    closed({ code: 1006 }, true);
  }
}, 2000);

// Keys and buttons

document.addEventListener("keydown", (event) => {
  const inField = event.target instanceof HTMLInputElement;
  if (inField && !goesThroughTheField(event)) return;
  if (event.target instanceof HTMLButtonElement && ["Enter", " ", "Tab"].includes(event.key)) return;
  const sequence = sequenceOf(event);
  if (!sequence) return;
  event.preventDefault();
  keys(sequence);
});
document.addEventListener("paste", (event) => {
  if (event.target instanceof HTMLInputElement) return;
  const text = event.clipboardData.getData("text/plain").replaceAll("\x1b", "").slice(0, 4000);
  keys(screen.pasteMarked ? `\x1b[200~${text}\x1b[201~` : text);
});
place.addEventListener("pointerup", (event) => {
  if (view || event.pointerType === "mouse" || String(getSelection())) return;
  field.focus();
});

function addButton(place, id, words, onClick) {
  const button = document.createElement("button");
  button.type = "button";
  button.id = id;
  button.textContent = words;
  // The keyboard of a phone stays as it is: a button does not take the focus from the field.
  button.addEventListener("pointerdown", (event) => event.preventDefault());
  button.addEventListener("click", () => onClick(button));
  document.getElementById(place).append(button);
  return button;
}

function press(action, sequence) {
  keys(sequence);
  if (OPENS.includes(action)) line.bare();
  else if (action === "dismiss" && !field.value) line.startAnew();
}

for (const [action, sequence] of Object.entries(JSON.parse(body.dataset.buttons))) {
  const button = addButton("buttons", `key-${action}`, WORDS[action], () => press(action, sequence));
  button.classList.toggle("main", MAIN.includes(action));
}
const more = Object.entries(JSON.parse(body.dataset.more));
for (const [action, sequence] of more) {
  addButton("more", `key-${action}`, MORE_WORDS[action], () => press(action, sequence));
}
if (more.length) {
  addButton("buttons", "show-more", "more", (button) => {
    const row = document.getElementById("more");
    row.hidden = !row.hidden;
    button.textContent = row.hidden ? "more" : "fewer";
  });
}
connect();
if (!touch) place.focus();
