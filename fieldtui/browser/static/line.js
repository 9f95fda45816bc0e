// The text field for phones: what is typed, swiped or corrected in it appears in the entry line while it is typed.
// A phone's keyboard rewrites words as it likes, so the difference to what was sent is what is sent.

const CLEAR = "\x15"; // Ctrl+U: the entry line is empty up to its cursor
const BACK = "\x7f";

export class Line {
  constructor(form, field, send) {
    this.field = field;
    this.send = send;
    this.startAnew();
    field.value = sessionStorage.getItem("line") || "";
    field.addEventListener("input", () => this.follow());
    form.addEventListener("submit", (event) => { event.preventDefault(); this.enter(); });
  }

  // Nothing is known of the entry line: a refused line may stand in it, or another program behind it.
  startAnew() {
    this.sent = null;
  }

  // A page was opened over the entry line: there a letter is an answer, and clearing a line first would be a "no".
  bare() {
    if (this.sent === null) this.sent = [...this.field.value];
  }

  sayAgain() {
    this.startAnew();
    if (this.field.value) this.follow();
  }

  follow() {
    const text = this.field.value;
    sessionStorage.setItem("line", text);
    const wanted = [...text];
    if (this.sent === null) {
      // An answer to a question is one letter, and clearing the line first would be a "no".
      if (/^[yY]$/.test(text)) { this.send(text); return; }
      this.send(CLEAR + text);
    } else {
      let same = 0;
      while (same < wanted.length && wanted[same] === this.sent[same]) same += 1;
      this.send(BACK.repeat(this.sent.length - same) + wanted.slice(same).join(""));
    }
    this.sent = wanted;
  }

  enter() {
    this.send("\r");
    this.field.value = "";
    sessionStorage.removeItem("line");
    this.startAnew();
  }
}
