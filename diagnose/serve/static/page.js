// Betters pages that work without it: forms are sent beside the page, so that an answer given while
// the connection is gone waits on the phone; and a page tells when another phone has gone on.
"use strict";
(() => {
  const WAITING = "waiting";
  const AGAIN = 3000;
  const NEWS = 8000;
  const line = document.getElementById("line");
  const own = document.body.dataset;

  const waiting = () => JSON.parse(localStorage.getItem(WAITING) || "[]");
  const keep = (sheets) => localStorage.setItem(WAITING, JSON.stringify(sheets));

  function say(words, link, to) {
    if (!line) return;
    line.textContent = words;
    if (link) {
      const way = document.createElement("a");
      way.textContent = link;
      way.href = to;
      line.append(way);
    }
    line.hidden = !words;
  }

  async function post(url, body, type) {
    const headers = { Accept: "application/json" };
    if (type) headers["Content-Type"] = type;
    const answer = await fetch(url, { method: "POST", headers, body, redirect: "error" });
    const data = await answer.json().catch(() => ({}));
    return { status: answer.status, data };
  }

  // An answer waits on the phone before it is sent, and goes when the computer has it.
  let sending = false;
  async function flush() {
    if (sending) return false;
    const sheets = waiting();
    if (!sheets.length) return false;
    sending = true;
    try {
      const sheet = sheets[0];
      const { status, data } = await post(
        sheet.url, sheet.body, "application/x-www-form-urlencoded;charset=UTF-8");
      if (status >= 500 || status === 429 || status === 408) throw new Error("later");
      keep(waiting().slice(1));
      say("");
      arrived(sheet, status, data);
      return true;
    } catch {
      const about = sheets.map((sheet) => sheet.about).join(", ");
      say(`No connection. Kept on this phone: ${about}. It is sent as soon as the computer answers.`);
      setTimeout(flush, AGAIN);
      return false;
    } finally {
      sending = false;
    }
  }

  function arrived(sheet, status, data) {
    if (waiting().length) { flush(); return; }
    const form = document.querySelector(`form[data-sent="${CSS.escape(sheet.form)}"]`);
    if (status === 200 && data.to) { location.assign(data.to); return; }
    if (form) {
      free(form);
      wrong(form, data.wrong || "This was not taken. Load the page again.");
      if (status === 422 && data.to && data.to.includes("note=")) location.assign(data.to);
    } else {
      say(`Not taken: ${sheet.about}. ${data.wrong || ""}`, "Look", data.to || "/");
    }
  }

  const free = (form) => form.querySelectorAll("button").forEach((b) => { b.disabled = false; });
  const hold = (form) => form.querySelectorAll("button").forEach((b) => { b.disabled = true; });

  function wrong(form, words) {
    const place = form.querySelector(".wrong") || document.querySelector(".wrong");
    if (place) { place.textContent = words; place.scrollIntoView({ block: "center" }); }
    else say(words);
  }

  function fields(form, submitter) {
    const data = new FormData(form);
    if (submitter && submitter.name) data.append(submitter.name, submitter.value);
    return data;
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.method !== "post" || !form.elements.form || "plain" in form.dataset) return;
    event.preventDefault();
    const data = fields(form, event.submitter);
    if (form.enctype === "multipart/form-data") { photo(form, data); return; }
    const about = form.dataset.keep || (event.submitter ? event.submitter.textContent.trim() : "an entry");
    const said = event.submitter ? event.submitter.textContent.trim() : "";
    form.dataset.sent = data.get("form");
    hold(form);
    keep([...waiting(), {
      url: form.getAttribute("action") || location.pathname,
      body: new URLSearchParams(data).toString(),
      about: form.dataset.keep ? `${about}: ${said}` : about,
      form: data.get("form"),
    }]);
    flush();
  });

  // A photo is too large to wait on the phone's shelf: it waits as long as the page is open.
  async function photo(form, data) {
    hold(form);
    say("The photo is on its way …");
    try {
      const { status, data: said } = await post(form.getAttribute("action"), data);
      if (status >= 500 || status === 429 || status === 408) throw new Error("later");
      say("");
      if (status === 200 && said.to) { location.assign(said.to); return; }
      free(form);
      wrong(form, said.wrong || "This photo was not taken.");
    } catch {
      say("No connection. Leave this page open: the photo is sent as soon as the computer answers.");
      setTimeout(() => photo(form, data), AGAIN);
    }
  }

  // A page that the browser had kept is out of date.
  addEventListener("pageshow", (event) => { if (event.persisted) location.reload(); });
  addEventListener("online", flush);
  flush();

  // Another phone on the same case.
  async function news() {
    if (document.hidden || waiting().length) return;
    try {
      const answer = await fetch(`${own.case}/news`, { headers: { Accept: "application/json" } });
      const { events } = await answer.json();
      if (answer.ok && events > Number(own.events)) {
        say("Another phone went on with this case.", "Show it", `${own.case}/`);
      }
    } catch { /* the next look tells */ }
  }
  if (own.case && Number(own.events)) setInterval(news, NEWS);

  document.querySelectorAll("[data-print]").forEach((button) => {
    button.hidden = false;
    button.addEventListener("click", () => print());
  });
})();
