// A sheet under the hand: larger and smaller about the pointer, drawn along, fitted to the window.
// The drawing's width in pixels is its scale; the paper around it scrolls.
const STEP = 1.25;
const LEAST = 0.25;
const MOST = 8;

const paperOf = (view) => view?.querySelector(":scope > .sheet .paper");
const here = () => paperOf(pack.view());
pack.paper = here;
const inner = (paper) => {
  const { paddingLeft, paddingRight, paddingTop, paddingBottom } = getComputedStyle(paper);
  return {
    width: paper.clientWidth - parseFloat(paddingLeft) - parseFloat(paddingRight),
    height: parseFloat(getComputedStyle(paper).maxHeight) - parseFloat(paddingTop) - parseFloat(paddingBottom) - 2,
  };
};
const size = (svg) => svg.viewBox.baseVal;
const scaleOf = (svg) => svg.getBoundingClientRect().width / size(svg).width;

// Papers whose drawing was fitted to the window and not changed since: how, and to which width.
const fits = new WeakMap();

// Sets the scale (pixels a unit); the spot (x, y) of the window stays where it is.
const zoom = (paper, scale, x, y) => {
  const svg = paper.querySelector("svg");
  const before = svg.getBoundingClientRect();
  const middle = paper.getBoundingClientRect();
  const [cx, cy] = [x ?? middle.x + middle.width / 2, y ?? middle.y + middle.height / 2];
  const [fx, fy] = [(cx - before.x) / before.width, (cy - before.y) / before.height];
  svg.style.width = `${size(svg).width * Math.min(MOST, Math.max(LEAST, scale))}px`;
  fits.delete(paper);
  const after = svg.getBoundingClientRect();
  paper.scrollLeft += after.x + fx * after.width - cx;
  paper.scrollTop += after.y + fy * after.height - cy;
};
const by = (factor) => () => { const paper = here(); if (paper) zoom(paper, scaleOf(paper.querySelector("svg")) * factor); };
const fitWidth = (paper) => zoom(paper, inner(paper).width / size(paper.querySelector("svg")).width);
const fitWhole = (paper) => {
  const room = inner(paper);
  const { width, height } = size(paper.querySelector("svg"));
  zoom(paper, Math.min(room.width / width, room.height / height));
};
// The smallest text of a sheet is never opened at less than its printed size.
const fitFirst = (paper) => zoom(paper, Math.max(1, inner(paper).width / size(paper.querySelector("svg")).width));
const fitNow = (paper, fit) => {
  fit(paper);
  fits.set(paper, { fit, width: paper.clientWidth });
};
const fitted = (fit) => () => { const paper = here(); if (paper) fitNow(paper, fit); };
// A phone was turned, a window pulled wider.
const fitAgain = (paper) => {
  const last = fits.get(paper);
  if (last && last.width !== paper.clientWidth) fitNow(paper, last.fit);
};

const TOOLS = [
  ["−", "Smaller", by(1 / STEP)], ["+", "Larger", by(STEP)],
  ["Fit width", "", fitted(fitWidth)], ["Whole sheet", "", fitted(fitWhole)],
];
// A sheet that is larger than its window opens where its drawing begins, not on an empty corner.
const toContent = (paper) => {
  const room = paper.getBoundingClientRect();
  const drawn = all("svg > g:not(.frame)", paper).map((part) => part.getBoundingClientRect());
  const least = (side) => Math.min(...drawn.map((box) => box[side])) - room[side] - 12;
  paper.scrollTo(paper.scrollLeft + least("left"), paper.scrollTop + least("top"));
};
// The paper takes what is left of the window by what stands above it.
const settle = (paper) => {
  paper.style.setProperty("--above", `${Math.ceil(paper.getBoundingClientRect().top + scrollY)}px`);
};
addEventListener("resize", () => {
  if (!here()) return;
  settle(here());
  fitAgain(here());
});

const ready = new WeakSet();
const prepare = (view, paper) => {
  if (ready.has(paper)) return;
  ready.add(paper);
  view.querySelector("h3").after(make("div", { className: "tools" }, ...TOOLS.map(([text, label, does]) => {
    const button = make("button", { type: "button", textContent: text, title: label });
    if (label) button.setAttribute("aria-label", label);
    button.addEventListener("click", does);
    return button;
  })));
  settle(paper);
  fitNow(paper, fitFirst);
  toContent(paper);
  paper.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    zoom(paper, scaleOf(paper.querySelector("svg")) * Math.exp(-event.deltaY / 300), event.clientX, event.clientY);
  }, { passive: false });
  drag(paper);
  pinch(paper);
};

const drag = (paper) => {
  let from = null;
  let moved = false;
  paper.addEventListener("pointerdown", (event) => {
    if (event.pointerType === "mouse" && event.button === 0) {
      from = { x: event.clientX, y: event.clientY, left: paper.scrollLeft, top: paper.scrollTop };
      moved = false;
    }
  });
  paper.addEventListener("pointermove", (event) => {
    if (!from) return;
    const [dx, dy] = [event.clientX - from.x, event.clientY - from.y];
    if (!moved && Math.hypot(dx, dy) < 5) return;
    if (!moved) paper.setPointerCapture(event.pointerId);
    moved = true;
    paper.classList.add("held");
    paper.scrollTo(from.left - dx, from.top - dy);
  });
  for (const end of ["pointerup", "pointercancel"]) {
    paper.addEventListener(end, () => { from = null; paper.classList.remove("held"); });
  }
  // The click that ends a drag chooses nothing.
  paper.addEventListener("click", (event) => { if (moved) { event.stopPropagation(); moved = false; } }, true);
  paper.addEventListener("dragstart", (event) => event.preventDefault());
};

const pinch = (paper) => {
  let start = null;
  const spread = ([a, b]) => Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
  paper.addEventListener("touchmove", (event) => {
    if (event.touches.length !== 2) return;
    event.preventDefault();
    const [a, b] = event.touches;
    start ??= { spread: spread(event.touches), scale: scaleOf(paper.querySelector("svg")) };
    const [x, y] = [(a.clientX + b.clientX) / 2, (a.clientY + b.clientY) / 2];
    zoom(paper, start.scale * spread(event.touches) / start.spread, x, y);
  }, { passive: false });
  for (const end of ["touchend", "touchcancel"]) paper.addEventListener(end, () => { start = null; });
};

on("arrive", (view, target, within, from, focus) => {
  const paper = paperOf(view);
  if (!paper) return;
  prepare(view, paper);
  settle(paper);
  fitAgain(paper);
  if (focus) paper.focus({ preventScroll: true });
});
key(["+", "="], "sheet larger", by(STEP));
key(["-"], "sheet smaller", by(1 / STEP));
key(["0"], "sheet as wide as the window", fitted(fitWidth));
key(["W"], "whole sheet", fitted(fitWhole));
