"use strict";
// Amounts for other servings, in the page: the rules of shootplan/model/rounding.py and resolve/measures.py on exact
// fractions of whole numbers (BigInt). A test compares every amount of every demo with the program's own.
(() => {
  const book = JSON.parse(document.getElementById("amounts").textContent);

  // ------------------------------------------------------------------------------------------- exact fractions
  const gcd = (a, b) => { while (b) [a, b] = [b, a % b]; return a; };
  const make = (top, bottom) => { const by = gcd(top < 0n ? -top : top, bottom) || 1n; return [top / by, bottom / by]; };
  const read = (text) => { const [top, bottom] = text.split("/"); return make(BigInt(top), BigInt(bottom || 1)); };
  const whole = (count) => [BigInt(count), 1n];
  const add = (a, b) => make(a[0] * b[1] + b[0] * a[1], a[1] * b[1]);
  const sub = (a, b) => make(a[0] * b[1] - b[0] * a[1], a[1] * b[1]);
  const mul = (a, b) => make(a[0] * b[0], a[1] * b[1]);
  const div = (a, b) => make(a[0] * b[1], a[1] * b[0]);
  const over = (a, b) => a[0] * b[1] > b[0] * a[1];
  const same = (a, b) => a[0] === b[0] && a[1] === b[1];
  const floor = (a) => a[0] / a[1];
  const off = (a, b) => { const gap = sub(a, b); return gap[0] < 0n ? [-gap[0], gap[1]] : gap; };
  const ZERO = whole(0), ONE = whole(1), HALF = [1n, 2n], THIRD = [1n, 3n], QUARTER = [1n, 4n], EIGHTH = [1n, 8n];
  const TWO_THIRDS = [2n, 3n], THREE_QUARTERS = [3n, 4n];

  // ------------------------------------------------------------------------------------------- words
  const GLYPHS = {
    "1/2": "½", "1/3": "⅓", "2/3": "⅔", "1/4": "¼", "3/4": "¾", "1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "7/8": "⅞",
    "1/5": "⅕", "2/5": "⅖", "3/5": "⅗", "4/5": "⅘", "1/6": "⅙", "5/6": "⅚",
  };
  const SHORT = new Set(["mg", "g", "kg", "oz", "lb", "ml", "cl", "dl", "l", "tsp", "dsp", "tbsp", "fl oz"]);
  const DECIMAL = new Set(["mg", "g", "kg", "ml", "cl", "l"]);
  const MASS = new Set(["mg", "g", "kg", "oz", "lb"]);
  const METRIC = new Set(["mg", "g", "kg", "ml", "cl", "dl", "l"]);
  const VOLUME = new Set(["ml", "cl", "dl", "l", "tsp", "dsp", "tbsp", "cup", "fl oz", "pint", "quart", "pinch", "dash", "drop"]);
  const PLURALS = { leaf: "leaves", loaf: "loaves", half: "halves", knife: "knives" };
  const decimals = (value, places) => {
    const power = 10n ** BigInt(places);
    const digits = floor(add(mul(value, [power, 1n]), HALF)).toString().padStart(places + 1, "0");
    return places ? `${digits.slice(0, -places)}.${digits.slice(-places)}` : digits;
  };
  const number = (value, places = 2) => {
    const text = decimals(value, places);
    return text.includes(".") ? text.replace(/0+$/, "").replace(/\.$/, "") : text;
  };
  const fraction = (value) => {
    const full = floor(value), rest = sub(value, [full, 1n]);
    if (rest[0] === 0n) return full.toString();
    const glyph = GLYPHS[`${rest[0]}/${rest[1]}`];
    return glyph ? (full ? `${full}${glyph}` : glyph) : number(value);
  };
  const plural = (noun) => {
    if (/(?:s|x|z|ch|sh)$/.test(noun)) return `${noun}es`;
    return /[^aeiou]y$/.test(noun) || noun === "y" ? `${noun.slice(0, -1)}ies` : `${noun}s`;
  };
  const unitFor = (unit, value) => {
    if (!unit || SHORT.has(unit) || !over(value, ONE)) return unit;
    const [first, ...rest] = unit.split(" ");
    return [PLURALS[first] || plural(first), ...rest].join(" ");
  };
  const words = (amount) => {
    const write = DECIMAL.has(amount.unit) ? number : fraction;
    const figure = same(amount.low, amount.high) ? write(amount.high) : `${write(amount.low)}–${write(amount.high)}`;
    const unit = unitFor(amount.unit, amount.high);
    return unit ? `${figure} ${unit}` : figure;
  };

  // ------------------------------------------------------------------------------------------- amounts
  const amountOf = ([low, high, unit]) => ({ low: read(low), high: read(high), unit });
  const times = (amount, factor) => ({ low: mul(amount.low, factor), high: mul(amount.high, factor), unit: amount.unit });
  const one = (value, unit) => ({ low: value, high: value, unit });
  const isCount = (unit) => !MASS.has(unit) && !VOLUME.has(unit);
  const errorOf = (shown, exact) => (exact[0] ? div(off(shown, exact), exact) : ZERO);
  const nearest = (value, step) => mul([floor(add(div(value, step), HALF)), 1n], step);

  // ------------------------------------------------------------------------------------------- metric steps
  const BASE = {
    mg: [1n, 1000n], g: ONE, kg: whole(1000), ml: ONE, cl: whole(10), dl: whole(100), l: whole(1000),
  };
  const STEPS = [[10, [1n, 2n]], [50, ONE], [250, whole(5)], [1000, whole(10)]];
  const FINER = [[1n, 10n], [1n, 20n], [1n, 100n], [1n, 1000n]];
  const metricEnd = (value, limit) => {
    const step = (STEPS.find(([below]) => over(whole(below), value)) || [0, whole(50)])[1];
    const shown = nearest(value, step);
    if (!over(errorOf(shown, value), limit)) return [shown, false];
    const finer = FINER.map((fine) => nearest(value, fine)).find((near) => !over(errorOf(near, value), limit));
    return [finer || value, true];
  };
  const shownMetric = (amount, limit) => {
    const factor = BASE[amount.unit];
    const [low] = metricEnd(mul(amount.low, factor), limit);
    const [high, isFiner] = metricEnd(mul(amount.high, factor), limit);
    const flags = isFiner ? [`weigh or measure it finely: ${number(high, 3)} ${MASS.has(amount.unit) ? "g" : "ml"}`] : [];
    return [{ low: div(low, factor), high: div(high, factor), unit: amount.unit }, flags];
  };

  // ------------------------------------------------------------------------------------------- spoons and cups
  const PARTS = {
    cup: [QUARTER, THIRD, HALF, TWO_THIRDS, THREE_QUARTERS], dl: [QUARTER, HALF, THREE_QUARTERS], tbsp: [HALF],
    dsp: [HALF], tsp: [QUARTER, HALF, THREE_QUARTERS], "fl oz": [HALF], pint: [QUARTER, HALF, THREE_QUARTERS],
    quart: [QUARTER, HALF, THREE_QUARTERS], oz: [QUARTER, HALF, THREE_QUARTERS], lb: [QUARTER, HALF, THREE_QUARTERS],
  };
  const LARGE = book.large;
  const SIZES = Object.fromEntries(Object.entries(book.sizes).map(([unit, size]) => [unit, read(size)]));
  const UNITS = [LARGE, "tbsp", "tsp"];
  const volume = (measure) => mul(measure.high, SIZES[measure.unit]);
  const isTooMany = (value, unit) =>
    (unit === "tbsp" && over(value, whole(4))) || (unit === "tsp" && over(value, whole(3)));
  const nearestIn = (value, unit) => {
    const full = [floor(value), 1n];
    const steps = [ZERO, ...(PARTS[unit] || []), ONE].map((part) => add(full, part));
    if (unit === "tsp" && full[0] === 0n) steps.push(EIGHTH);
    return steps.filter((step) => step[0] > 0n).reduce((best, step) => {
      const now = off(step, value), before = off(best, value);
      return over(before, now) || (same(now, before) && over(step, best)) ? step : best;
    });
  };
  const singles = (exact) => UNITS.map((unit) => one(nearestIn(div(exact, SIZES[unit]), unit), unit))
    .filter((measure) => measure.high[0] > 0n && !isTooMany(measure.high, measure.unit));
  const smallest = (list, key) => list.reduce((best, item) => (best === null || over(key(best), key(item)) ? item : best), null);
  const below = (exact) => UNITS.flatMap((unit) => {
    const value = div(exact, SIZES[unit]), full = [floor(value), 1n];
    const steps = [ZERO, ...PARTS[unit]].map((part) => add(full, part)).reverse();
    return steps.filter((step) => step[0] > 0n && over(value, step) && !isTooMany(step, unit)).map((step) => one(step, unit));
  });
  const eighth = (exact) => {
    const size = mul(EIGHTH, SIZES.tsp);
    return over(off(exact, size), size) ? [] : [one(EIGHTH, "tsp")];
  };
  const asIs = (exact, unit, limit) => {
    const value = div(exact, SIZES[unit]), shown = nearestIn(value, unit);
    if (unit === "tsp" && !over(whole(3), shown)) {
      const larger = div(mul(shown, SIZES.tsp), SIZES.tbsp);
      if (same(nearestIn(larger, "tbsp"), larger)) return asIs(exact, "tbsp", limit);
    }
    if ((unit === "tbsp" && over(value, whole(4))) || isTooMany(shown, unit)) return null;
    const measure = one(shown, unit);
    return over(errorOf(volume(measure), exact), limit) ? null : [measure];
  };
  const oneMeasure = (exact, limit) => {
    const error = (measure) => errorOf(volume(measure), exact);
    const near = singles(exact).filter((measure) => !over(error(measure), limit));
    return near.length ? [smallest(near, error)] : null;
  };
  const twoMeasures = (exact, limit) => {
    let best = null, found = null;
    for (const first of below(exact)) {
      const rest = sub(exact, volume(first));
      for (const second of [...singles(rest), ...eighth(rest)]) {
        const error = errorOf(add(volume(first), volume(second)), exact), size = volume(second);
        const isInOrder = !over(SIZES[second.unit], SIZES[first.unit]);
        const isBetter = best === null || over(best[0], error) || (same(best[0], error) && over(size, best[1]));
        if (isInOrder && !over(error, limit) && isBetter) { best = [error, size]; found = [first, second]; }
      }
    }
    return found;
  };
  const household = (value, unit, limit) => {
    if (value[0] === 0n) return [[one(ZERO, unit)], true];
    if (!(unit in SIZES)) {
      const shown = nearestIn(value, unit);
      return [[one(shown, unit)], !over(errorOf(shown, value), limit)];
    }
    const exact = mul(value, SIZES[unit]);
    const choice = asIs(exact, unit, limit) || oneMeasure(exact, limit) || twoMeasures(exact, limit);
    if (choice) return [choice, true];
    const near = smallest(singles(exact), (measure) => errorOf(volume(measure), exact));
    return [[near || one(nearestIn(value, unit), unit)], false];
  };
  const percent = (limit) => floor(mul(limit, whole(100)));
  const shownCount = (amount, written, limit) => {
    const bottom = written.low[1] > written.high[1] ? written.low[1] : written.high[1];
    const ends = [amount.low, amount.high].map((end) => nearest(end, [1n, bottom]));
    const exact = [amount.low, amount.high];
    const isFine = ends.every((end, at) => (end[0] > 0n || exact[at][0] === 0n) && !over(errorOf(end, exact[at]), limit));
    if (isFine) return [{ low: ends[0], high: ends[1], unit: amount.unit }, []];
    return [amount, [`${amount.unit ? words(amount) : `${words(amount)} of them`}: no such part in the recipe, so ask`]];
  };
  const shownHousehold = (amount, limit, written) => {
    if (isCount(amount.unit) || ["pinch", "dash", "drop"].includes(amount.unit)) {
      const [shown, flags] = shownCount(amount, written || amount, limit);
      return [[shown], flags];
    }
    const [high, isNear] = household(amount.high, amount.unit, limit);
    const flags = isNear ? [] : [`no kitchen measure is within ${percent(limit)} %: weigh it`];
    if (same(amount.low, amount.high)) return [high, flags];
    const low = nearestIn(amount.low, amount.unit), top = nearestIn(amount.high, amount.unit);
    const areNear = !over(errorOf(low, amount.low), limit) && !over(errorOf(top, amount.high), limit);
    const range = { low, high: over(low, top) ? low : top, unit: amount.unit };
    if (areNear) return [[range], []];
    return [[range], flags.length ? flags : [`the ends are rounded by more than ${percent(limit)} %`]];
  };

  // ------------------------------------------------------------------------------------------- both measures
  const belowOne = (amount) => {
    const smaller = { l: "ml", kg: "g" }[amount.unit];
    if (!smaller || !over(ONE, amount.high)) return amount;
    return { ...times(amount, whole(1000)), unit: smaller };
  };
  const metricPart = (item, scale, factor, limit) => {
    if (!item.metric) return [null, []];
    const base = amountOf(item.metric);
    if (!item.isMetricTyped) return [shownMetric(times(base, factor), limit)[0], []];
    if (same(factor, ONE)) return [base, []];
    const scaled = belowOne(times(base, factor));
    if (same(scale, ONE) && scaled.low[1] === 1n && scaled.high[1] === 1n) return [scaled, []];
    return shownMetric(scaled, limit);
  };
  const householdUnit = (millilitres) => {
    if (!over(mul(SIZES[LARGE], QUARTER), millilitres) && over(millilitres, mul(SIZES.tbsp, whole(3)))) return LARGE;
    return over(mul(SIZES.tbsp, HALF), millilitres) ? "tsp" : "tbsp";
  };
  const householdPart = (item, factor, limit) => {
    if (item.household) {
      if (same(factor, ONE)) return [item.typed.map(amountOf), []];
      const total = amountOf(item.household);
      return shownHousehold(times(total, factor), limit, times(total, read(item.share)));
    }
    if (!item.volume) return [[], []];
    const millilitres = times(amountOf(item.volume), factor);
    if (millilitres.high[0] === 0n || (LARGE === "dl" && !over(whole(1000), millilitres.high))) return [[], []];
    const unit = householdUnit(millilitres.high);
    const derived = { ...times(millilitres, div(ONE, SIZES[unit])), unit };
    const [shown, flags] = shownHousehold(derived, limit, null);
    return flags.length ? [[], []] : [shown, []];
  };
  /** Return the metric and the household amount as shown, the flags, and the amounts behind them. */
  const measure = (item, scale) => {
    if (item.plain) return { metric: words(times(amountOf(item.plain), scale)), household: "", flags: [], shown: [] };
    const factor = mul(scale, read(item.share)), limit = [1n, item.isTight ? 20n : 10n];
    const [weighed, weighedFlags] = metricPart(item, scale, factor, limit);
    const [spooned, spoonedFlags] = householdPart(item, factor, limit);
    let flags = [...weighedFlags, ...spoonedFlags];
    if (spooned.length && !isCount(spooned[0].unit) && !spoonedFlags.length) flags = [];
    else if (item.isMetricTyped && spooned.length && isCount(spooned[0].unit)) flags = weighedFlags;
    let text = spooned.map(words).join(" + ");
    if (text && item.size) text = `${text} ${item.size}`;
    return { metric: weighed ? words(weighed) : text ? "" : item.fallback, household: text, flags, weighed, spooned };
  };
  const both = ({ metric, household: spoons }) => (metric && spoons ? `${metric} (${spoons})` : metric || spoons);

  // ------------------------------------------------------------------------------------------- the page
  const noteOf = (part, scale) => {
    if (typeof part === "string") return [part];
    const [kind, index, tail, other] = part;
    const told = measure(book.items[index], scale);
    if (kind === "flags") return told.flags;
    if (kind === "held") return [`hold back ${both(told) || "a part"}${tail}`];
    return [`for ${told.metric} of ${tail}${other === null ? "" : `, of which ${measure(book.items[other], scale).metric} is used`}`];
  };
  const partOf = ({ item, unit, typed }, scale) => {
    const told = measure(book.items[item], scale);
    if (told.weighed === undefined) return told.metric;
    for (const amount of [...told.spooned, ...(told.weighed ? [told.weighed] : [])]) {
      if (amount.unit === unit && told.spooned.length < 2) return words(amount);
    }
    return unit === "" || unit === "pinch" || !told.weighed ? typed : words(told.weighed);
  };
  const set = (name, texts) => {
    for (const place of document.querySelectorAll(`[data-${name}]`)) place.textContent = texts(Number(place.dataset[name]));
  };
  const show = (count) => {
    const scale = div(whole(count), whole(book.serves));
    const rows = book.rows.map((row) => {
      const told = measure(book.items[row.item], scale);
      const notes = row.notes.flatMap((part) => noteOf(part, scale)).filter((note) => note);
      return {
        metric: (row.isAbout && told.metric ? "about " : "") + told.metric,
        household: told.household,
        note: [...new Set(notes)].join(", "),
        others: row.others.map(([index, name]) => `${both(measure(book.items[index], scale))} ${name}`.trim()),
      };
    });
    set("metric", (at) => rows[at].metric || "–");
    set("household", (at) => rows[at].household || "–");
    set("note", (at) => (rows[at].note ? `, ${rows[at].note}` : ""));
    for (const place of document.querySelectorAll("[data-other]")) {
      const [at, which] = place.dataset.other.split(" ").map(Number);
      place.textContent = `or ${rows[at].others[which]}`;
    }
    set("plain", (at) => measure(book.items[at], scale).metric);
    set("part", (at) => (count === book.made ? book.parts[at].shown : partOf(book.parts[at], scale)));
    const isOther = count !== book.made;
    document.getElementById("servings-note").textContent = isOther ? book.note : "";
    for (const place of document.querySelectorAll("[data-servings]")) place.textContent = String(count);
  };
  const field = document.getElementById("servings");
  const change = () => {
    const count = Number(field.value);
    if (Number.isInteger(count) && count >= 1 && count <= 99) show(count);
  };
  field.addEventListener("input", change);
  for (const [id, by] of [["fewer", -1], ["more", 1]]) {
    document.getElementById(id).addEventListener("click", () => {
      field.value = String(Math.min(99, Math.max(1, (Number(field.value) || book.made) + by)));
      change();
    });
  }
  document.getElementById("servings-tool").hidden = false;
})();
