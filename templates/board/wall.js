// The board on the wall: a line that follows this device's clock, and at the side only what is still to come.
const body = document.body;
const call_s = Number(body.dataset.call), wrap_s = Number(body.dataset.wrap);
const clock = (seconds) => clockText(call_s, seconds);
const days = JSON.parse(body.dataset.days ?? "[]").map(([opens_s, closes_s, wrap_s]) => ({ opens_s, closes_s, wrap_s }));
let shown = null; // the day whose strip is drawn
let steps = [];
const number = (item, name) => Number(item.dataset[name]);
const rows = [...document.querySelectorAll("#order > li")];
const here = document.createElement("li");
const strip = document.getElementById("strip");
let place = -1; // the row before which the line stands

// Seconds from the first call. On a date of the plan the date counts; on any other the page is a rehearsal of its first day.
function fromCall(date) {
  const of_day_s = date.getHours() * 3600 + date.getMinutes() * 60 + date.getSeconds() - call_s;
  const days = Math.round((Date.parse(dateOf(date)) - Date.parse(body.dataset.date)) / 86400000);
  const seconds = days * 86400 + of_day_s;
  return isOfPlan(seconds) ? seconds : of_day_s;
}

const isOfPlan = (seconds) => seconds >= -43200 && seconds <= wrap_s + 43200;

function isOfDate(date, now_s) {
  const day = new Date(`${body.dataset.date}T00:00:00`);
  day.setSeconds(call_s + now_s);
  return dateOf(day) === dateOf(date);
}

function dateOf(date) {
  return `${date.getFullYear()}-${String(date.getMonth() + 1).padStart(2, "0")}-${String(date.getDate()).padStart(2, "0")}`;
}

function begin() {
  steps = rows.filter((row) => !row.matches(".look-in, .move")).map((row) => {
    const start_s = number(row, "from"), hands_until_s = number(row, "hands"), end_s = number(row, "until");
    return { label: row.querySelector("h3").textContent, start_s, hands_until_s, end_s, is_alone: hands_until_s <= start_s, is_alone_after: hands_until_s < end_s };
  });
  here.className = "here";
  body.classList.add("follows");
  const whole = document.getElementById("whole");
  whole.hidden = false;
  whole.addEventListener("click", () => {
    whole.setAttribute("aria-pressed", String(body.classList.toggle("whole")));
  });
}

// The day that it is by the clock, of several, or all there is.
function dayOf(now_s) {
  return days[dayAt(days, now_s)] ?? { opens_s: 0, wrap_s };
}

function show(day, now_s) {
  if (day.opens_s !== shown) {
    drawStrip(strip, { from_s: day.opens_s, wrap_s: day.wrap_s, steps }, clock);
    shown = day.opens_s;
  }
  if (!days.length) return;
  document.getElementById("wrap").textContent = day.wrap_s > day.opens_s ? clockOn(day.wrap_s, now_s) : "–:–";
  const number = dayNumber(call_s, day.opens_s);
  const date = new Date(Date.parse(body.dataset.date) + number * 86400000).toISOString().slice(0, 10);
  const today = document.getElementById("today");
  today.hidden = false;
  today.textContent = `${weekday(body.dataset.date, number)} ${date}, day ${days.indexOf(day) + 1} of ${days.length}: call ${clock(day.opens_s)}`;
}

function clockOn(seconds, now_s) {
  const number = dayNumber(call_s, seconds);
  return number === dayNumber(call_s, now_s) ? clock(seconds) : `${clock(seconds)} ${weekday(body.dataset.date, number)}`;
}

// A row is past when nobody's hands are at it any more: what goes on by itself is at the side. The last three stay in sight.
function follow(now_s) {
  const isPast = (row) => now_s >= number(row, "hands") && now_s >= number(row, "from");
  const past = rows.filter(isPast);
  for (const row of rows) {
    const isOn = number(row, "from") <= now_s && now_s < number(row, "hands");
    row.classList.toggle("is-on", isOn);
    row.classList.toggle("past", isPast(row));
    row.classList.toggle("long-past", past.includes(row) && !past.slice(-3).includes(row));
    if (isOn) row.setAttribute("aria-current", "time");
    else row.removeAttribute("aria-current");
  }
  here.textContent = days.length ? `now ${clock(now_s)} ${weekday(body.dataset.date, dayNumber(call_s, now_s))}` : `now ${clock(now_s)}`;
  const found = rows.findIndex((row) => number(row, "from") > now_s);
  const next = found < 0 ? rows.length : found;
  if (next !== place) document.getElementById("order").insertBefore(here, rows[next] ?? null);
  place = next;
}

function side(list, now_s) {
  let shown = 0;
  for (const item of list.children) {
    const isAway = now_s < number(item, "from") || now_s >= number(item, "until") || shown >= number(list, "most");
    item.classList.toggle("away", isAway);
    if (!isAway) shown += 1;
    const mark = item.querySelector("[data-at]");
    const rest = number(mark, "at") - now_s;
    mark.textContent = rest < 3600 ? left(rest) : "";
    item.classList.toggle("soon", list.id === "limits" && rest < 600);
  }
  list.nextElementSibling.hidden = shown > 0;
}

function beat() {
  const date = new Date();
  const now_s = fromCall(date);
  document.getElementById("clock").textContent = clock(now_s);
  const day = dayOf(now_s);
  const ahead = now_s <= day.wrap_s ? `${left(day.wrap_s - now_s)} left` : "is over by the plan";
  const rest = now_s < day.opens_s ? `call in ${left(day.opens_s - now_s)}` : day.wrap_s > day.opens_s ? ahead : "nothing to do today";
  show(day, now_s);
  document.getElementById("change").textContent = isOfDate(date, now_s) ? rest : `this is the plan of ${body.dataset.date}`;
  follow(now_s);
  for (const list of document.querySelectorAll(".moments")) side(list, now_s);
  moveNow(strip, now_s, clock);
}

begin();
beat();
setInterval(beat, 1000);
