// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Asks the rig four times a second and shows what it says. Works the rig only with a token, which stands after # in the address.
"use strict";

const EVERY_MS = 250;
const REFUSED_MS = 6000; // so long it says why an order was refused
const OLD_MS = 2000; // without an answer for so long, what stands here is called old
const LOW = -10; // left end of the bars, dB
const HIGH = 30;
const cards = [];
let token = location.hash.slice(1);
let answeredAt = performance.now();
let refused = "";
let refusedAt = 0;

const byId = (id) => document.getElementById(id);

function add(parent, tag, className, text) {
  const element = document.createElement(tag);
  if (className) element.className = className;
  if (text) element.textContent = text;
  parent.append(element);
  return element;
}

function addShape(parent, tag, className, values) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
  element.setAttribute("class", className);
  for (const [name, value] of Object.entries(values)) element.setAttribute(name, value);
  parent.append(element);
  return element;
}

function alarm(text) {
  byId("alarm").textContent = text;
  byId("alarm").hidden = !text;
}

function refuse(text) {
  refused = text;
  refusedAt = performance.now();
  alarm(text);
}

async function order(path) {
  try {
    const answer = await fetch(path, { method: "POST", headers: { Authorization: "Bearer " + token } });
    refuse(answer.ok ? "" : await answer.text());
    ask();
  } catch {
    refuse("The rig did not hear that");
  }
}

function addKey(keys, label, path) {
  const key = add(keys, "button", "", label);
  key.type = "button";
  key.addEventListener("click", () => order(path()));
  return key;
}

function makeCard(number) {
  const stand = "stand/" + number + "/";
  const article = add(byId("stands"), "article");
  const card = { article, v: {} };
  card.name = add(article, "h2");
  card.who = add(article, "p", "who");
  card.state = add(article, "p", "state");
  card.trouble = add(article, "p", "trouble");
  const bar = addShape(article, "svg", "bar", { viewBox: "0 0 400 20", preserveAspectRatio: "none", "aria-hidden": "true" });
  card.excess = addShape(bar, "rect", "excess", { x: 0, y: 0, height: 20, width: 0 });
  card.lines = ["halo", "line"].map((name) => addShape(bar, "line", name, { y1: 0, y2: 20 }));
  addShape(bar, "rect", "frame", { x: 0, y: 0, height: 20, width: 400 });
  const figures = add(article, "p", "figures");
  card.figure = add(figures, "span");
  card.learnt = add(figures, "span");
  card.keys = add(article, "p", "keys");
  card.mute = addKey(card.keys, "Mute", () => stand + "muted?value=" + (card.v.muted ? 0 : 1));
  card.bypass = addKey(card.keys, "Bypass", () => stand + "enabled?value=" + (card.v.bypassed ? 1 : 0));
  card.learn = addKey(card.keys, "Learn field", () => stand + "learn?value=" + (card.v.learning ? 0 : 1));
  addKey(card.keys, "Unlearn", () => stand + "learn?value=3");
  card.previous = addKey(card.keys, "Previous", () => stand + "previous");
  card.next = addKey(card.keys, "Next", () => stand + "next");
  return card;
}

function onScale(db) {
  return (400 * (Math.min(Math.max(db, LOW), HIGH) - LOW)) / (HIGH - LOW);
}

function press(key, on) {
  key.setAttribute("aria-pressed", on ? "true" : "false");
}

function showStand(stand, running, mayWork) {
  const card = cards[stand.number - 1] || (cards[stand.number - 1] = makeCard(stand.number));
  card.v = stand;
  card.article.className = stand.mood;
  card.name.textContent = stand.number + "  " + stand.name;
  card.who.textContent = (stand.soloist || "") + (stand.next ? ", then " + stand.next : "");
  card.state.textContent = stand.state;
  card.trouble.hidden = !stand.advice;
  card.trouble.className = stand.fault ? "trouble" : "doubt";
  card.trouble.textContent = stand.advice ? (stand.fault ? stand.fault + ". " : "") + stand.advice : "";
  const known = stand.excess_db !== null;
  card.excess.setAttribute("width", known ? onScale(stand.excess_db) : 0);
  for (const line of card.lines) {
    for (const end of ["x1", "x2"]) line.setAttribute(end, known ? onScale(stand.open_at_db) : -9);
  }
  card.figure.textContent = !running ? "" : known ? "Excess " + stand.excess_db.toFixed(0) + " dB" : stand.fault ? "The close microphone passes as it is" : "No field heard yet";
  card.learnt.textContent = (stand.learning ? "Learning: " : "Learnt: ") + stand.learnt;
  card.keys.hidden = !mayWork;
  card.previous.hidden = card.next.hidden = !stand.previous && !stand.next; // one soloist alone
  card.previous.disabled = !stand.previous;
  card.next.disabled = !stand.next;
  press(card.learn, stand.learning);
  press(card.mute, stand.muted);
  press(card.bypass, stand.bypassed);
}

function show(rig) {
  const mayWork = rig.has_token && token !== "";
  byId("title").textContent = rig.title || "Fronthash live";
  byId("sound").textContent = rig.running
    ? "Sounding: " + rig.rate_hz + " Hz, " + rig.frames + " frames, " + (rig.real_time ? "real time" : "not real time") + ", load " +
      rig.load_percent.toFixed(0) + " %, " + rig.xruns + (rig.xruns === 1 ? " xrun" : " xruns")
    : "Silent";
  alarm(rig.running ? (performance.now() - refusedAt < REFUSED_MS ? refused : "") : "SILENT: no sound server");
  byId("all").hidden = !mayWork;
  press(byId("all"), rig.stands.some((stand) => stand.learning));
  rig.stands.forEach((stand) => showStand(stand, rig.running, mayWork));
  byId("notes").replaceChildren();
  rig.notes.forEach((note) => add(byId("notes"), "li", "", note));
  byId("rights").textContent = mayWork ? "" : "To look at only. With the token after # in the address, this page works the rig.";
}

async function ask() {
  try {
    const answer = await fetch("rig.json", { cache: "no-store", signal: AbortSignal.timeout(OLD_MS) });
    if (!answer.ok) throw new Error();
    show(await answer.json());
    answeredAt = performance.now();
  } catch {
    // The clock below says so
  }
}

setInterval(ask, EVERY_MS);
setInterval(() => {
  const old = performance.now() - answeredAt;
  if (old > OLD_MS) alarm("No answer from the rig for " + (old / 1000).toFixed(0) + " s: what stands here is old");
}, 500);
byId("all").addEventListener("click", () => order("stand/*/learn?value=" + (byId("all").getAttribute("aria-pressed") === "true" ? 0 : 1)));
window.addEventListener("hashchange", () => (token = location.hash.slice(1)));
byId("colours").addEventListener("click", () => {
  const night = document.documentElement.classList.toggle("night");
  byId("colours").textContent = night ? "Day" : "Night";
});
ask();
