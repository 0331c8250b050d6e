// Braces, guards and ferrules found by where they are: a tap on the picture, in its third way, or a line of the list opens the
// tube and the sheet of what is soldered on there. The sheets themselves: sheets.js.
"use strict";
(() => {
  const root = document.getElementById("survey"), map = document.querySelector("svg.lie");
  if (!root) return;
  const P = globalThis.Picture, parts = JSON.parse(document.getElementById("survey-data").textContent).parts;
  const finding = () => document.querySelector("[name=tap-does]:checked")?.value === "part";

  function open(part) {
    if (!root.tubes?.size) return false;
    root.openTube(part.run);
    const sheet = document.getElementById(part.sheet);
    if (!sheet) return false;
    sheet.open = true;
    const summary = sheet.querySelector("summary");
    summary.focus({ preventScroll: true });
    sheet.scrollIntoView({ block: "start" });
    return true;
  }
  document.addEventListener("click", (e) => {
    const a = e.target.closest("a[data-sheet]");
    if (a && open(a.dataset)) e.preventDefault();
  });
  if (!map) return;

  // Each is marked where it sits; the marks stand on the picture only while they are looked for.
  const g = P.make("g", { class: "parts" });
  map.append(g);
  const places = () => parts.map((part, i) => [i, P.onMap(map, part.run, part.at_mm, part.clock_deg)]).filter(([, at]) => at);
  function marks() {
    map.classList.toggle("finding", finding());
    if (!finding()) { g.replaceChildren(); return; }
    const r = 7 / (P.scale(map) || 1);
    g.replaceChildren(...places().map(([i, [x, y]]) => { const mark = P.make("path", { class: "part", d: `M${x} ${y - r}L${x + r} ${y}L${x} ${y + r}L${x - r} ${y}Z` }); mark.append(P.make("title", {}, parts[i].name)); return mark; }));
  }
  document.querySelectorAll("[name=tap-does]").forEach((way) => way.addEventListener("change", marks));
  addEventListener("resize", marks);
  /** The nearest within a fingertip of a place on the picture is opened. */
  root.findPart = (p) => {
    const finger = 28 / (P.scale(map) || 1);
    const [near] = places().map(([i, [x, y]]) => [i, Math.hypot(x - p.x, y - p.y)]).filter(([, off]) => off <= finger).sort((a, b) => a[1] - b[1]);
    if (near) open(parts[near[0]]);
  };
})();
