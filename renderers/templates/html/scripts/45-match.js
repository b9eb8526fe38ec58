// What the search knows, and how well a thing fits what was typed: word by word, the likeliest first.
const fold = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
const bare = (text) => text.replace(/[^\p{L}\p{N}]/gu, "");
const wordsOf = (text) => fold(text).split(/[^\p{L}\p{N}.+]+/u).map((word) => word.replace(/^[.+]+|\.+$/g, "")).filter(Boolean);
const spaced = (text) => ` ${wordsOf(text).join(" ")} `;
const AS_GOOD = { pin: "cavity", terminal: "cavity" };
// Where two fit as well: a component before its connector, which goes by the same name, and before wires and cavities.
const LATER = { "wiring sheet": .3, wire: 1, cavity: 2, complaint: 3, "trouble code": 3 };
const laterOf = (what) => LATER[what] ?? (what.startsWith("connector of") ? .5 : 0);
let pool = null;

// Wires and cavities are read from the page: it holds each fact once. A complaint has no id: it goes by its words.
// `more` is found too, but shown only when it is what was found. A wire's ends are not its name.
const found = (id, term, what, anchor, where, more = "") => {
  const own = fold(id);
  const ends = what === "wire" ? term : "";
  const [name, run] = [ends ? "" : term, bare(fold(ends ? "" : term))];
  const [head, rest] = [spaced(`${id} ${name} ${what}`), spaced(`${ends} ${where} ${more}`)];
  return {
    id, term, what, anchor, where, more, own, head, rest, run, bare: bare(own), later: laterOf(what),
    number: /^\p{L}+(\d+)$/u.exec(own)?.[1], cavity: /\.(\w+)$/.exec(own)?.[1],
    shown: spaced(`${ends} ${where}`), every: `${head}${rest}${run}`, plain: fold(`${id} ${term} ${what} ${where}`),
  };
};
const placeOf = (anchor) => {
  const home = anchor && $(anchor);
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
].sort((a, b) => a.later - b.later || a.run.length - b.run.length || natural(a.id, b.id));

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
  return one.head.includes(word) || one.rest.includes(word) ? 5 : NONE;
};
// Of words that mean the same the nearest counts.
const nearest = (one, words) => Math.min(...words.map((word) => distance(one, word)));
// What stands there just as it was typed, `bu/og` and not `OG/BU`, comes first of equals.
const asTyped = (query, one) => (query.split(/\s+/).every((part) => one.plain.includes(part)) ? .4 : 0);
const scored = (query, wanted, run = bare(query)) => pool.map((one) => {
  const far = one.own === query || one.bare === run ? [0] : wanted.map((words) => nearest(one, words));
  const missed = far.filter((step) => step === NONE).length;
  return { one, missed, score: far.reduce((sum, step) => sum + step, 0) - (missed ? 0 : asTyped(query, one)) };
});

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
  const most = word.length > 6 ? 2 : 1;
  known ??= new Set(pool.flatMap((one) => `${one.head}${one.rest}`.match(/(?<= )\p{L}{3,}(?= )/gu) ?? []));
  const near = [...known].map((other) => [apart(word, other, most), other]).filter(([far]) => far <= most);
  const least = Math.min(...near.map(([far]) => far));
  return near.filter(([far]) => far === least).map(([, other]) => other);
};

// How many things a query finds, the likeliest of them first, and a word on what was done to find any.
pack.search = (text, most) => {
  pool ??= build();
  const words = wordsOf(text);
  if (!words.length) return null;
  const query = fold(text.trim());
  let wanted = words.map((word) => [word]);
  let fits = scored(query, wanted);
  let note = "";
  if (fits.every(({ missed }) => missed) && words.some((word) => AS_GOOD[word])) {
    wanted = words.map((word) => [word, AS_GOOD[word] ?? word]);
    fits = scored(query, wanted);
  }
  if (fits.every(({ missed }) => missed)) {
    const strange = wanted.map((same) => !pool.some((one) => nearest(one, same) < NONE));
    const better = wanted.map((same, place) => (strange[place] ? guesses(same[0]) : same));
    const said = better.flatMap((same, place) => (!strange[place] ? [] : [
      `nothing for “${words[place]}”${same.length ? `, shown is “${same.slice(0, 3).join("”, “")}”` : ""}`,
    ]));
    wanted = better.filter((same) => same.length);
    fits = wanted.length ? scored(query, wanted) : [];
    note = wanted.length ? said.join("; ") : "";
  }
  const least = Math.min(...fits.map(({ missed }) => missed));
  if (least && least < NONE) note = [note, "not all words in one place"].filter(Boolean).join("; ");
  const hits = wanted.length > least ? fits.filter(({ missed }) => missed === least) : [];
  hits.sort((a, b) => a.score - b.score);
  const beyond = ({ shown, head, rest }) => wanted.some((same) => same.every((word) => (
    !head.includes(word) && !shown.includes(word) && rest.includes(word))));
  const first = hits.slice(0, most).map(({ one }) => ({ ...one, why: beyond(one) ? one.more : "" }));
  return { count: hits.length, hits: first, note };
};
// Read while nothing else is to do, so that the first key stroke need not wait.
on("start", () => (window.requestIdleCallback ?? setTimeout)(() => { pool ??= build(); }));
