// Ticks that are not yet known to be on the server's disk, kept in this browser until they are.
const PLACE = "board-ticks";

export function makeId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

export function waiting() {
  try {
    const found = JSON.parse(localStorage.getItem(PLACE) || "[]");
    return Array.isArray(found) ? found : [];
  } catch {
    return [];
  }
}

export function keep(tick) {
  localStorage.setItem(PLACE, JSON.stringify([...waiting(), tick]));
}

export function drop(ids) {
  const gone = new Set(ids);
  localStorage.setItem(PLACE, JSON.stringify(waiting().filter((tick) => !gone.has(tick.id))));
}

// Send what waits, oldest first. Returns "sent", "lost" (try again later), "closed" (not paired) or "nothing".
export async function send() {
  const ticks = waiting().slice(0, 100);
  if (!ticks.length) return "nothing";
  let answer = await post(ticks);
  if (answer === null) return "lost";
  if (answer.status === 400 && ticks.length > 1) answer = await post(ticks.slice(0, 1));
  if (answer === null) return "lost";
  if (answer.status === 401 || answer.status === 403) return "closed";
  if (answer.status === 400) {
    drop([ticks[0].id]); // no server of ours will ever take it
    return "sent";
  }
  if (!answer.ok) return "lost";
  drop((await answer.json()).kept);
  return "sent";
}

async function post(ticks) {
  try {
    return await fetch("/ticks", {
      method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ ticks }),
    });
  } catch {
    return null;
  }
}

// What the page shows while ticks wait: the state as the server last told it, with the waiting ticks on top.
export function withWaiting(view, ticks) {
  const steps = new Map(view.steps.map((step) => [step.run, { ...step }]));
  for (const tick of ticks) {
    const step = steps.get(tick.run);
    if (!step) continue;
    if (tick.kind === "begun") Object.assign(step, shifted(step, tick.at_s), { state: "running" });
    if (tick.kind === "left") Object.assign(step, { hands_until_s: tick.at_s, end_s: step.end_s + tick.at_s - step.hands_until_s });
    if (tick.kind === "done") Object.assign(step, { state: "done", end_s: tick.at_s });
    if (tick.kind === "late") step.end_s += tick.late_s;
    step.is_waiting = true;
  }
  return { ...view, steps: [...steps.values()] };
}

function shifted(step, at) {
  const by = at - step.start_s;
  return { start_s: at, hands_until_s: step.hands_until_s + by, end_s: step.end_s + by };
}
