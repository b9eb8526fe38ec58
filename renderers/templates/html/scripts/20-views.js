// One view at a time: a section, or a single sheet of it. Addresses lead to views and to things in them:
// `#wire-48B`, `#sheet-12`, `#sheet-12/wire-48B` for a thing as it stands on a sheet, and `#sheet-12/item-K7/K7.30` for a
// point of it. One typed by hand need not be exact: `#k7` and `#c18.54` do.
const parts = all(".part");
const views = parts.flatMap((part) => [part, ...all(".page", part)]);
const nav = new Map(all("nav li").map((item) => [item.firstElementChild.hash, item]));
let open = null;
let arrived = null;
let place = null;

const KINDS = ["", "item-", "circuit-", "wire-", "cavity-", "sheet-"];
let known = null;
const decoded = (typed) => {
  try { return decodeURIComponent(typed); } catch { return typed; }
};
const namedLike = (typed) => {
  if (!typed || $(typed)) return typed;
  known ??= new Map(all("main, main [id]").reverse().map(({ id }) => [id.toLowerCase(), id]));
  const anchored = decoded(typed).replace(/[^A-Za-z0-9_-]/gu, (char) => `_${char.codePointAt(0).toString(16)}_`).toLowerCase();
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

// The row or group that was asked for.
let marked = null;
const mark = (target) => {
  marked?.classList.remove("at");
  marked = target;
  marked?.classList.add("at");
};
const bring = (target) => target.scrollIntoView({ block: target.tagName === "TR" ? "center" : "start" });
pack.bring = bring;
const focusOn = (target) => {
  const goal = target.tagName === "TR" ? target : target.querySelector("h3") ?? target;
  goal.tabIndex = -1;
  goal.focus({ preventScroll: true });
};

// An address that leads nowhere says so, above what is shown instead.
const lost = make("p", { className: "lost", role: "alert" });
const tellLost = (view, missing) => {
  lost.textContent = missing ? `“${decoded(missing)}” is not in this pack.` : "";
  if (missing) view.querySelector("h2, h3").before(lost);
  else lost.remove();
};

const arrive = (focus) => {
  const typed = location.hash.slice(1).split("/");
  const [name, within = ""] = typed.slice(0, 2).map(namedLike);
  if (typed[0] !== name || (typed[1] ?? "") !== within) {
    history.replaceState(history.state, "", `#${[name, within, ...typed.slice(2)].filter(Boolean).join("/")}`);
  }
  const target = (name && $(name)) || $("front");
  const view = target.closest(".page") ?? target.closest(".part");
  if (!view) {
    // The text itself, from the link above all others.
    if (!open) show($("front"));
    return;
  }
  // The browser opens what it goes to by itself, before it tells of the new address: what counts is where one was.
  const from = arrived;
  const turned = show(view) || view !== from;
  arrived = view;
  tellLost(view, [name, within].find((part) => part && !$(part)));
  mark(target === view ? null : target);
  if (target === view) {
    scrollTo(0, place ?? 0);
    if (focus && turned && !view.classList.contains("page")) {
      view.querySelector("h2").focus({ preventScroll: true });
    }
  } else {
    bring(target);
    if (focus) focusOn(target);
  }
  tell("arrive", view, target, within, from, focus, decoded(typed[2] ?? ""));
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
// Once a page is there the browser goes to its anchor by itself, and puts a row right under the bar. A page that is
// returned to stands where it was left.
const left = history.state?.y;
addEventListener("load", () => setTimeout(() => {
  if (left !== undefined) scrollTo(0, left);
  else if (marked) bring(marked);
}));

// Paper takes a connector, a block or a fault chart alone when it was asked for and is still in sight.
addEventListener("beforeprint", () => {
  const group = marked?.closest(".group:not(.page)");
  const spot = group?.getBoundingClientRect();
  if (!spot || spot.bottom < 0 || spot.top > innerHeight) return;
  group.classList.add("printed");
  group.closest(".part").classList.add("partly");
});
addEventListener("afterprint", () => {
  for (const name of ["printed", "partly"]) all(`.${name}`).forEach((one) => one.classList.remove(name));
});

const turn = (step) => {
  const next = views[views.indexOf(open) + step];
  if (next) pack.go(next.id);
};
key(["]"], "the next section or sheet", () => turn(1));
key(["["], "the section or sheet before", () => turn(-1));
