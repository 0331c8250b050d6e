// What the look asks of every page, found out in the page itself: each question gives back what breaks it, in words. The
// numbers are the look's own (targets 48 px, at the bench 56, 8 px between; lines 2 and 1 px; no text in a drawing below 11 px);
// what it says nothing of stands beside its question.

/** Runs in the page: puts the questions where `page.evaluate` finds them. */
export function questions() {
  const shown = (e) => e.checkVisibility({ checkVisibilityCSS: true, contentVisibilityAuto: true });
  const words = (e) => {
    const said = (e.getAttribute("aria-label") || e.textContent || e.getAttribute("name") || "").trim().replace(/\s+/g, " ").slice(0, 40);
    return `${e.tagName.toLowerCase()}${e.id ? `#${e.id}` : ""}${e.classList.length ? `.${[...e.classList].join(".")}` : ""}${e.name ? `[${e.name}]` : ""} “${said}”`;
  };
  const round = (v) => Math.round(v * 10) / 10;

  // ---- sideways --------------------------------------------------------------------------------------------------
  /** What sticks out of the window; a box of its own that scrolls (`.scroll`) may hold what is wider. */
  function sideways() {
    const out = [];
    const wide = document.documentElement.scrollWidth;
    if (wide > innerWidth) out.push(`the page is ${wide} px wide`);
    for (const e of document.querySelectorAll("body *")) {
      if (!shown(e) || e.closest(".scroll,svg,.visually-hidden,.skip")) continue;
      const r = e.getBoundingClientRect();
      if (r.width > 0 && (r.right > innerWidth + 1 || r.left < -1)) out.push(`${words(e)} reaches from ${round(r.left)} to ${round(r.right)} px`);
    }
    return out;
  }

  // ---- targets ---------------------------------------------------------------------------------------------------
  const TARGETS = "a[href],button,input:not([type=hidden]),select,textarea,summary,[role=button],[role=slider]";
  /** The box that takes the finger: a tick's or a field's whole label, a link's row where it is stretched over it. */
  function finger(e) {
    const boxes = [e.getBoundingClientRect()];
    if (e.matches("input[type=checkbox],input[type=radio]")) { const label = e.closest("label"); if (label) boxes.push(label.getBoundingClientRect()); }
    // A link or a tap of an SVG group is as large as what it draws, and what is drawn for the finger alone counts.
    const over = getComputedStyle(e, "::after");
    if (over.content !== "none" && over.position === "absolute" && over.inset === "0px") {
      let p = e.parentElement; while (p && getComputedStyle(p).position === "static") p = p.parentElement;
      if (p) boxes.push(p.getBoundingClientRect());
    }
    const left = Math.min(...boxes.map((b) => b.left)), top = Math.min(...boxes.map((b) => b.top));
    return { e, left, top, right: Math.max(...boxes.map((b) => b.right)), bottom: Math.max(...boxes.map((b) => b.bottom)) };
  }
  /** A link within a sentence is as high as its line (WCAG 2.2, 2.5.8, "Inline"). */
  function inText(e) {
    if (e.tagName !== "A" || getComputedStyle(e).display !== "inline") return false;
    const block = e.parentElement;
    return [...block.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim().length > 2) || !!block.closest("p,dd,figcaption,td p");
  }
  /** On a picture of the instrument a tube is as thin as it is; each stands in a list below it with a row of its own
   *  (WCAG 2.2, 2.5.8, "Equivalent"). */
  const onThePicture = (e) => !!e.closest("svg.lie");
  /** A number of a dent lies where the dent is, "essential" in WCAG's words; its circle is for a fingertip, no two cover each
   *  other (`rings` below), and every dent stands in a list with a row of its own. */
  const numberOfADent = (e) => !!e.closest("svg g.dents");
  /** Left out by WCAG and here: what the browser draws (the marks of a date field), and what cannot be tapped. */
  function targets() {
    return [...document.querySelectorAll(TARGETS)].filter((e) => shown(e) && !e.disabled && !e.closest(".visually-hidden,.skip,[inert]") && !inText(e) && !onThePicture(e) && !numberOfADent(e)).map(finger).filter((b) => b.right > b.left);
  }
  function small() {
    const out = [];
    for (const b of targets()) {
      const least = b.e.closest(".steps,.step-foot,#work.over .foot") ? 56 : 48;
      const [w, h] = [b.right - b.left, b.bottom - b.top];
      if (h < least - 0.5 || w < Math.min(48, least) - 0.5) out.push(`${words(b.e)} is ${round(w)} × ${round(h)} px, not ${least}`);
    }
    return out;
  }
  /** Two targets side by side: 8 px between them, or so large that a finger in the middle of one is as far from the other as it
   *  would be then. Parts of one thing are told apart by a line and share it: the two sides of a switch, the rows of a list. */
  const stays = (e) => { for (let p = e; p; p = p.parentElement) if (["sticky", "fixed"].includes(getComputedStyle(p).position)) return p; return null; };
  function close() {
    const out = [], all = targets();
    for (let i = 0; i < all.length; i++) for (let j = 0; j < i; j++) {
      const [a, b] = [all[i], all[j]];
      const gx = Math.max(a.left, b.left) - Math.min(a.right, b.right), gy = Math.max(a.top, b.top) - Math.min(a.bottom, b.bottom);
      if (gx >= 7.5 || gy >= 7.5) continue;
      if (a.e.contains(b.e) || b.e.contains(a.e)) continue;
      // What stays at the foot of the window passes over what scrolls below it.
      if (stays(a.e) !== stays(b.e)) continue;
      // One lies on the other: a whole row to tap with a target of its own in it.
      if (gx < -2 && gy < -2) { if (a.e.closest("label") !== b.e.closest("label") || !a.e.closest("label")) out.push(`${words(a.e)} lies over ${words(b.e)}`); continue; }
      // Above each other: rows.
      if (gx < -2 && gy > -2 && a.e.closest("li,tr,summary,nav,.menu,details") !== b.e.closest("li,tr,summary,nav,.menu,details")) continue;
      if (a.e.closest(".told,.lies") && a.e.parentElement === b.e.parentElement) continue;
      if (a.e.closest("nav") && a.e.closest("nav") === b.e.closest("nav") && a.e.tagName === "A") continue;
      out.push(`${words(a.e)} and ${words(b.e)} are ${round(Math.max(gx, gy))} px apart`);
    }
    return out;
  }

  // ---- drawings --------------------------------------------------------------------------------------------------
  /** Drawings that carry something to read: not the codes to scan, nor what a customer draws. */
  const drawings = () => [...document.querySelectorAll("svg")].filter((s) => shown(s) && !s.closest("#signature,.qr,.label,.visually-hidden") && s.getBoundingClientRect().width > 30 && !s.parentElement.closest("svg"));
  const seen = (e) => e.getClientRects().length > 0 && getComputedStyle(e).visibility !== "hidden" && e.closest("defs,clipPath,mask,marker,pattern") === null;
  const times = (e) => { const m = e.getScreenCTM(); return m ? [Math.hypot(m.a, m.b), Math.hypot(m.c, m.d)] : [1, 1]; };
  function smallPrint(svg, of) {
    const out = [];
    for (const t of svg.querySelectorAll("text")) {
      if (!seen(t) || !t.textContent.trim()) continue;
      const px = Math.min(...[t, ...t.querySelectorAll("tspan")].map((e) => parseFloat(getComputedStyle(e).fontSize))) * Math.min(...times(t));
      if (px < 10.95) out.push(`${of}: “${t.textContent.trim().slice(0, 30)}” is ${round(px)} px high`);
    }
    return out;
  }
  function textOverText(svg, of) {
    const out = [];
    // The ink of a line of text is about 0.7 of its box high (ascenders to descenders of the faces used, measured).
    const boxes = [...svg.querySelectorAll("text")].filter((t) => seen(t) && t.textContent.trim()).map((t) => { const r = t.getBoundingClientRect(); return [t, r.left + 1, r.right - 1, r.top + 0.15 * r.height, r.bottom - 0.15 * r.height]; });
    for (let i = 0; i < boxes.length; i++) for (let j = 0; j < i; j++) {
      const [a, al, ar, at, ab] = boxes[i], [b, bl, br, bt, bb] = boxes[j];
      if (Math.min(ar, br) - Math.max(al, bl) > 1 && Math.min(ab, bb) - Math.max(at, bt) > 1) out.push(`${of}: “${a.textContent.trim().slice(0, 20)}” lies over “${b.textContent.trim().slice(0, 20)}”`);
    }
    return out;
  }
  /** The rings that carry numbers: none covers another. */
  function rings(svg, of) {
    const out = [];
    const all = [...svg.querySelectorAll("circle.dot, g.dent circle:not(.finger):not(.ring), circle.balloon")].filter(seen).map((c) => c.getBoundingClientRect()).map((r) => [(r.left + r.right) / 2, (r.top + r.bottom) / 2, r.width / 2]);
    for (let i = 0; i < all.length; i++) for (let j = 0; j < i; j++) {
      const off = Math.hypot(all[i][0] - all[j][0], all[i][1] - all[j][1]);
      if (off < all[i][2] + all[j][2] - 1) out.push(`${of}: two rings are ${round(off)} px apart, with radii of ${round(all[i][2])} and ${round(all[j][2])}`);
    }
    return out;
  }
  /** Lines are 2 or 1 px; where a line's dashes are shorter than it is wide it is a hatching, and its strokes are as wide as the
   *  dashes are long. A drawing at a scale of its own (`free`, from the crate `draw`) is in millimeters: 0.5 and 0.25. */
  function strokes(svg, of, free) {
    const widths = new Map(), mm = new Map();
    for (const e of svg.querySelectorAll("path,line,polyline,polygon,circle,ellipse,rect")) {
      const s = getComputedStyle(e);
      if (!seen(e) || s.stroke === "none" || !parseFloat(s.strokeWidth) || s.strokeOpacity === "0" || s.stroke === "rgba(0, 0, 0, 0)") continue;
      const dash = parseFloat(s.strokeDasharray);
      const w = (dash < parseFloat(s.strokeWidth) ? dash : parseFloat(s.strokeWidth)) * (s.vectorEffect === "non-scaling-stroke" ? 1 : Math.sqrt(times(e)[0] * times(e)[1]));
      // Where a line passes over another, that one is broken by a wider line in the color of the sheet.
      if (free) { if (!/^(#fff(fff)?|white)$/.test(e.getAttribute("stroke"))) mm.set(parseFloat(s.strokeWidth), e); } else widths.set(round(w), e);
    }
    if (free) return [...mm].filter(([w]) => w !== 0.5 && w !== 0.25).map(([w, e]) => `${of}: ${words(e)} has a line of ${w} mm`);
    return [...widths].filter(([w]) => Math.abs(w - 1) > 0.15 && Math.abs(w - 2) > 0.15).map(([w, e]) => `${of}: ${words(e)} has a line of ${w} px`);
  }
  const named = (svg) => `svg.${[...svg.classList].join(".") || svg.closest("figure")?.className || "?"}`;
  const drawn = () => drawings().flatMap((s) => [...smallPrint(s, named(s)), ...textOverText(s, named(s)), ...rings(s, named(s)), ...strokes(s, named(s), !!s.closest("figure.drawing"))]);
  /** Drawings that are pictures: read, laid where they are as large as they are shown, and asked the same. */
  async function pictures() {
    const out = [];
    for (const img of document.querySelectorAll("figure.drawing img")) {
      if (!shown(img)) continue;
      img.loading = "eager";
      await img.decode().catch(() => {});
      const text = await fetch(img.src).then((r) => (r.headers.get("content-type")?.includes("svg") ? r.text() : ""));
      if (!text) continue;
      const svg = new DOMParser().parseFromString(text, "image/svg+xml").documentElement, r = img.getBoundingClientRect();
      const [, , w, h] = svg.getAttribute("viewBox").split(/[ ,]+/).map(Number), k = Math.min(r.width / w, r.height / h);
      const box = document.createElement("div");
      box.style.cssText = "position:absolute;left:0;top:0;visibility:visible";
      svg.setAttribute("width", k * w); svg.setAttribute("height", k * h); svg.style.cssText = "max-width:none;max-height:none";
      box.attachShadow({ mode: "open" }).append(document.adoptNode(svg));
      document.body.append(box);
      const of = img.alt.slice(0, 30) || "a drawing";
      out.push(...smallPrint(svg, of), ...textOverText(svg, of), ...rings(svg, of), ...strokes(svg, of, true));
      box.remove();
    }
    return out;
  }

  // ---- tokens ----------------------------------------------------------------------------------------------------
  /** Contrast of two colors as WCAG 2.2 defines it: (L1 + 0.05) / (L2 + 0.05). */
  function contrast(a, b) {
    const light = (c) => { const [r, g, b] = c.match(/\w\w/g).map((v) => parseInt(v, 16) / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
    const [x, y] = [light(a), light(b)].sort((p, q) => q - p);
    return (x + 0.05) / (y + 0.05);
  }
  function tokens() {
    const style = getComputedStyle(document.documentElement), of = (name) => style.getPropertyValue(`--${name}`).trim().replace("#", "");
    const wanted = [];
    for (const on of ["ground", "sheet"]) {
      for (const text of ["ink", "soft", "caution", "stop", "done"]) wanted.push([text, on, 4.5]);
      for (const edge of ["edge", "brass-edge"]) wanted.push([edge, on, 3]);
    }
    wanted.push(["ink", "brass", 4.5], ["brass-edge", "brass", 3]);
    for (const n of [1, 2, 3, 4, 5]) wanted.push([`on-depth-${n}`, `depth-${n}`, 4.5]);
    const out = [];
    for (const [a, b, least] of wanted) { const c = contrast(of(a), of(b)); if (!(c >= least)) out.push(`${a} on ${b}: ${round(c)}, not ${least}`); }
    // The steps of depth are even in lightness: each lighter (in the dark: darker) than the next by a like amount.
    return out;
  }

  globalThis.Look = { sideways, small, close, drawn, pictures, tokens, contrast };
}
