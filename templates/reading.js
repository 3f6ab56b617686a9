(() => {
  "use strict";
  const root = document.documentElement, left = document.getElementById("left"), part = document.getElementById("part");
  const run = document.getElementById("run"), bar = document.getElementById("bar");
  const pieces = [...document.querySelectorAll(".piece")];
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  const total = Number(bar.max);
  let now = -1, size = 1, frame = 0, since = 0, done = 0;

  // Where the words being read stand: a little below the head, so that the line before stays in sight.
  const line = () => document.querySelector("header").getBoundingClientRect().height + innerHeight * 0.12;
  const top = index => pieces[index].getBoundingClientRect().top + scrollY - line();
  const ends = index => index + 1 < pieces.length ? Number(pieces[index].dataset.left) - Number(pieces[index + 1].dataset.left)
    : Number(pieces[index].dataset.left);
  const clock = ms => Math.floor(ms / 60000) + ":" + String(Math.floor(ms / 1000) % 60).padStart(2, "0");

  const show = (index, spent) => {
    if (index !== now) {
      pieces.forEach((piece, other) => other === index ? piece.setAttribute("aria-current", "true") : piece.removeAttribute("aria-current"));
      part.textContent = pieces[index].dataset.part;
      now = index;
    }
    const rest = Math.max(0, Number(pieces[index].dataset.left) - spent);
    left.textContent = clock(rest);
    bar.value = total - rest;
  };
  const nearest = () => {
    let index = 0;
    pieces.forEach((piece, other) => { if (piece.getBoundingClientRect().top <= line() + 12) index = other; });
    return index;
  };
  const spent = index => {
    if (index + 1 >= pieces.length) return 0;
    const from = top(index), to = top(index + 1);
    return ends(index) * Math.min(1, Math.max(0, (scrollY - from - 1) / (to - from)));
  };
  const follow = () => { const index = nearest(); show(index, spent(index)); };
  const go = index => {
    const to = Math.min(pieces.length - 1, Math.max(0, index));
    hold();
    scrollTo({ top: top(to), behavior: "instant" });
    show(to, 0);
  };
  const hold = () => {
    cancelAnimationFrame(frame);
    frame = 0;
    run.textContent = "Run";
    run.setAttribute("aria-pressed", "false");
  };
  const roll = stamp => {
    done += stamp - since;
    since = stamp;
    while (done >= ends(now) && now + 1 < pieces.length) { done -= ends(now); show(now + 1, 0); }
    if (done >= ends(now)) { show(now, ends(now)); hold(); return; }
    const from = top(now), to = now + 1 < pieces.length ? top(now + 1) : from;
    scrollTo({ top: still.matches ? from : from + (to - from) * done / ends(now), behavior: "instant" });
    show(now, done);
    frame = requestAnimationFrame(roll);
  };
  const start = () => {
    if (frame) { hold(); return; }
    done = spent(now);
    since = performance.now();
    run.textContent = "Hold";
    run.setAttribute("aria-pressed", "true");
    frame = requestAnimationFrame(roll);
  };
  const grow = step => {
    size = Math.min(2.5, Math.max(0.5, size + step));
    root.style.setProperty("--size", size);
    if (now >= 0 && !frame) go(now);
  };
  const mirror = () => document.getElementById("mirror").setAttribute("aria-pressed", String(document.body.classList.toggle("mirrored")));

  const keys = {
    ArrowDown: () => go(now + 1), ArrowRight: () => go(now + 1), PageDown: () => go(now + 1), " ": () => go(now + 1),
    ArrowUp: () => go(now - 1), ArrowLeft: () => go(now - 1), PageUp: () => go(now - 1),
    Home: () => go(0), End: () => go(pieces.length - 1),
    "+": () => grow(0.1), "=": () => grow(0.1), "-": () => grow(-0.1), r: start, m: mirror,
  };
  addEventListener("keydown", event => {
    const act = keys[event.key === " " && event.shiftKey ? "ArrowUp" : event.key.length === 1 ? event.key.toLowerCase() : event.key];
    if (!act || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === " " && event.target.closest && event.target.closest("button, a")) return;
    event.preventDefault();
    act();
  });
  addEventListener("scroll", () => { if (!frame) follow(); }, { passive: true });
  ["wheel", "touchmove"].forEach(name => addEventListener(name, () => { if (frame) hold(); }, { passive: true }));
  run.addEventListener("click", start);
  document.getElementById("larger").addEventListener("click", () => grow(0.1));
  document.getElementById("smaller").addEventListener("click", () => grow(-0.1));
  document.getElementById("mirror").addEventListener("click", mirror);
  if (pieces.length) follow();
})();
