// The whole day as a strip under the clock: hands-on above, what goes on by itself below, a line where the day stands.
const NS = "http://www.w3.org/2000/svg";
const WIDTH = 1000;
const HANDS_Y = 4, ALONE_Y = 22, TALL = 14, HEIGHT = 40;

function shape(name, values, className) {
  const item = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(values)) item.setAttribute(key, value);
  if (className) item.setAttribute("class", className);
  return item;
}

function bar(day, since_s, until_s, y, className, words) {
  const scale = WIDTH / (day.wrap_s - day.from_s);
  const x = (Math.max(since_s, day.from_s) - day.from_s) * scale, end = (Math.min(until_s, day.wrap_s) - day.from_s) * scale;
  const item = shape("rect", { x, y, width: Math.max(end - x, 2), height: TALL }, className);
  item.append(shape("title", {}));
  item.firstChild.textContent = words;
  return item;
}

// The strip is drawn anew with each plan; nothing in it can be ticked. It runs from from_s (0 if left out) to wrap_s.
export function drawStrip(place, whole, clock) {
  const day = { from_s: 0, ...whole };
  if (!(day.wrap_s > day.from_s)) return place.replaceChildren();
  const svg = shape("svg", { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, preserveAspectRatio: "none", "aria-hidden": "true" });
  for (const step of day.steps.filter((item) => item.end_s > day.from_s && item.start_s < day.wrap_s)) {
    const words = `${clock(step.start_s)} ${step.label}`;
    const hands_s = step.is_alone ? step.start_s : step.is_alone_after ? step.hands_until_s : step.end_s;
    if (hands_s > Math.max(step.start_s, day.from_s)) svg.append(bar(day, step.start_s, hands_s, HANDS_Y, "on-hands", words));
    if (step.end_s > hands_s && hands_s < day.wrap_s) svg.append(bar(day, hands_s, step.end_s, ALONE_Y, "by-itself", words));
  }
  svg.append(shape("line", { x1: 0, x2: 0, y1: 0, y2: HEIGHT, "vector-effect": "non-scaling-stroke" }, "now-line"));
  const words = document.createElement("p");
  words.className = "strip-words";
  Object.assign(place.dataset, { from: day.from_s, wrap: day.wrap_s });
  place.replaceChildren(svg, words);
}

export function moveNow(place, now_s, clock) {
  const line = place.querySelector(".now-line");
  if (!line) return;
  const from_s = Number(place.dataset.from), wrap_s = Number(place.dataset.wrap);
  const x = Math.min(Math.max((now_s - from_s) / (wrap_s - from_s), 0), 1) * WIDTH;
  line.setAttribute("x1", x);
  line.setAttribute("x2", x);
  const words = now_s < from_s ? `call is at ${clock(from_s)}` : now_s > wrap_s ? `the planned end was ${clock(wrap_s)}` : `the line is now, ${clock(now_s)}`;
  place.querySelector(".strip-words").textContent = `${clock(from_s)} to ${clock(wrap_s)}, hands-on above, by itself below; ${words}`;
}
