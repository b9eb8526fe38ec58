// Keys, the help that lists them, and the contents as a drawer on a narrow screen.
const help = $("help");
const menu = (open) => {
  root.classList.toggle("menu", open);
  $("menu").setAttribute("aria-expanded", String(open));
  if (open) document.querySelector("nav [aria-current]")?.focus();
};
// The browser would go to its button, at the foot.
const open = () => {
  help.showModal();
  $("help-title").focus();
};

on("start", () => {
  const rows = keys.map(({ names, words }) => make("div", {},
    make("dt", {}, ...names.flatMap((name, index) => [index ? " " : "", make("kbd", { textContent: name })])),
    make("dd", { textContent: words })));
  $("key-list").prepend(...rows);
});
addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || help.open) return;
  if (event.key === "Escape") {
    const menuOpen = root.classList.contains("menu");
    menu(false);
    if (menuOpen) $("menu").focus();
    else tell("clear");
  } else if (!event.target.closest("input")) {
    const found = keys.find(({ names }) => names.includes(event.key) || names.includes(event.key.toUpperCase()));
    if (found) { event.preventDefault(); found.does(); }
  }
});
$("keys").addEventListener("click", open);
$("menu").addEventListener("click", () => menu(!root.classList.contains("menu")));
$("main").addEventListener("click", () => menu(false));
on("arrive", () => menu(false));
key(["?"], "this list", open);
