// Times as the boards show them: the time of day so many seconds after call, and what is left.
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
