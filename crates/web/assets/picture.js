// The survey's picture and the opened tube's strip: which place of which tube a tap means, where a dent's number stands so that
// none covers another, how large a dent is drawn. It knows places and sizes, not what a dent is.
"use strict";
globalThis.Picture = (() => {
  const NS = "http://www.w3.org/2000/svg";
  const make = (tag, attributes, words) => {
    const e = document.createElementNS(NS, tag);
    for (const [k, v] of Object.entries(attributes)) e.setAttribute(k, v);
    if (words !== undefined) e.textContent = words;
    return e;
  };
  const clamp = (v, low, high) => Math.min(high, Math.max(low, v));
  const numbers = new WeakMap();
  /** The way round a tube at a part (0 to 1) of its length, mm. */
  function girth(e, part) {
    if (!numbers.has(e)) numbers.set(e, e.dataset.girths.split(",").map(Number));
    const all = numbers.get(e), at = clamp(part, 0, 1) * (all.length - 1), i = Math.min(all.length - 2, Math.floor(at));
    return all[i] + (all[i + 1] - all[i]) * (at - i);
  }

  /** Numbers set apart as on the plan's map (view/spread.rs): each as near its place as it can. */
  function spread(places, apart, box) {
    const at = places.map((p) => [...p]);
    for (let round = 0; round < 2400; round++) {
      let moved = false;
      if (round < 400) at.forEach((p, i) => { p[0] += 0.05 * (places[i][0] - p[0]); p[1] += 0.05 * (places[i][1] - p[1]); });
      for (let i = 0; i < at.length; i++) for (let j = 0; j < i; j++) {
        const dx = at[i][0] - at[j][0], dy = at[i][1] - at[j][1], d = Math.hypot(dx, dy);
        if (d >= apart) continue;
        moved = true;
        const [ux, uy] = d > 1e-9 ? [dx / d, dy / d] : [Math.cos(2.4 * i), Math.sin(2.4 * i)], push = 0.5 * (apart - d) + 1e-3 * apart;
        at[i][0] += push * ux; at[i][1] += push * uy; at[j][0] -= push * ux; at[j][1] -= push * uy;
      }
      if (box) for (const p of at) { p[0] = clamp(p[0], box.x, box.x + box.width); p[1] = clamp(p[1], box.y, box.y + box.height); }
      if (!moved) break;
    }
    return at;
  }

  /** Step of a depth on the scale of colors: below 1, 2, 4, 8 mm and above; the middle where it is not known. */
  const depthStep = (mm) => (mm == null ? 3 : 1 + [1, 2, 4, 8].filter((edge) => mm >= edge).length);

  /** Millimeters that a text says: 3 mm, about 3 mm, 3 to 5 mm, 1/8 in, 1 1/4 in; none where it is not that plain. */
  function mm(text, unit) {
    const m = /^\s*(?:about\s+)?([\d.,/ ]+?)(?:\s*(?:to|-|–)\s*([\d.,/ ]+?))?\s*(mm|in|")?\s*$/.exec(text || "");
    if (!m) return null;
    const one = (s) => s.trim().split(/\s+/).reduce((sum, part) => { const [a, b] = part.replace(",", ".").split("/"); return sum + Number(a) / (b === undefined ? 1 : Number(b)); }, 0);
    const value = m[2] ? (one(m[1]) + one(m[2])) / 2 : one(m[1]);
    return Number.isFinite(value) ? value * ((m[3] || unit) === "mm" ? 1 : 25.4) : null;
  }

  // ---- the map ---------------------------------------------------------------------------------------------------
  const axes = (svg) => [...svg.querySelectorAll(".axis[data-run]")];
  const scale = (svg) => { const m = svg.getScreenCTM(); return m ? Math.hypot(m.a, m.b) : 1; };
  function here(svg, x, y) { return new DOMPoint(x, y).matrixTransform(svg.getScreenCTM().inverse()); }
  /** The direction of an axis at a place along it, and its side towards 12 o'clock: to the right of the way in which the air
   *  takes it. A tube that is entered by its other end is drawn the other way round, and so is its side. */
  function frame(axis, along) {
    const all = axis.getTotalLength(), a = axis.getPointAtLength(clamp(along - 0.5, 0, all)), b = axis.getPointAtLength(clamp(along + 0.5, 0, all));
    const l = Math.hypot(b.x - a.x, b.y - a.y) || 1, t = [(b.x - a.x) / l, (b.y - a.y) / l];
    return { side: [-t[1], t[0]].map((v) => v * Number(axis.dataset.side || 1)) };
  }
  /** The nearest place of a tube to a point of the screen: its run, distance from the mouthpiece end and clock; none where the
   *  finger is further from every tube than `beside` pixels. */
  function tapped(svg, clientX, clientY, beside = 20) {
    const p = here(svg, clientX, clientY), k = scale(svg);
    let best = null;
    for (const axis of axes(svg)) {
      const all = axis.getTotalLength();
      const far = (s) => { const q = axis.getPointAtLength(s); return Math.hypot(q.x - p.x, q.y - p.y); };
      let at = 0, least = Infinity;
      const steps = Math.max(24, Math.ceil(all / 8));
      for (let i = 0; i <= steps; i++) { const d = far((i / steps) * all); if (d < least) { least = d; at = (i / steps) * all; } }
      for (let step = all / steps / 2; step > 0.05; step /= 2) for (const s of [at - step, at + step]) { const d = s >= 0 && s <= all ? far(s) : Infinity; if (d < least) { least = d; at = s; } }
      const half = girth(axis, at / all) / (2 * Math.PI), over = Math.max(0, least - half);
      // On several tubes at once, the one whose middle is nearest for its width.
      const rank = over > 0 ? 1 + over : least / half;
      if (over * k <= beside && (!best || rank < best.rank)) best = { rank, axis, at, all, half };
    }
    if (!best) return null;
    const { axis, at, all, half } = best, { side } = frame(axis, at), q = axis.getPointAtLength(at);
    const up = clamp(((p.x - q.x) * side[0] + (p.y - q.y) * side[1]) / half, -1, 1);
    // The side that faces the viewer is that of 9 o'clock: clockwise, looking from the mouthpiece end.
    const round = (Math.acos(up) * 180) / Math.PI, clock = axis.dataset.side ? round : (360 - round) % 360;
    return { run: axis.dataset.run, at_mm: (at / all) * Number(axis.dataset.length), clock_deg: clock };
  }
  /** Where a place of a tube is on the map; none where the map does not show the tube. */
  function onMap(svg, run, at_mm, clock_deg) {
    const axis = svg.querySelector(`.axis[data-run="${CSS.escape(run)}"]`);
    if (!axis) return null;
    const part = at_mm == null ? 0.5 : clamp(at_mm / Number(axis.dataset.length), 0, 1), along = part * axis.getTotalLength();
    const q = axis.getPointAtLength(along), { side } = frame(axis, along), off = (0.8 * girth(axis, part)) / (2 * Math.PI) * Math.cos(((clock_deg ?? 270) * Math.PI) / 180);
    return [q.x + off * side[0], q.y + off * side[1]];
  }

  return { NS, make, spread, depthStep, mm, tapped, onMap, girth, scale, here };
})();
