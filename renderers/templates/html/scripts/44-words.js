// Words as the search compares them: folded, in the singular; those that say nothing, and those that mean the same.
const fold = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
const bare = (text) => text.replace(/[^\p{L}\p{N}]/gu, "");
const wordsOf = (text) => fold(text).split(/[^\p{L}\p{N}.+]+/u).map((word) => word.replace(/^[.+]+|\.+$/g, "")).filter(Boolean);
// In the singular, as `renderers/trade_words.py` has it.
const single = (word) => {
  if (word.length < 4) return word;
  return word.endsWith("ies") ? `${word.slice(0, -3)}y` : word.replace(/(?<=ch|sh|ss)es$|(?<=x)es$|(?<![sui])s$/, "");
};
// Words with a blank around each, and again in the singular where that differs.
const spaced = (text) => {
  const words = wordsOf(text);
  const [all, one] = [words, words.map(single)].map((them) => ` ${them.join(" ")} `);
  return all === one ? all : `${all}|${one}`;
};

// Words that say nothing of what is looked for, and those that tell of a complaint. What follows `does not` tells none.
const FILLER = new Set((
  "the an and are as at be by did do does doing find for from get got has have how i in is isn it its me my need"
  + " of off on or our please show so that there this to was were what when where which why with working works"
).split(" "));
const SYMPTOM = new Set((
  "always bad blow blowing blown blows broken cannot cant dead didnt doesnt dont fail failed failing fails failure fault"
  + " faulty flicker flickering flickers gone inop inoperative intermittent intermittently isnt keep keeps never no not only"
  + " out problem sometimes stay stays stuck trouble wasnt weak wont wrong"
).split(" "));
const AFTER_NOT = new Set("blink come fire flash function go heat illuminate light lit move operate run sound turn work".split(" "));
const NEVER = new Set("cannot cant didnt doesnt dont isnt never no not wont".split(" "));
const idle = (word, place, words) => {
  if (word === "a") return words.length > place + 1 && words[place + 1].length > 1 && !/\d/.test(words[place - 1] ?? "");
  return FILLER.has(word) || SYMPTOM.has(word) || (AFTER_NOT.has(word) && NEVER.has(words[place - 1]));
};

// Trade words by their letters: `fusebox` and `fuse box` lead to what the pack says for them.
const flat = (words) => words.filter((word) => !FILLER.has(word)).map(single).join("");
// What leads one way only is not quite the same: it comes after.
const trade = new Map();
for (const [used, leading] of tradeWords) {
  const more = used.some((phrase) => leading.includes(phrase)) ? 0 : .3;
  for (const phrase of leading) {
    const name = flat(phrase.split(" "));
    if (!trade.has(name)) trade.set(name, new Map());
    const known = trade.get(name);
    for (const other of used) known.set(other, Math.min(more, known.get(other) ?? more));
  }
}
const LONGEST = Math.max(1, ...tradeWords.flat(2).map((phrase) => phrase.split(" ").length));
// Half a word will do while it is typed: it is the shortest that begins so.
const begun = (word) => {
  const names = word.length > 2 ? [...trade.keys()].filter((name) => name.startsWith(word)) : [];
  return names.length ? [...trade.get(names.reduce((least, name) => (name.length < least.length ? name : least))).keys()] : [];
};
// What the pack calls what goes by these words, and how much further it is.
const meanings = (words) => [...trade.get(flat(words))?.keys() ?? []].filter((phrase) => phrase !== words.join(" "));
const further = (words, phrase) => trade.get(flat(words))?.get(phrase) ?? 0;
// The words of a query, those of a phrase of the trade together.
const cut = (words) => {
  const found = [];
  for (let start = 0; start < words.length;) {
    let many = Math.min(LONGEST, words.length - start);
    while (many > 1 && !trade.has(flat(words.slice(start, start + many)))) many -= 1;
    found.push(words.slice(start, start + many));
    start += many;
  }
  return found;
};
const parts = [...new Set(tradeWords.flat(2).flatMap((phrase) => phrase.split(" ")))];
const isTrade = (word) => trade.has(single(word));
pack.words = { fold, bare, wordsOf, single, spaced, idle, SYMPTOM, begun, meanings, further, cut, parts, isTrade };
