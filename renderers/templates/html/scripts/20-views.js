// One view at a time: a section, or a single sheet of it. Addresses lead to views and to things in them:
// `#wire-48B`, `#sheet-12`, and `#sheet-12/wire-48B` for a thing as it stands on a sheet. One typed by hand need not be
// exact: `#k7` and `#c18.54` do.
const parts = all(".part");
const views = parts.flatMap((part) => [part, ...all(".page", part)]);
const nav = new Map(all("nav li").map((item) => [item.firstElementChild.hash, item]));
let open = null;
let place = null;

const KINDS = ["", "item-", "circuit-", "wire-", "cavity-", "sheet-"];
let known = null;
const namedLike = (typed) => {
  if (!typed || $(typed)) return typed;
  known ??= new Map(all("main, main [id]").reverse().map(({ id }) => [id.toLowerCase(), id]));
  let name = typed;
  try { name = decodeURIComponent(typed); } catch { /* as it is */ }
  const anchored = name.replace(/[^A-Za-z0-9_-]/gu, (char) => `_${char.codePointAt(0).toString(16)}_`).toLowerCase();
  return KINDS.map((kind) => known.get(kind + anchored)).find(Boolean) ?? typed;
};

const title = document.title;
const show = (view) => {
  if (view === open) return false;
  open = view;
  const part = view.closest(".part");
  for (const other of views) {
    // Found by the browser's own search even while closed, where the browser can.
    if (other === part || other === view) other.removeAttribute("hidden");
    else other.setAttribute("hidden", "until-found");
  }
  parts.forEach((other) => other.classList.toggle("single", other === part && view !== part));
  for (const [hash, item] of nav) {
    item.classList.toggle("open", hash === `#${part.id}`);
    item.firstElementChild.removeAttribute("aria-current");
  }
  const here = nav.get(`#${view.id}`) ?? nav.get(`#${part.id}`);
  here.firstElementChild.setAttribute("aria-current", "page");
  here.firstElementChild.scrollIntoView({ block: "nearest" });
  document.title = view.id === "front" ? title : `${view.querySelector("h2, h3").textContent} – ${title}`;
  return true;
};

pack.view = () => open;
pack.go = (hash) => {
  if (location.hash === `#${hash}`) arrive(true);
  else location.hash = hash;
};

const mark = (target, focus) => {
  all(".at").forEach((other) => other.classList.remove("at"));
  target.classList.add("at");
  if (!focus) return;
  const row = target.tagName === "TR";
  const goal = row ? target : target.querySelector("h3") ?? target;
  goal.tabIndex = -1;
  goal.focus({ preventScroll: true });
};

const arrive = (focus) => {
  const typed = location.hash.slice(1).split("/");
  const [name, within = ""] = typed.map(namedLike);
  if (typed[0] !== name || (typed[1] ?? "") !== within) {
    history.replaceState(history.state, "", `#${name}${within && `/${within}`}`);
  }
  const target = (name && $(name)) || $("front");
  const view = target.closest(".page") ?? target.closest(".part");
  if (!view) {
    // The text itself, from the link above all others.
    if (!open) show($("front"));
    return;
  }
  const from = open;
  const turned = show(view);
  if (target === view) {
    scrollTo(0, place ?? 0);
    if (focus && turned && !view.classList.contains("page")) {
      view.querySelector("h2").focus({ preventScroll: true });
    }
  } else {
    target.scrollIntoView({ block: target.tagName === "TR" ? "center" : "start" });
    mark(target, focus);
  }
  tell("arrive", view, target, within, from, focus);
};

// Back returns to the very line that was left.
let resting = 0;
addEventListener("scroll", () => {
  clearTimeout(resting);
  resting = setTimeout(() => history.replaceState({ y: scrollY }, ""), 150);
}, { passive: true });
addEventListener("popstate", (event) => { place = event.state?.y ?? null; });
addEventListener("hashchange", () => {
  clearTimeout(resting);
  const back = place;
  arrive(true);
  if (back !== null) scrollTo(0, back);
  place = null;
});
document.addEventListener("beforematch", (event) => {
  show(event.target.closest(".page") ?? event.target.closest(".part"));
});
on("start", () => arrive(false));

const turn = (step) => {
  const next = views[views.indexOf(open) + step];
  if (next) pack.go(next.id);
};
key(["]"], "the next section or sheet", () => turn(1));
key(["["], "the section or sheet before", () => turn(-1));
