// What the search knows, and how well a thing fits what was typed: word by word, the likeliest first.
const { fold, bare, wordsOf, single, spaced, idle, SYMPTOM, begun, meanings, cut, isTrade } = pack.words;
// Where two fit as well: a thing before what only belongs to it, a component before its connector, which goes by the
// same name, and before wires and cavities.
const LATER = {
  fuse: .1, "fusible link": .1, "circuit breaker": .1, circuit: .4, bus: .45, splice: .45, cable: .45, zone: .45,
  "wiring sheet": .45, wire: 1, cavity: 2, complaint: 3, "trouble code": 3,
};
const CHARTED = new Set(["complaint", "trouble code"]);
const laterOf = (what) => LATER[what] ?? (what.startsWith("connector of") ? .5 : 0);
let pool = null;
let ids = null;
let sorts = null;

// Wires and cavities are read from the page: it holds each fact once. A complaint has no id: it goes by its words.
// `more` is found too, but shown only when it is what was found. A wire's ends are not its name.
const found = (id, term, what, anchor, where, more = "") => {
  const own = fold(id);
  const ends = what === "wire" ? term : "";
  const [name, run] = [ends ? "" : term, bare(fold(ends ? "" : term))];
  const [head, rest] = [`${spaced(`${id} ${name}`)}|${spaced(what)}`, spaced(`${ends} ${where} ${more}`)];
  return {
    id, term, what, anchor, where, more, own, head, rest, run, bare: bare(own), later: laterOf(what),
    many: wordsOf(name).length, ends: `${spaced(name.split(",")[0])}|${spaced(name)}||${spaced(what)}`,
    number: /^\p{L}+(\d+)$/u.exec(own)?.[1], cavity: /\.(\w+)$/.exec(own)?.[1],
    shown: spaced(`${ends} ${where}`), every: `${head}${rest}${run}`, plain: fold(`${id} ${term} ${what} ${where}`),
  };
};
const placeOf = (anchor) => {
  const home = anchor ? $(anchor) : null;
  if (home?.matches("tr")) return textOf(home, "place");
  return /Location: (.*?)\.(?: |$)/.exec(home?.querySelector(":scope > p")?.textContent)?.[1] ?? "";
};
const build = () => [
  ...entries.map(([term, id, what, anchor, on]) => {
    const where = on.length && what !== "wiring sheet" ? `${on.length > 1 ? "sheets" : "sheet"} ${on.join(", ")}` : "";
    return found(id || term, !id || term === id ? "" : term, what, anchor || sheets[on[0]], where, NOT_ITEMS.has(what) ? "" : placeOf(anchor));
  }),
  ...all("#table-wires tr[data-wire]").map((row) => {
    const [from, to, size, colour] = ["from", "to", "size", "colour"].map((name) => textOf(row, name));
    return found(row.dataset.wire, `${from} to ${to}`, "wire", row.id, `${colour} ${size}`, pack.colourWords(colour));
  }),
  ...all('tr[id^="cavity-"]').map((row) => {
    const id = `${row.closest(".group").dataset.item}.${row.cells[0].textContent}`;
    const wires = all('a[href^="#wire-"]', row).map((wire) => wire.textContent);
    return found(id, "", "cavity", row.id, wires.length ? `wire ${[...new Set(wires)].join(", ")}` : row.cells[1].textContent);
  }),
].sort((a, b) => a.later - b.later || a.many - b.many || natural(a.id, b.id));

// How far a word is from what a thing is called: 0 its id, up to what stands somewhere in it; NONE when it does not.
const NONE = 99;
const distance = (one, word) => {
  if (one.own === word || one.bare === word) return 0;
  if (!one.every.includes(word)) return NONE;
  if (one.head.includes(` ${word} `)) return 1;
  if (one.number === word) return 1 + (one.own.length - word.length) / 10;
  if (one.head.includes(` ${word}`)) return 2;
  if (one.cavity === word) return 2.2;
  if (one.rest.includes(` ${word} `)) return 3;
  if (one.rest.includes(` ${word}`)) return 3.5;
  if (word.length > 4 && one.run.includes(word)) return 4;
  if (word.length < 3 && !/\d/.test(word)) return NONE;
  return one.head.includes(word) || one.rest.includes(word) ? 5 : NONE;
};
// As far as a phrase stands in it whole.
const whole = (one, phrase) => {
  if (!one.every.includes(phrase)) return NONE;
  if (one.head.includes(` ${phrase} `)) return 1;
  return one.rest.includes(` ${phrase} `) ? 3 : NONE;
};
// Distances of all things, kept from stroke to stroke: most words of a query were in the one before.
const KEPT = 300;
const measured = (far) => {
  const kept = new Map();
  return (word) => {
    if (!kept.has(word)) {
      if (kept.size > KEPT) kept.clear();
      kept.set(word, Float32Array.from(pool, (one) => far(one, word)));
    }
    return kept.get(word);
  };
};
const farOf = measured((one, word) => {
  const other = single(word);
  return other === word ? distance(one, word) : Math.min(distance(one, word), distance(one, other));
});
const wholeOf = measured(whole);
const NOTHING = () => new Float32Array(pool.length).fill(NONE);
// Of words that mean the same the nearest counts; of several words all do.
const nearest = (ways) => ways.reduce((least, far) => least.map((step, place) => Math.min(step, far[place])), NOTHING());
const added = (parts) => parts.reduce((sum, far) => sum.map((step, place) => Math.min(step + far[place], NONE)));
const beyond = (far, more, times = 1) => far.map((step) => (step < NONE ? times * (step + more) : NONE));

// A word of the same meaning in a name comes after the word itself there, and before the word itself elsewhere; the
// longer phrase says more.
const MEANT = 1.4;
const APART = .25;
const ELSEWHERE = 4;
const meant = (words, phrases) => nearest(phrases.map((phrase) => (
  beyond(wholeOf(phrase), MEANT - phrase.split(" ").length / 10 + pack.words.further(words, phrase)))));

// A query falls into words and, where the trade has one, phrases. Of a phrase its words have to stand together, or it is
// taken for another that means the same; its words one by one, `brake light` as a `brake lamp`, are worth less.
const unitOf = (words, same = []) => {
  const [word, ...more] = words;
  const others = !more.length && strange(word) && !isTrade(word) ? begun(word) : meanings(words);
  const typed = words.map((word) => farOf(word));
  const far = beyond(meant(words, others), 0, words.length);
  if (!more.length) {
    // Of a word of the trade what only begins with it is something else: `ac` is no `actuator`.
    const kept = isTrade(word) ? (step) => (step > 1 && step !== 3 ? Math.min(step + 2, NONE) : step) : (step) => step;
    const own = nearest([...typed, ...same.map(farOf)]).map(kept);
    return { words, others, own, meant: far, far: nearest([own, far]) };
  }
  const together = wholeOf(words.map(single).join(" "));
  const own = added(typed).map((sum, place) => {
    if (sum >= NONE || together[place] === 1) return sum;
    return sum + (typed.every((far) => far[place] < 3) ? APART : ELSEWHERE);
  });
  const loose = added(words.map((one, place) => nearest([typed[place], meant([one], meanings([one]))])));
  return { words, others, own, meant: far, far: nearest([own, far, beyond(loose, ELSEWHERE)]) };
};
// Two words are near when few letters part them: one added, lost, changed or swapped with its neighbour.
const apart = (a, b, most) => {
  if (Math.abs(a.length - b.length) > most) return NONE;
  let [before, last, row] = [[], [], [...Array(b.length + 1).keys()]];
  for (let i = 1; i <= a.length; i += 1) {
    [before, last, row] = [last, row, [i]];
    for (let j = 1; j <= b.length; j += 1) {
      const same = a[i - 1] === b[j - 1];
      row[j] = Math.min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (same ? 0 : 1));
      if (a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) row[j] = Math.min(row[j], before[j - 2] + 1);
    }
    if (Math.min(...row) > most) return NONE;
  }
  return row[b.length];
};
// Ids are never guessed at: another fuse is no help to one who mistyped his.
let known = null;
const guesses = (word) => {
  if (!/^\p{L}{4,}$/u.test(word)) return [];
  const most = word.length > 7 ? 2 : 1;
  known ??= new Set([
    ...pool.flatMap((one) => `${one.head}${one.rest}`.match(/(?<= )\p{L}{3,}(?= )/gu) ?? []),
    ...pack.words.parts.filter((part) => part.length > 2),
  ]);
  const near = [...known].map((other) => [apart(word, other, most), other]).filter(([far]) => far <= most);
  const least = Math.min(...near.map(([far]) => far));
  return near.filter(([far]) => far === least).map(([, other]) => other);
};
// A word that nothing in the pack is called by.
const strangers = new Map();
const strange = (word) => {
  if (strangers.size > KEPT) strangers.clear();
  if (!strangers.has(word)) {
    strangers.set(word, !pool.some((one) => one.own === word || one.bare === word || one.every.includes(word))
      && !pool.some((one) => one.every.includes(single(word))));
  }
  return strangers.get(word);
};

// `k7 pin 87` and `pin 87 of k7` are `k7.87` where there is one.
const PIN = new Set(["pin", "terminal", "cavity", "way", "contact"]);
const pinned = (words) => {
  for (const [place, word] of words.entries()) {
    if (!PIN.has(single(word))) continue;
    for (const [item, pin, first] of [[place - 1, place + 1, place - 1], [place + 2, place + 1, place]]) {
      const end = `${words[item]}.${words[pin]}`;
      if (ids.has(words[item]) && pool.some((one) => one.every.includes(` ${end} `))) {
        return [...words.slice(0, first), end, ...words.slice(first + 3)];
      }
    }
  }
  return words;
};
// `circuit48`: a sort of thing run together with its number.
const parts = (word) => {
  const [, sort, number] = /^(\p{L}{3,})(\d.*)$/u.exec(word) ?? [];
  return sort && strange(word) && (sorts.has(sort) || isTrade(sort)) ? [sort, number] : [word];
};

// `relay`, or `earth` where that is a `ground`: what one thing has in common with many.
const isSort = (word) => [word, ...meanings([word])].some((one) => sorts.has(single(one)));

// What stands there just as it was typed, `bu/og` and not `OG/BU`, comes first of equals.
const asTyped = (query, one) => (query.split(/\s+/).every((part) => one.plain.includes(part)) ? .4 : 0);
const scored = (query, units, left) => {
  const run = bare(query);
  const symptom = left.some((word) => SYMPTOM.has(word));
  const plain = units.map((unit) => unit.words.every(isSort));
  // What a name ends in is what the thing is: a `fuel pump` is no `fuel pump relay`.
  const { words, others } = units.at(-1);
  const last = [words.at(-1), ...others].flatMap((text) => [` ${single(text)} |`, `|| ${single(text)} `]);
  return pool.map((one, place) => {
    const far = one.own === query || one.bare === run ? [0] : units.map((unit) => unit.far[place]);
    const missed = far.filter((step) => step >= NONE).length;
    let score = far.reduce((sum, step) => sum + step, 0) + Math.min(one.later, .5);
    // What has only its sort in common with what was typed comes last.
    if (missed && far.every((step, unit) => step >= NONE || plain[unit])) score += NONE;
    if (!missed) score -= asTyped(query, one) + (last.some((text) => one.ends.includes(text)) ? .3 : 0);
    if (CHARTED.has(one.what)) {
      score += symptom ? -2 - left.filter((word) => one.head.includes(` ${word} `)).length / 5 : 3;
    }
    return { one, place, missed, score };
  });
};
const listed = (words) => words.slice(0, 3).map((word) => `“${word}”`).join(", ");
// What the shown things are called instead of a word that was typed.
const taken = (units, shown) => units.flatMap(({ words, others, own, meant: far }) => {
  const by = shown.filter(({ place }) => far[place] < own[place]);
  const used = others.filter((phrase) => {
    const step = meant(words, [phrase]);
    return by.some(({ place }) => words.length * step[place] < far[place] + .01);
  });
  if (!used.length) return [];
  return [`“${words.join(" ")}”: ${shown.some(({ place }) => own[place] < NONE) ? "also " : ""}${listed(used)}`];
});

// Words in place of those that nothing is called by, and what is said of it.
const corrected = (words) => {
  const same = new Map();
  const notes = [];
  const found = cut(words).flatMap((part) => {
    const [word] = part;
    if (part.length > 1 || !strange(word) || isTrade(word) || begun(word).length) return part;
    const [first, ...others] = guesses(word);
    notes.push(`nothing for “${word}”${first ? `, shown is ${listed([first, ...others])}` : ""}`);
    if (first) same.set(first, others);
    return first ? [first] : [];
  });
  return { found, same, notes };
};

// How many things a query finds, the likeliest of them first, and a word on what was done to find any.
pack.search = (text, most) => {
  ready();
  const typed = wordsOf(text.replace(/['’]/gu, ""));
  if (!typed.length) return null;
  const query = fold(text.trim());
  const out = typed.map((word, place) => !ids.has(word) && idle(word, place, typed));
  const all = out.every(Boolean);
  const words = pinned(typed.filter((_, place) => all || !out[place])).flatMap(parts);
  const { found, same, notes } = corrected(words);
  const units = cut(found).map((part) => unitOf(part, same.get(part[0])));
  const fits = units.length ? scored(query, units, all ? [] : typed.filter((_, place) => out[place])) : [];
  const least = Math.min(...fits.map(({ missed }) => missed));
  // Another fuse than `fuse 99` would be worse than none: where not all words fit, one with a number has to.
  const numbers = units.filter(({ words: own }) => own.some((word) => /\d/.test(word)));
  const fit = ({ missed, place }) => missed === least
    && (!least || !numbers.length || numbers.some(({ far }) => far[place] < NONE));
  const none = found.every(isSort) && words.some((word) => strange(word) && /\d/.test(word));
  const hits = units.length > least && !none ? fits.filter(fit) : [];
  hits.sort((a, b) => a.score - b.score);
  const shown = hits.slice(0, most);
  notes.push(...taken(units, shown));
  if (least && hits.length) notes.push("not all words in one place");
  const unseen = ({ shown: seen, head, rest }) => units.some(({ words: own, others }) => {
    const texts = [...own, ...others];
    return !texts.some((word) => head.includes(word) || seen.includes(word)) && texts.some((word) => rest.includes(word));
  });
  const rows = shown.map(({ one }) => ({ ...one, why: unseen(one) ? one.more : "" }));
  return { count: hits.length, hits: rows, note: units.length ? notes.join("; ") : "" };
};
// Read while nothing else is to do, so that the first key stroke need not wait.
const ready = () => {
  if (pool) return;
  pool = build();
  ids = new Set(pool.map((one) => one.own));
  sorts = new Set(pool.flatMap((one) => wordsOf(one.what).map(single)));
};
on("start", () => (window.requestIdleCallback ?? setTimeout)(ready));
