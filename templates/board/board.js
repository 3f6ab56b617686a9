// The day's board in the browser. Every text of the day is put in as text; nothing of it is ever read as markup.
import { clockText, dayAt, dayNumber, left, weekday } from "/times.js";
import { drawStrip, moveNow } from "/strip.js";
import { drop, keep, makeId, send, waiting, withWaiting } from "/queue.js";

const $ = (id) => document.getElementById(id);
let view = null;
let shift = Number(localStorage.getItem("board-shift") || 0); // the server's clock less this device's, in seconds
let isPressed = false;
let isDue = false;
let source = null;

const now = () => Date.now() / 1000 + shift;

// ---------------------------------------------------------------- times

const clock = (seconds) => clockText(view.call_s, seconds);

// Of several days a time that is not of today has its weekday behind it.
function clockOn(seconds) {
  if (!view.days.length) return clock(seconds);
  const number = dayNumber(view.call_s, seconds);
  return number === dayNumber(view.call_s, now()) ? clock(seconds) : `${clock(seconds)} ${weekday(view.days[0].date, number)}`;
}

const today = () => (view.days.length ? dayAt(view.days, now()) : 0);

// What the header and the strip show: the day that it is, or all there is.
function shownDay() {
  const day = view.days[today()];
  if (!day) return { from_s: 0, wrap_s: view.wrap_s, morning_wrap_s: view.morning_wrap_s, planned: "this morning" };
  return { from_s: day.opens_s, wrap_s: day.wrap_s, morning_wrap_s: day.morning_wrap_s, planned: "at first" };
}

function changed(day) {
  if (day.wrap_s === null) return day.morning_wrap_s === null ? "nothing to do today" : "nothing is left to do today";
  if (day.morning_wrap_s === null) return "nothing was planned at first";
  const change = Math.round((day.wrap_s - day.morning_wrap_s) / 60);
  return change === 0 ? `as planned ${day.planned}` : `${Math.abs(change)} min ${change > 0 ? "later" : "earlier"} than ${day.planned}`;
}

function dayWords(day, number) {
  const ends = day.wrap_s === null ? "nothing is left to do" : `wrap ${clock(day.wrap_s)}`;
  return `${day.weekday} ${day.date}, day ${number + 1} of ${view.days.length}: call ${clock(day.opens_s)}, ${ends}, the kitchen closes at ${clock(day.closes_s)}`;
}

// ---------------------------------------------------------------- making elements

function make(tag, className, text) {
  const item = document.createElement(tag);
  if (className) item.className = className;
  if (text !== undefined) item.textContent = text;
  return item;
}

function counting(tag, className, at) {
  const item = make(tag, className, left(at - now()));
  item.dataset.at = at;
  return item;
}

function tap(words, className, tick) {
  const button = make("button", className, words);
  button.type = "button";
  button.dataset.key = `${tick.run} ${tick.kind} ${words}`;
  button.addEventListener("click", () => record(tick));
  return button;
}

function record(tick) {
  keep({ late_s: 0, label: "", ...tick, id: makeId(), at_s: Math.floor(now()), device: device() });
  show();
  push();
}

function device() {
  let name = localStorage.getItem("board-device");
  if (!name) {
    name = makeId().slice(0, 8);
    localStorage.setItem("board-device", name);
  }
  return name;
}

// ---------------------------------------------------------------- cards

function card(step, camera) {
  const item = make("article", "card");
  const when = make("p", "when", clockOn(step.start_s));
  item.append(when, make("h3", "", step.label), make("p", "dish", step.recipe));
  const facts = [step.who, ...step.with].filter(Boolean).join(" · ");
  const taps = make("div", "taps");
  const name = { run: step.run, label: step.label };
  if (step.state === "running") {
    const isHands = isOnHands(step);
    when.textContent = "";
    when.append(counting("span", "", isHands ? step.hands_until_s : step.end_s));
    when.append(make("small", "", `${isHands ? "hands to" : "until"} ${clockOn(isHands ? step.hands_until_s : step.end_s)}`));
    if (isHands && step.is_alone_after) taps.append(tap("Hands off", "main", { ...name, kind: "left" }));
    taps.append(tap("Done", isHands && step.is_alone_after ? "" : "main", { ...name, kind: "done" }));
    for (const at of step.look_ins) {
      if (at - now() < 60) taps.append(tap("Looked in", "", { ...name, kind: "looked-in" }));
    }
    taps.append(tap("5 min more", "small", { ...name, kind: "late", late_s: 300 }));
    const next = step.look_ins.find((at) => at >= now());
    if (next !== undefined) {
      const line = make("p", "", "look in ");
      line.append(make("span", "", clockOn(next)), " · in ", counting("strong", "", next));
      item.append(line);
    }
  } else {
    taps.append(tap("Begin", "main", { ...name, kind: "begun" }), tap("5 min later", "small", { ...name, kind: "late", late_s: 300 }));
    if (step.may_swap) taps.append(tap("Use the stand-in", "small", { ...name, kind: "swapped" }));
    if (step.camera) {
      const moves = camera && step.camera !== camera;
      const takes = step.takes > 1 ? ` · ${step.takes} takes` : "";
      item.append(make("p", moves ? "move" : "", `camera: ${moves ? `${camera} → ` : ""}${step.camera}${takes}`));
    }
  }
  if (facts) item.append(make("p", "", facts));
  if (step.until) item.append(make("p", "until", `until ${step.until}`));
  if (step.caution) item.append(make("p", "caution", step.caution));
  if (step.is_waiting) item.append(make("p", "small", "not yet sent"));
  item.append(taps);
  return item;
}

const isOnHands = (step) => !step.is_alone && (!step.is_alone_after || now() < step.hands_until_s);

function fill(id, items, nothing) {
  $(id).replaceChildren(...(items.length ? items : [make(/^[ul]/i.test($(id).tagName) ? "li" : "p", "nothing", nothing)]));
}

// ---------------------------------------------------------------- the page

function show() {
  if (!view) return;
  if (isPressed) {
    isDue = true;
    return;
  }
  const focused = document.activeElement?.dataset?.key;
  const ticks = waiting();
  const day = withWaiting(view, ticks);
  const by = (a, b) => a.start_s - b.start_s || (a.run < b.run ? -1 : 1);
  const running = day.steps.filter((step) => step.state === "running").sort((a, b) => a.end_s - b.end_s);
  const ahead = day.steps.filter((step) => step.state === "ahead").sort(by);
  const isToday = (step) => !view.days.length || dayAt(view.days, step.start_s) <= today();
  const begun = ahead.filter((step) => step.is_begun_by_hand && isToday(step)).slice(0, 3);
  const later = ahead.filter((step) => !begun.includes(step));
  const past = day.steps.filter((step) => step.state === "done").sort((a, b) => b.end_s - a.end_s);
  const filmed = [...running, ...past].filter((step) => step.camera).sort((a, b) => b.start_s - a.start_s);
  const camera = filmed.length ? filmed[0].camera : "";
  $("title").textContent = day.title;
  const shown = shownDay();
  const wrap = shown.wrap_s === null ? "–:–" : clock(shown.wrap_s);
  document.title = `${wrap} wrap · ${day.title}`;
  $("wrap").textContent = wrap;
  $("change").textContent = day.is_planning || ticks.length ? "planning the rest anew…" : changed(shown);
  $("today").hidden = !view.days.length;
  if (view.days.length) $("today").textContent = dayWords(view.days[today()], today());
  drawStrip($("strip"), { ...day, ...shown }, clock);
  moveNow($("strip"), now(), clock);
  fill("now", running.filter(isOnHands).map((step) => card(step, camera)), "Nobody is at work.");
  fill("next", begun.map((step) => card(step, camera)), view.days.length ? "Nothing is left to begin today." : "Nothing is left to begin.");
  fill("alone", running.filter((step) => !isOnHands(step)).map((step) => card(step, camera)), "Nothing is on.");
  fill("later", byDay(later, isToday).map((item) => (item.run ? card(item, "") : make("h3", "day", dayWords(item, view.days.indexOf(item))))), "Nothing.");
  fill("done", past.map((step) => make("li", "", `${clockOn(step.start_s)}–${clockOn(step.end_s)} ${step.recipe}: ${step.label}`)), "Nothing yet.");
  fill("limits", day.limits.map(limit), "No limit is running.");
  fill("notes", day.notes.map((note) => make("li", "", note)), "None.");
  $("notes-box").hidden = !day.notes.length;
  $("warnings").replaceChildren(
    ...day.broken.map((item) => make("p", "", `Cannot be kept${item.late ? `, ${item.late} over` : ""}: ${item.rule}`)),
    ...day.problems.map((text) => make("p", "", `In the files: ${text}`)),
  );
  const last = [...ticks].reverse().find((tick) => tick.kind !== "undo") || day.last;
  $("undo").hidden = !last;
  if (last) {
    $("undo").textContent = `Take back: ${last.label || "last tick"} ${last.kind}`;
    $("undo").dataset.id = last.id;
  }
  if (focused) document.querySelector(`[data-key="${CSS.escape(focused)}"]`)?.focus();
}

// The steps that are still ahead, those of each later day behind that day.
function byDay(steps, isToday) {
  const others = view.days.flatMap((day, number) => {
    const own = number > today() ? steps.filter((step) => dayAt(view.days, step.start_s) === number) : [];
    return own.length ? [day, ...own] : [];
  });
  return [...steps.filter(isToday), ...others];
}

function limit(item) {
  const line = make("li", item.latest_s - now() < 600 ? "soon" : "");
  line.append(counting("span", "left", item.latest_s), make("span", "", `by ${clockOn(item.latest_s)}: ${item.rule}`));
  return line;
}

function beat() {
  if (!view) return;
  $("clock").textContent = clock(now());
  moveNow($("strip"), now(), clock);
  for (const item of document.querySelectorAll("[data-at]")) {
    const rest = Number(item.dataset.at) - now();
    item.textContent = left(rest);
    item.classList.toggle("over", rest < 0);
  }
}

// ---------------------------------------------------------------- talking to the server

function link(words, isLost) {
  const count = waiting().length;
  $("link").textContent = count ? `${words}; ${count} tick${count === 1 ? "" : "s"} kept here until the board is reached` : words;
  $("link").classList.toggle("lost", isLost);
}

let isPushing = false;

async function push() {
  if (isPushing) return;
  isPushing = true;
  let outcome = "sent";
  while (outcome === "sent") outcome = await send();
  isPushing = false;
  if (outcome === "closed") ask();
  if (outcome === "lost") link("the board is out of reach", true);
  else if (source?.readyState === 1) link("in step with the other devices", false);
  show();
}

function receive(text) {
  const told = JSON.parse(text);
  if (view && told.revision < view.revision && told.now_s - view.now_s < 2 && told.now_s >= view.now_s) return;
  shift = told.now_s - Date.now() / 1000;
  localStorage.setItem("board-shift", shift);
  view = told;
  $("pair").hidden = true;
  $("day").hidden = false;
  show();
  beat();
}

async function listen() {
  try {
    const answer = await fetch("/state");
    if (answer.status === 401) return ask();
    if (answer.ok) receive(await answer.text());
  } catch {
    link("the board is out of reach", true);
  }
  source?.close();
  source = new EventSource("/events");
  source.addEventListener("open", () => {
    link("in step with the other devices", false);
    push();
  });
  source.addEventListener("state", (event) => receive(event.data));
  source.addEventListener("error", () => {
    link("the board is out of reach", true);
    if (source.readyState === 2) setTimeout(listen, 1500);
  });
}

// ---------------------------------------------------------------- a new device

function ask() {
  source?.close();
  $("day").hidden = true;
  $("pair").hidden = false;
  link("this device is not let in yet", true);
}

async function pair(code) {
  try {
    const answer = await fetch("/pair", { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ code }) });
    $("pair-answer").textContent = answer.ok ? "" : "That is not the code. Look again; after five wrong tries it changes.";
    if (answer.ok) await listen();
  } catch {
    $("pair-answer").textContent = "The board is out of reach.";
  }
}

$("pair").addEventListener("submit", (event) => {
  event.preventDefault();
  pair($("code").value);
});
$("undo").addEventListener("click", () => {
  const id = $("undo").dataset.id;
  if (waiting().some((tick) => tick.id === id)) {
    drop([id]);
    show();
  } else record({ kind: "undo", run: id });
});
document.addEventListener("pointerdown", () => { isPressed = true; });
for (const end of ["pointerup", "pointercancel"]) {
  document.addEventListener(end, () => setTimeout(() => {
    isPressed = false;
    if (isDue) { isDue = false; show(); }
  }, 60));
}
addEventListener("online", push);
setInterval(beat, 1000);
setInterval(() => { if (waiting().length) push(); }, 2000);
setInterval(show, 20000); // hands go off at their time
listen();
