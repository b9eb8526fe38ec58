// The pack on screen: one section at a time, search, and a circuit that lights up everywhere at once.
"use strict";
(() => {
  const root = document.documentElement;
  root.classList.add("js");
  const $ = (id) => document.getElementById(id);
  const parts = [...document.querySelectorAll(".part")];
  const { entries, sheets } = JSON.parse($("lookup").textContent);
  const titles = new Map(entries.filter((e) => e[2] === "circuit").map((e) => [e[1], e]));
  const items = new Map(entries.filter((e) => !["circuit", "wiring sheet", "zone"].includes(e[2])).map((e) => [e[1], e]));
  const quoted = (text) => `"${text.replace(/["\\]/g, "\\$&")}"`;
  const make = (name, properties = {}, ...children) => {
    const made = Object.assign(document.createElement(name), properties);
    made.append(...children);
    return made;
  };

  // -- one section at a time --------------------------------------------------------------------------------------
  let current = null;
  const show = (part) => {
    if (part === current) return false;
    current = part;
    for (const other of parts) {
      // Found by the browser's own search even while closed, where the browser can.
      if (other === part) other.removeAttribute("hidden");
      else other.setAttribute("hidden", "until-found");
    }
    for (const link of document.querySelectorAll("nav > ol > li")) {
      const open = link.firstElementChild.hash === `#${part.id}`;
      link.classList.toggle("open", open);
      link.firstElementChild.toggleAttribute("aria-current", open);
      if (open) {
        link.firstElementChild.setAttribute("aria-current", "true");
        link.scrollIntoView({ block: "nearest" });
      }
    }
    return true;
  };
  const go = (focus) => {
    const name = decodeURIComponent(location.hash.slice(1));
    const target = (name && $(name)) || $("front");
    const part = target.closest(".part");
    if (!part) return;
    const turned = show(part);
    document.querySelectorAll("tr.at").forEach((row) => row.classList.remove("at"));
    root.classList.remove("menu");
    $("menu").setAttribute("aria-expanded", "false");
    if (target === part) {
      scrollTo(0, 0);
      if (focus && turned) part.querySelector("h1, h2").focus({ preventScroll: true });
    } else {
      target.scrollIntoView({ block: target.tagName === "TR" ? "center" : "start" });
      if (target.tagName === "TR") {
        target.classList.add("at");
        target.tabIndex = -1;
        if (focus) target.focus({ preventScroll: true });
      }
      const circuits = target.dataset.circuit;
      if (circuits && !circuits.includes(" ")) light(circuits);
    }
  };
  addEventListener("hashchange", () => go(true));
  document.addEventListener("beforematch", (event) => show(event.target.closest(".part")));

  // -- light ------------------------------------------------------------------------------------------------------
  let lit = [];
  const dark = () => {
    lit.forEach((element) => element.classList.remove("lit"));
    lit = [];
    root.classList.remove("lighting");
    $("lit").replaceChildren();
  };
  const bar = (head, entry) => {
    const off = make("button", { type: "button", textContent: "Put out" });
    off.addEventListener("click", dark);
    const links = (entry ? entry[4] : []).flatMap((sheet) => [
      " ", make("a", { href: `#${sheets[sheet]}`, textContent: `sheet ${sheet}` }),
    ]);
    const more = entry && entry[3] ? [make("a", { href: `#${entry[3]}`, textContent: "in the charts" })] : [];
    $("lit").replaceChildren(head, make("span", {}, ...links), ...more, off);
  };
  const light = (circuit) => {
    dark();
    lit = [...document.querySelectorAll(`[data-circuit~=${quoted(circuit)}]`)];
    if (!lit.length) return;
    lit.forEach((element) => element.classList.add("lit"));
    root.classList.add("lighting");
    const entry = titles.get(circuit);
    const title = entry && entry[0] !== circuit ? ` ${entry[0]}` : "";
    bar(make("span", {}, make("strong", { textContent: `Circuit ${circuit}` }), title), entry);
  };
  const lightItem = (item) => {
    dark();
    lit = [...document.querySelectorAll(`svg [data-item~=${quoted(item)}], tr[data-item~=${quoted(item)}]`)];
    lit.forEach((element) => element.classList.add("lit"));
    root.classList.add("lighting");
    const entry = items.get(item);
    const title = entry && entry[0] !== item ? ` ${entry[0]}` : "";
    bar(make("span", {}, make("strong", { textContent: item }), title), entry);
  };
  const lightFrom = (element) => {
    const wire = element.closest("[data-circuit]");
    const item = element.closest("svg [data-item]");
    if (wire && !(item && wire.contains(item))) {
      // A row of several circuits lights the next one at each choice.
      const circuits = wire.dataset.circuit.split(" ");
      const now = circuits.findIndex((circuit) => $("lit").textContent.startsWith(`Circuit ${circuit} `)
        || $("lit").textContent.startsWith(`Circuit ${circuit}sheet`));
      light(circuits[(now + 1) % circuits.length]);
    } else if (item) lightItem(item.dataset.item);
  };
  $("main").addEventListener("click", (event) => {
    const target = event.target;
    if (target.matches(".scale")) {
      const full = target.closest("figure").classList.toggle("full");
      target.setAttribute("aria-pressed", String(full));
    } else if (!target.closest("a, button") && !String(getSelection())) lightFrom(target);
  });

  // -- search -----------------------------------------------------------------------------------------------------
  const fold = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  let pool = null;
  const build = () => {
    // Wires are read from their own list: the page holds them once.
    const wires = [...document.querySelectorAll("tr[data-wire][id]")].map((row) => {
      const ends = [...row.cells].slice(3, 7).map((cell) => cell.textContent).join(" ");
      return [ends, row.dataset.wire, "wire", row.id, []];
    });
    return [...entries, ...wires].map((entry) => ({
      entry, id: fold(entry[1]), term: fold(entry[0]), all: fold(`${entry[1]} ${entry[0]} ${entry[2]}`),
    }));
  };
  const rank = (one, query) => {
    if (one.id === query) return one.entry[2] === "wire" ? 1 : 0;
    if (one.id.startsWith(query)) return 2;
    // A component before its connector, which goes by the same name.
    if (one.term.startsWith(query)) return one.entry[2].startsWith("connector of") ? 3.5 : 3;
    if (one.term.includes(` ${query}`)) return 4;
    return one.entry[2] === "wire" ? 6 : 5;
  };
  const box = $("search");
  const list = $("found");
  let at = -1;
  const choose = (index) => {
    const rows = [...list.children];
    at = rows.length ? (index + rows.length) % rows.length : -1;
    rows.forEach((row, place) => row.setAttribute("aria-selected", String(place === at)));
    if (at >= 0) {
      rows[at].scrollIntoView({ block: "nearest" });
      box.setAttribute("aria-activedescendant", rows[at].id);
    } else box.removeAttribute("aria-activedescendant");
  };
  const close = () => {
    list.hidden = true;
    list.replaceChildren();
    at = -1;
    box.setAttribute("aria-expanded", "false");
    box.removeAttribute("aria-activedescendant");
  };
  const search = () => {
    const query = fold(box.value.trim());
    if (!query) return close();
    pool ??= build();
    const words = query.split(/\s+/);
    const hits = pool.filter((one) => words.every((word) => one.all.includes(word)));
    hits.sort((a, b) => rank(a, query) - rank(b, query) || a.term.length - b.term.length);
    list.replaceChildren(...hits.slice(0, 40).map(({ entry }, place) => {
      const [term, id, what, anchor, on] = entry;
      const row = make("li", { id: `found-${place}`, role: "option" },
        make("strong", { textContent: id }), term === id ? "" : ` ${term} `, make("small", { textContent: ` ${what}` }));
      row.dataset.to = anchor || sheets[on[0]];
      return row;
    }));
    if (!hits.length) list.append(make("li", { textContent: "Nothing found" }));
    list.hidden = false;
    box.setAttribute("aria-expanded", "true");
    if (hits.length) choose(0);
  };
  const follow = (row) => {
    if (!row || !row.dataset.to) return;
    close();
    box.blur();
    const hash = `#${row.dataset.to}`;
    if (location.hash === hash) go(true);
    else location.hash = hash;
  };
  box.addEventListener("input", search);
  box.addEventListener("focus", search);
  box.addEventListener("keydown", (event) => {
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      event.preventDefault();
      choose(at + (event.key === "ArrowDown" ? 1 : -1));
    } else if (event.key === "Enter") follow(list.children[at]);
  });
  list.addEventListener("mousedown", (event) => event.preventDefault());
  list.addEventListener("click", (event) => follow(event.target.closest("li")));
  box.addEventListener("blur", close);

  // -- keys and menu ----------------------------------------------------------------------------------------------
  const turn = (step) => {
    const next = parts[parts.indexOf(current) + step];
    if (next) location.hash = `#${next.id}`;
  };
  addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "Escape") {
      close();
      box.blur();
      dark();
      root.classList.remove("menu");
      return;
    }
    if (event.target.closest("input, dialog")) return;
    if (event.key === "/") { event.preventDefault(); box.focus(); box.select(); }
    else if (event.key === "?") $("help").showModal();
    else if (event.key === "[") turn(-1);
    else if (event.key === "]") turn(1);
    else if (event.key === "l" || event.key === "L") lightFrom(document.activeElement);
  });
  $("keys").addEventListener("click", () => $("help").showModal());
  $("menu").addEventListener("click", () => {
    const open = root.classList.toggle("menu");
    $("menu").setAttribute("aria-expanded", String(open));
  });
  $("main").addEventListener("click", () => root.classList.remove("menu"));

  go(false);
})();
