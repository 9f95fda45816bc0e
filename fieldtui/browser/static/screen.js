// A terminal's screen: takes what a program writes, keeps cells, draws the rows that changed as plain text.
// It knows what the session screen sends (ECMA-48 and XTerm's private modes); what it does not know it passes over.

const WIDE = /[\u1100-\u115f\u2e80-\u303e\u3041-\ua4cf\uac00-\ud7a3\uf900-\ufaff\ufe30-\ufe6f\uff00-\uff60\uffe0-\uffe6\u{1f300}-\u{1faff}\u{20000}-\u{3fffd}]/u;
const NO_WIDTH = /[\p{M}\u200b-\u200f\u2060\ufe00-\ufe0f]/u;
const BASE = ["#000000", "#aa0000", "#00aa00", "#aa5500", "#3355ff", "#aa00aa", "#00aaaa", "#bbbbbb",
  "#666666", "#ff6050", "#55dd55", "#ffd040", "#7799ff", "#ff66ff", "#55dddd", "#ffffff"];
const PLAIN = { ink: "", ground: "", bold: false, dim: false, italic: false, under: false, struck: false, swapped: false };

function colour(number) {
  if (number < 16) return BASE[number];
  if (number > 231) { const grey = 8 + (number - 232) * 10; return `rgb(${grey},${grey},${grey})`; }
  const level = (part) => (part ? 55 + part * 40 : 0);
  const rest = number - 16;
  return `rgb(${level(Math.floor(rest / 36))},${level(Math.floor(rest / 6) % 6)},${level(rest % 6)})`;
}

export class Screen {
  constructor(place, onBell) {
    this.place = place;
    this.onBell = onBell;
    this.columns = 80;
    this.rows = 24;
    this.decoder = new TextDecoder();
    this.reset();
  }

  reset() {
    this.decoder = new TextDecoder();
    this.style = PLAIN;
    this.row = 0;
    this.column = 0;
    this.saved = [0, 0];
    this.state = "text";
    this.sequence = "";
    this.pasteMarked = false;
    this.cells = Array.from({ length: this.rows }, () => this.blankRow());
    this.touchAll();
  }

  blankRow() {
    return Array.from({ length: this.columns }, () => ({ text: " ", style: this.style }));
  }

  resize(columns, rows) {
    this.columns = columns;
    this.rows = rows;
    const blank = () => ({ text: " ", style: PLAIN });
    for (const row of this.cells) {
      while (row.length < columns) row.push(blank());
      row.length = columns;
    }
    while (this.cells.length < rows) this.cells.push(this.blankRow());
    this.cells.length = rows;
    this.row = Math.min(this.row, rows - 1);
    this.column = Math.min(this.column, columns);
    this.touchAll();
  }

  touchAll() {
    this.changed = new Set(this.cells.keys());
    this.drawSoon();
  }

  // Taking what the program writes

  write(bytes) {
    for (const character of this.decoder.decode(bytes, { stream: true })) this.take(character);
    this.drawSoon();
  }

  take(character) {
    if (this.state === "text") this.takeText(character);
    else if (this.state === "escape") this.takeEscape(character);
    else if (this.state === "sequence") this.takeSequence(character);
    else if (this.state === "one") this.state = "text";
    else if (character === "\x07") this.state = "text";
    else if (this.state === "string" && character === "\x1b") this.state = "string end";
    else if (this.state === "string end") this.state = character === "\\" ? "text" : "string";
  }

  takeText(character) {
    const code = character.codePointAt(0);
    if (code >= 32 && code !== 127) this.put(character);
    else if (character === "\x1b") this.state = "escape";
    else if (character === "\r") this.column = 0;
    else if (character === "\n") this.lineFeed();
    else if (character === "\b") this.column = Math.max(0, this.shownColumn() - 1);
    else if (character === "\t") this.column = Math.min(this.columns - 1, (Math.floor(this.column / 8) + 1) * 8);
    else if (character === "\x07") this.onBell();
  }

  takeEscape(character) {
    this.sequence = "";
    if (character === "[") this.state = "sequence";
    else if ("]PX^_".includes(character)) this.state = "string";
    else if ("()*+#% ".includes(character)) this.state = "one";
    else {
      this.state = "text";
      if (character === "7") this.saved = [this.row, this.column];
      else if (character === "8") [this.row, this.column] = this.saved;
      else if (character === "c") this.reset();
    }
  }

  takeSequence(character) {
    if (character >= "@" && character <= "~") {
      this.state = "text";
      this.obey(this.sequence, character);
    } else if (this.sequence.length < 128) this.sequence += character;
  }

  obey(parameters, final) {
    if (/^[<=>]/.test(parameters) || /[ -/]/.test(parameters)) return;
    if (parameters.startsWith("?")) { this.setModes(parameters.slice(1), final); return; }
    const numbers = parameters.split(/[;:]/).map((part) => Number.parseInt(part, 10) || 0);
    const count = Math.max(1, numbers[0]);
    const moves = {
      A: [-count, 0], B: [count, 0], C: [0, count], D: [0, -count],
    };
    if (moves[final]) this.moveTo(this.row + moves[final][0], this.shownColumn() + moves[final][1]);
    else if (final === "H" || final === "f") this.moveTo(count - 1, Math.max(1, numbers[1] || 1) - 1);
    else if (final === "G") this.moveTo(this.row, count - 1);
    else if (final === "d") this.moveTo(count - 1, this.column);
    else if (final === "J") this.eraseScreen(numbers[0]);
    else if (final === "K") this.eraseLine(numbers[0]);
    else if (final === "X") this.erase(this.row, this.column, this.column + count);
    else if (final === "m") this.setStyle(numbers);
  }

  setModes(parameters, final) {
    const on = final === "h";
    if (!on && final !== "l") return;
    for (const mode of parameters.split(";")) {
      if (mode === "2004") this.pasteMarked = on;
      if (mode === "1049" || mode === "1047") { this.style = PLAIN; this.eraseScreen(2); this.moveTo(0, 0); }
    }
  }

  // After the last column is written, the cursor still stands on it; only the next character goes to a new line.
  shownColumn() {
    return Math.min(this.column, this.columns - 1);
  }

  moveTo(row, column) {
    this.row = Math.min(Math.max(row, 0), this.rows - 1);
    this.column = Math.min(Math.max(column, 0), this.columns - 1);
  }

  lineFeed() {
    if (this.row < this.rows - 1) { this.row += 1; return; }
    this.cells.shift();
    this.cells.push(this.blankRow());
    this.touchAll();
  }

  put(character) {
    if (NO_WIDTH.test(character)) { this.join(character); return; }
    const width = WIDE.test(character) ? 2 : 1;
    if (this.column + width > this.columns) { this.column = 0; this.lineFeed(); }
    const row = this.cells[this.row];
    row[this.column] = { text: character, style: this.style, width };
    if (width === 2 && this.column + 1 < this.columns) row[this.column + 1] = { text: "", style: this.style };
    this.column += width;
    this.changed.add(this.row);
  }

  join(mark) {
    const before = this.cells[this.row][Math.max(0, this.column - 1)];
    if (before.text.length < 8) before.text += mark;
    this.changed.add(this.row);
  }

  erase(row, from, to) {
    for (let column = from; column < Math.min(to, this.columns); column += 1) {
      this.cells[row][column] = { text: " ", style: this.style };
    }
    this.changed.add(row);
  }

  eraseLine(how) {
    this.erase(this.row, how ? 0 : this.column, how === 1 ? this.column + 1 : this.columns);
  }

  eraseScreen(how) {
    if (how < 2) this.eraseLine(how);
    for (let row = 0; row < this.rows; row += 1) {
      if (how > 1 || (how === 0 ? row > this.row : row < this.row)) this.erase(row, 0, this.columns);
    }
  }

  setStyle(numbers) {
    const style = { ...this.style };
    for (let at = 0; at < numbers.length; at += 1) {
      const number = numbers[at];
      if (number === 0) Object.assign(style, PLAIN);
      else if (number === 1) style.bold = true;
      else if (number === 2) style.dim = true;
      else if (number === 3) style.italic = true;
      else if (number === 4) style.under = true;
      else if (number === 7) style.swapped = true;
      else if (number === 9) style.struck = true;
      else if (number === 22) style.bold = style.dim = false;
      else if (number === 23) style.italic = false;
      else if (number === 24) style.under = false;
      else if (number === 27) style.swapped = false;
      else if (number === 29) style.struck = false;
      else if (number >= 30 && number <= 37) style.ink = BASE[number - 30];
      else if (number >= 40 && number <= 47) style.ground = BASE[number - 40];
      else if (number >= 90 && number <= 97) style.ink = BASE[number - 82];
      else if (number >= 100 && number <= 107) style.ground = BASE[number - 92];
      else if (number === 39) style.ink = "";
      else if (number === 49) style.ground = "";
      else if (number === 38 || number === 48) {
        const side = number === 38 ? "ink" : "ground";
        if (numbers[at + 1] === 5) { style[side] = colour(numbers[at + 2] & 255); at += 2; }
        else if (numbers[at + 1] === 2) {
          const [red, green, blue] = numbers.slice(at + 2, at + 5).map((part) => part & 255);
          style[side] = `rgb(${red},${green},${blue})`;
          at += 4;
        }
      }
    }
    this.style = style;
  }

  // Drawing

  drawSoon() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => { this.waiting = false; this.draw(); });
  }

  draw() {
    const lines = this.place.children;
    while (lines.length < this.rows) this.place.append(document.createElement("div"));
    while (lines.length > this.rows) lines[lines.length - 1].remove();
    for (const row of this.changed) {
      if (row < this.rows) lines[row].replaceChildren(...this.runs(this.cells[row]));
    }
    this.changed.clear();
  }

  runs(cells) {
    const spans = [];
    let span = null;
    let style = null;
    let plain = "";
    const flush = () => { if (plain) { span.append(plain); plain = ""; } };
    for (const cell of cells) {
      if (cell.style !== style) {
        if (span) flush();
        style = cell.style;
        span = this.span(style);
        spans.push(span);
      }
      if (cell.text === "" || (cell.text >= " " && cell.text <= "~" && cell.text.length === 1)) plain += cell.text;
      else { flush(); span.append(this.boxed(cell)); }
    }
    if (span) flush();
    return spans;
  }

  span(style) {
    const span = document.createElement("span");
    const [ink, ground] = style.swapped
      ? [style.ground || "var(--ground)", style.ink || "var(--ink)"] : [style.ink, style.ground];
    if (ink) span.style.color = ink;
    if (ground) span.style.backgroundColor = ground;
    if (style.bold) span.style.fontWeight = "bold";
    if (style.italic) span.style.fontStyle = "italic";
    if (style.dim) span.style.opacity = "0.65";
    if (style.under || style.struck) {
      span.style.textDecoration = `${style.under ? "underline" : ""} ${style.struck ? "line-through" : ""}`;
    }
    return span;
  }

  boxed(cell) {
    const box = document.createElement("i");
    const code = cell.text.codePointAt(0);
    box.textContent = cell.text;
    if (cell.width === 2) box.className = "wide";
    else if (code >= 0x2581 && code <= 0x2588) box.className = `block b${code - 0x2580}`;
    else if (code === 0x2580) box.className = "upper";
    return box;
  }
}
