// Column heads stay under the bar while one reads down a table. One that is wider than its room scrolls sideways in a
// box that nothing can stick out of: there the style moves the head along, as far as the table is high.
const watch = new ResizeObserver((changes) => {
  const sizes = changes.map(({ target }) => [
    target, target.scrollWidth <= target.clientWidth, target.offsetHeight, target.querySelector("thead").offsetHeight]);
  for (const [box, fits, high, head] of sizes) {
    box.classList.toggle("fits", fits);
    box.style.setProperty("--head", `${head}px`);
    box.style.setProperty("--way", `${high - head}px`);
  }
});
all(".wide").forEach((box) => watch.observe(box));
