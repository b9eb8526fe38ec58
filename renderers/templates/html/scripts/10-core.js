// What every behaviour may use: small helpers, what the search knows, events and keys. The files of this folder are
// joined in order of name; each but this one has names of its own, and offers the others what it puts into `pack`.
const root = document.documentElement;
root.classList.add("js");

const pack = {};
const $ = (id) => document.getElementById(id);
const all = (selector, within = document) => [...within.querySelectorAll(selector)];
const quoted = (text) => `"${text.replace(/["\\]/g, "\\$&")}"`;
const make = (name, properties = {}, ...children) => {
  const made = Object.assign(document.createElement(name), properties);
  made.append(...children);
  return made;
};
const link = (hash, text) => make("a", { href: `#${hash}`, textContent: text });
const natural = new Intl.Collator("en", { numeric: true }).compare;

// entries: rows of [term, id, what, anchor, sheets]; sheets: anchor of each sheet by its number;
// words: groups of those that mean the same, as pairs of what the pack uses and what leads to it.
const { entries, sheets, words: tradeWords } = JSON.parse($("lookup").textContent);
const entryAt = new Map(entries.filter((entry) => entry[3]).map((entry) => [entry[3], entry]));
const NOT_ITEMS = new Set(["circuit", "wiring sheet", "zone", "complaint", "trouble code"]);
const entryOf = (kind, id) => entries.find((entry) => entry[1] === id
  && (kind === "circuit" ? entry[2] === "circuit" : !NOT_ITEMS.has(entry[2])));

// The cell of a row under the column of a key, in whatever place it stands.
const keysOf = new WeakMap();

const cellOf = (row, name) => {
  const table = row.closest("table");
  if (!keysOf.has(table)) {
    keysOf.set(table, all("thead tr:last-child th", table).map((head) => head.dataset.key));
  }
  return row.cells[keysOf.get(table).indexOf(name)];
};
const textOf = (row, name) => cellOf(row, name)?.textContent ?? "";

// Events: `arrive` (view, target) when another view is open, `lit` (subject or null), `chosen` (the row or drawn thing,
// where it was touched) after it was lit by hand, `clear` when Escape is pressed.
const hooks = new Map();
const on = (event, does) => hooks.set(event, [...(hooks.get(event) ?? []), does]);
const tell = (event, ...what) => (hooks.get(event) ?? []).forEach((does) => does(...what));

// Keys that work anywhere but in a field; the help lists them by their words.
const keys = [];
const key = (names, words, does) => keys.push({ names, words, does });
