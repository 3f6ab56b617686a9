// Times as the boards show them: the time of day so many seconds after call, and what is left.
const WEEKDAYS = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];

// The day on which a moment lies, counted from 0, and the weekday of a date so many days later.
export const dayNumber = (call_s, seconds) => Math.floor((Math.floor(seconds) + call_s) / 86400);
export const weekday = (date, days) => WEEKDAYS[(new Date(`${date}T00:00:00Z`).getUTCDay() + (days % 7) + 7) % 7];

// Of several days ({opens_s, closes_s}) the one that a moment belongs to: the second half of a night to the next.
export function dayAt(days, seconds) {
  const found = days.findLastIndex((day, number) => number === 0 || seconds >= (days[number - 1].closes_s + day.opens_s) / 2);
  return Math.max(found, 0);
}

export function clockText(call_s, seconds) {
  const day = 86400;
  const total = (((Math.floor(seconds) + call_s) % day) + day) % day;
  return `${String(Math.floor(total / 3600)).padStart(2, "0")}:${String(Math.floor(total / 60) % 60).padStart(2, "0")}`;
}

export function left(seconds) {
  const rest = Math.abs(Math.round(seconds));
  const hours = Math.floor(rest / 3600);
  const text = `${hours ? `${hours}:${String(Math.floor(rest / 60) % 60).padStart(2, "0")}` : Math.floor(rest / 60)}:${String(rest % 60).padStart(2, "0")}`;
  return seconds < 0 ? `${text} over` : text;
}
