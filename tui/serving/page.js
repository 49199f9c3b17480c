"use strict";
// What the page adds to the terminal: where it connects to, where the hand is, and what an end means.

const ENDS = {
  left: ["You left the dashboard", "Everything booked is in the books."],
  broke: ["This tab's dashboard stopped", "What was booked is in the books. Other tabs go on."],
  full: ["Too many tabs are open", "Close one of them, then open this one again."],
  over: ["The server was ended", "Everything booked is in the books. Start `ullage serve` again and open the address that it prints."],
  lost: ["The connection was lost", "What was booked is in the books."],
};
const NOT_LET_IN = "This browser is not let in any more. Open the address that `ullage serve` prints.";
const NOBODY = "Nothing answers here. Start `ullage serve` again and open the address that it prints.";

const LETTERS = 'ui-monospace, "DejaVu Sans Mono", Menlo, Consolas, monospace';

let how = "lost";
let said = "";

const at = (id) => document.getElementById(id);

function ended() {
  const [head, text] = ENDS[how] || ENDS.lost;
  at("end-head").textContent = head;
  at("end-text").textContent = text;
  at("end-said").textContent = said;
  document.title = "Ullage: " + head.toLowerCase();
  at("end").hidden = false;
  at("again").focus();
}

async function again() {
  try {
    const answer = await fetch("/", { cache: "no-store" });
    if (answer.ok || answer.status === 401) return window.location.reload();
    at("end-said").textContent = NOT_LET_IN;
  } catch {
    at("end-said").textContent = NOBODY;
  }
}

// The terminal's script makes the socket and keeps it to itself, so the page listens from within.
window.WebSocket = class extends WebSocket {
  constructor(address) {
    super(address);
    this.addEventListener("open", () => document.querySelector(".xterm-helper-textarea")?.focus());
    this.addEventListener("message", (event) => {
      if (typeof event.data !== "string") return;
      const [what, words] = JSON.parse(event.data);
      if (what === "ended") ({ how, said } = words);
    });
    this.addEventListener("close", ended);
  }
};

// It keeps its terminal to itself, too, with letters that we don't ship and deaf to screen readers. The first
// property `terminal` that anything on this page is given is that terminal: it gets our options, and the trap goes.
Object.defineProperty(Object.prototype, "terminal", {
  configurable: true,
  set(terminal) {
    delete Object.prototype.terminal;
    this.terminal = terminal;
    terminal.options.fontFamily = LETTERS;
    terminal.options.screenReaderMode = true;
  },
});

document.addEventListener("DOMContentLoaded", () => {
  const scheme = window.location.protocol === "https:" ? "wss:" : "ws:";
  at("terminal").dataset.sessionWebsocketUrl = `${scheme}//${window.location.host}/ws`;
  at("again").addEventListener("click", again);
});
