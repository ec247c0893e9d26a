"use strict";
/* Sets up the page before the terminal starts: where its socket is, how large the letters are, and
   that a touch brings up no keyboard unless it is asked for. */
document.addEventListener("DOMContentLoaded", () => {
  const terminal = document.getElementById("terminal");
  const socket = location.protocol === "https:" ? "wss://" : "ws://";
  terminal.dataset.sessionWebsocketUrl = socket + location.host + "/ws";
  const wide = Math.min(innerWidth, screen.width || innerWidth);
  terminal.dataset.fontSize = String(Math.max(12, Math.min(18, Math.floor(wide / 24.4))));

  document.getElementById("again").addEventListener("click", () => location.reload());

  if (!matchMedia("(pointer: coarse)").matches) return;
  document.body.classList.add("-touch");
  const button = document.getElementById("keys");
  let shown = false;
  const apply = () => {
    const line = terminal.querySelector("textarea");
    if (line) line.inputMode = shown ? "text" : "none";
  };
  new MutationObserver(apply).observe(terminal, { childList: true, subtree: true });
  button.addEventListener("click", () => {
    shown = !shown;
    button.setAttribute("aria-pressed", String(shown));
    apply();
    const line = terminal.querySelector("textarea");
    if (line) { line.blur(); line.focus(); }
  });
});
