"use strict";
// Finds entries by words, unfolds what a link leads to, prints one symptom with its causes.
// Without it the book is whole: everything unfolds by a touch, and the browser can search.
const entries = [...document.querySelectorAll("article")];
const field = document.querySelector("#search");
const list = document.querySelector("#found");
const count = document.querySelector("#count");
const MOST = 30;
let index;

function indexed() {
  index ??= entries.map((entry) => ({
    id: entry.id,
    name: entry.dataset.name,
    kind: entry.dataset.kind,
    called: `${entry.dataset.name} ${entry.dataset.also ?? ""}`.toLowerCase(),
    lead: entry.querySelector(".lead").textContent.toLowerCase(),
    all: entry.textContent.toLowerCase(),
  }));
  return index;
}

function rank(its, words) {
  if (words.every((word) => its.called.includes(word))) return 3;
  if (words.every((word) => its.called.includes(word) || its.lead.includes(word))) return 2;
  return words.every((word) => its.all.includes(word)) ? 1 : 0;
}

function search() {
  const words = field.value.toLowerCase().split(/[^\p{L}\p{N}]+/u).filter(Boolean)
    .map((word) => (word.length > 4 ? word.replace(/(ing|ed|es|s)$/, "") : word));
  const hits = words.length
    ? indexed().map((its) => [rank(its, words), its]).filter(([worth]) => worth)
    : [];
  hits.sort(([one], [other]) => other - one);
  list.replaceChildren(...hits.slice(0, MOST).map(([, its]) => {
    const item = document.createElement("li");
    const link = document.createElement("a");
    link.href = `#${its.id}`;
    link.textContent = its.name;
    item.append(link, ` ${its.kind}`);
    return item;
  }));
  const more = hits.length > MOST ? `, the first ${MOST} shown` : "";
  count.textContent = words.length ? `${hits.length} found${more}` : "";
}

function unfold(entry) {
  for (let at = entry.querySelector("details") ?? entry; at; at = at.parentElement) {
    if (at.tagName === "DETAILS") at.open = true;
  }
}

function reveal() {
  const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (!target) return;
  unfold(target);
  target.scrollIntoView();
}

function choose(button) {
  const chosen = [button.closest("article").id, ...button.dataset.with.split(" ")];
  document.body.classList.add("one");
  for (const id of chosen) {
    const entry = document.getElementById(id);
    entry?.classList.add("chosen");
    if (entry) unfold(entry);
  }
  setAside();
  window.print();
}

let folded = [];
let aside = [];

// What is not printed leaves the page meanwhile: hidden, so large a book takes minutes to lay out.
function setAside() {
  aside = entries.filter((entry) => !entry.classList.contains("chosen")).map((entry) => {
    const place = document.createComment("");
    entry.replaceWith(place);
    return [place, entry];
  });
}

function before() {
  if (document.body.classList.contains("one")) return;
  folded = [...document.querySelectorAll("details:not([open]):not(.more)")];
  for (const each of folded) each.open = true;
}

function after() {
  for (const each of folded) each.open = false;
  folded = [];
  for (const [place, entry] of aside) place.replaceWith(entry);
  aside = [];
  document.body.classList.remove("one");
  for (const each of document.querySelectorAll(".chosen")) each.classList.remove("chosen");
}

field.addEventListener("input", search);
field.form.addEventListener("submit", (event) => {
  event.preventDefault();
  list.querySelector("a")?.click();
});
document.addEventListener("click", (event) => {
  const link = event.target.closest("a[href^='#']");
  if (link && link.hash === location.hash) reveal();
  if (link && list.contains(link)) {
    field.value = "";
    search();
  }
  const button = event.target.closest("button.print");
  if (button) choose(button);
});
window.addEventListener("hashchange", reveal);
window.addEventListener("beforeprint", before);
window.addEventListener("afterprint", after);
for (const each of document.querySelectorAll("[data-scripted]")) each.hidden = false;
reveal();
