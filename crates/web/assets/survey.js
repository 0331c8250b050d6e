// The survey page: tap the picture or the opened tube to set a dent, type or step its measurements. What is typed is kept on
// this tablet until the shop's record has it, whatever happens to the tab or the network. Places and sizes: picture.js.
"use strict";
(() => {
  const root = document.getElementById("survey");
  if (!root) return;
  const job = root.dataset.job;
  const csrf = document.querySelector("meta[name=csrf]").content;
  const shelf = tablet.shelf("survey", job);
  const readOnly = root.dataset.readonly === "yes";
  const net = document.getElementById("net");
  const editor = document.getElementById("editor");
  const page = JSON.parse(document.getElementById("survey-data").textContent);
  const FIELDS = page.fields; // the keys of the form, from the program's own table of a dent's fields
  let removed = new Map(); // taken out, and to be brought back: name -> dent
  let dents = new Map(); // local id -> {name, version, form, run, ...fields, at_mm, clock_deg (of the mark), dirty, warnings, gone}
  let chosen = null;
  let sending = false;
  // The tablet's unit; the buttons' own switch changes it for the quick buttons alone, until the page is left.
  const told = root.dataset.units;
  let units = told;
  const perUnit = told === "in" ? 25.4 : 1;
  // A tap says a place in the tablet's unit.
  const station = (mm) => `${Number((mm / perUnit).toFixed(told === "in" ? 3 : 2))} ${told}`;

  const text = (tag, words, cls) => { const e = document.createElement(tag); e.textContent = words; if (cls) e.className = cls; return e; };
  const uid = () => "n" + Date.now().toString(36) + Math.random().toString(36).slice(2, 8);

  // ---- what waits on this tablet -------------------------------------------------------------------------------
  function keep() {
    const waiting = [...dents.entries()].filter(([, d]) => d.dirty || d.draft);
    if (waiting.length) localStorage.setItem(shelf, JSON.stringify(waiting));
    else localStorage.removeItem(shelf);
    tell();
  }
  function tell(trouble) {
    const n = [...dents.values()].filter((d) => d.dirty && !d.draft).length;
    net.textContent = trouble && n ? `${n} ${n === 1 ? "dent is" : "dents are"} kept on this tablet and not yet in the shop's record: ${trouble}` : "";
    root.dataset.waiting = String(n);
  }
  function load() {
    dents = new Map(page.dents.map((d) => [d.name, d]));
    removed = new Map(page.removed.map((d) => [d.name, d]));
    let kept = [];
    try { kept = JSON.parse(localStorage.getItem(shelf) || "[]"); } catch { kept = []; }
    for (const [id, d] of kept) dents.set(d.name || id, d);
    tell();
  }

  // ---- saving ---------------------------------------------------------------------------------------------------
  let timer = null;
  function touch(d) {
    d.dirty = (d.dirty || 0) + 1;
    keep();
    clearTimeout(timer);
    timer = setTimeout(send, 350);
  }
  async function post(path, body) {
    const stop = new AbortController();
    const late = setTimeout(() => stop.abort(), 8000);
    try {
      return await fetch(path, { method: "POST", headers: { "content-type": "application/json", accept: "application/json", "x-csrf": csrf }, body: JSON.stringify(body), signal: stop.signal });
    } finally { clearTimeout(late); }
  }
  async function send() {
    if (sending || readOnly) return;
    sending = true;
    let trouble = null;
    try {
      for (const [id, d] of [...dents.entries()]) {
        if (!d.dirty || d.draft) continue;
        const mark = d.dirty;
        // Each save has a mark: sent again after a lost answer, the record answers as it did and writes nothing. What was said of
        // the dent since then is another save, after those that have no answer.
        if (d.markOf !== mark) { if (d.mark) d.after = [...(d.after || []), d.mark].slice(-20); d.mark = uid(); d.markOf = mark; keep(); }
        const body = { name: d.name || null, token: d.token || null, mark: d.mark, after: d.after || [], from: d.version || 0, run: d.run, gone: !!d.gone };
        // What an older page of this tablet could not send goes as that page would have sent it.
        if (d.form) { body.form = d.form; body.unit = d.unit || told; for (const f of FIELDS) body[f] = d[f] || ""; }
        else for (const f of ["at_mm", "clock_deg", "depth", "along", "across", "edge", "wall", "hardness", "crease", "crack", "pushed", "note", "repair"]) body[f] = d[f] ?? "";
        const answer = await post(`/jobs/${job}/survey/dents`, body);
        if (answer.status === 409 || answer.ok || answer.status === 422) { delete d.mark; delete d.markOf; if (answer.status !== 422) delete d.after; }
        if (answer.status === 409) { const other = await answer.json(); clash(id, d, other); continue; }
        if (answer.status === 401 || answer.status === 403) { trouble = "sign in again, in another tab; nothing is lost"; break; }
        if (!answer.ok) { const p = await answer.json().catch(() => ({})); d.warnings = p.problems || [{ field: "", words: "the record refused it" }]; if (answer.status < 500) { d.refused = mark; if (d.dirty === mark) { keep(); show(id); continue; } } trouble = "the shop's machine has trouble"; break; }
        const saved = await answer.json();
        if (d.gone) { dents.delete(id); if (d.name) removed.set(d.name, d); d.gone = false; d.dirty = 0; if (chosen === id) choose(null); }
        else {
          d.version = saved.version; d.warnings = saved.warnings || []; d.says = saved.says || "";
          if (saved.dent) {
            // The mark stands where the place was read; the words stay as they are typed here.
            for (const f of ["at_mm", "clock_deg", "depth_mm", "along_mm", "across_mm", "crack_likelihood"]) d[f] = saved.dent[f];
            if (!d.form) { for (const f of FIELDS) d[f] = saved.dent[f] || ""; d.form = saved.dent.form; }
          }
          if (d.dirty === mark) d.dirty = 0;
          removed.delete(saved.name);
          document.dispatchEvent(new Event("dent-saved"));
          if (!d.name) { d.name = saved.name; dents.delete(id); dents.set(saved.name, d); if (chosen === id) chosen = saved.name; }
          if (chosen === d.name) { warn(d); entitle(d); hand(d); }
        }
        keep();
        marks();
      }
    } catch { trouble = "the network is away; it will be sent as soon as it is back"; }
    sending = false;
    keep();
    tell(trouble);
    const waiting = [...dents.values()].some((d) => d.dirty && !d.draft && d.refused !== d.dirty);
    if (waiting) setTimeout(send, trouble ? 2500 : 50);
  }
  function clash(id, mine, other) {
    // Somebody else saved this dent in between: show both, let the person choose.
    mine.clash = other;
    mine.refused = mine.dirty;
    choose(id);
  }
  addEventListener("online", send);
  addEventListener("beforeunload", keep);

  // ---- the picture and the opened tube ---------------------------------------------------------------------------
  const P = globalThis.Picture, map = document.querySelector("svg.lie"), tube = document.getElementById("tube");
  const number = (d) => (d.name || (d.draft ? "?" : "+")).replace(/^d/, "");
  const look = (id, d) => (id === chosen ? " chosen" : "") + (d.dirty || d.draft ? " waiting" : "");
  const mmOf = (d, f) => d[`${f}_mm`] ?? P.mm(d[f], d.unit || told);
  let onThePicture = []; // [id, x, y, radius] of the numbers, in parts of the picture
  function marks() {
    drawMap();
    drawStrip();
    const list = document.getElementById("dent-list");
    list.replaceChildren(...[...dents.entries()].filter(([, d]) => !d.gone).map(([id, d]) => {
      const b = text("button", `${d.name || "new"} · ${runName(d.run)} · ${d.depth || "depth not measured"}`, "quiet");
      b.type = "button"; b.addEventListener("click", () => { choose(id); focusEditor(); });
      const li = document.createElement("li"); li.append(b); if (d.draft) li.append(text("span", " draft", "soft small")); else if (d.dirty) li.append(text("span", " waits", "soft small")); return li;
    }));
    bringBack();
    document.getElementById("dent-count").textContent = String([...dents.values()].filter((d) => !d.gone && !d.draft).length);
  }
  // The numbers on the picture, set apart; the darker, the deeper.
  function drawMap() {
    if (!map) return;
    const k = P.scale(map) || 1, r = (map.getBoundingClientRect().width < 560 ? 11 : 13) / k, box = map.viewBox.baseVal;
    const all = [...dents].filter(([, d]) => !d.gone).map(([id, d]) => [id, d, P.onMap(map, d.run, d.at_mm, d.clock_deg)]).filter(([, , at]) => at);
    const at = P.spread(all.map((a) => a[2]), 2.2 * r, { x: box.x + r, y: box.y + r, width: box.width - 2 * r, height: box.height - 2 * r });
    const g = map.querySelector("g.dents"), leaders = [], dots = [];
    onThePicture = all.map(([id, d, [x, y]], i) => {
      const [nx, ny] = at[i], step = P.depthStep(mmOf(d, "depth"));
      if (Math.hypot(nx - x, ny - y) > 0.6 * r) leaders.push(P.make("line", { class: "leader", x1: x, y1: y, x2: nx, y2: ny }), P.make("circle", { class: "place", cx: x, cy: y, r: 0.25 * r }));
      // The one that is open wears a second ring.
      if (id === chosen) dots.push(P.make("circle", { class: "ring", cx: nx, cy: ny, r: 1.2 * r + 4 / k }));
      dots.push(P.make("circle", { class: `dot depth-${step}${look(id, d)}`, cx: nx, cy: ny, r: id === chosen ? 1.2 * r : r }), P.make("text", { class: `on-${step}`, x: nx, y: ny, "font-size": 1.15 * r }, number(d)));
      return [id, nx, ny, r];
    });
    g.replaceChildren(...leaders, ...dots);
  }
  // The dents of the opened tube at true size on its wall, each with its number.
  function drawStrip() {
    const svg = tube.querySelector("svg.strip"), run = svg?.dataset.run;
    if (!svg) return;
    const g = svg.querySelector("g.dents"), box = svg.viewBox.baseVal, length = Number(svg.dataset.length), seen = svg.getBoundingClientRect();
    const kept = document.activeElement?.closest?.("svg.strip g.dent")?.dataset.dent;
    // The strip is stretched to the page; what is said of it is said by its own measure.
    const sx = seen.width / box.width || 1, sy = seen.height / box.height || 1, ratio = sy / sx;
    const words = tube.querySelector(".scale");
    if (words && seen.width) words.textContent = `Dents are drawn at their true size on the tube.${ratio > 1.15 || ratio < 0.87 ? ` Round the tube it is drawn ${ratio > 1 ? `${ratio.toFixed(1)} times as large as along it` : `${(1 / ratio).toFixed(1)} times as small as along it`}.` : " Along and round to one scale."}`;
    const all = [...dents].filter(([, d]) => !d.gone && d.run === run).map(([id, d]) => {
      const x = d.at_mm == null ? box.width / 2 : (Math.min(length, d.at_mm) / length) * box.width, y = d.clock_deg == null ? box.height / 2 : ((d.clock_deg % 360) / 360) * box.height;
      const along = mmOf(d, "along"), across = mmOf(d, "across"), round = P.girth(svg, x / box.width);
      return { id, d, x, y, rx: along ? along / 2 : 0, ry: across ? ((across / round) * box.height) / 2 : 0 };
    });
    const at = P.spread(all.map((a) => [a.x * sx, a.y * sy]), 30, { x: 13, y: 13, width: Math.max(1, seen.width - 26), height: Math.max(1, seen.height - 26) });
    g.replaceChildren(...all.flatMap(({ id, d, x, y, rx, ry }, i) => {
      const step = P.depthStep(mmOf(d, "depth")), [nx, ny] = [at[i][0] / sx, at[i][1] / sy];
      const one = P.make("g", { class: `dent${look(id, d)}`, tabindex: 0, role: "button", "data-dent": id, "aria-label": `Dent ${number(d)} ${d.depth || "depth not measured"}`, transform: `translate(${nx} ${ny}) scale(${1 / sx} ${1 / sy})` });
      one.append(P.make("circle", { r: 15, class: "finger" }), P.make("circle", { r: 13, class: `depth-${step}` }), P.make("text", { class: `on-${step}` }, number(d)));
      if (id === chosen) one.append(P.make("circle", { r: 17, class: "ring" }));
      one.addEventListener("click", (e) => { e.stopPropagation(); choose(id); focusEditor(); });
      one.addEventListener("keydown", (e) => { if (e.key === "Enter" || e.key === " ") { e.preventDefault(); e.stopPropagation(); choose(id); focusEditor(); } });
      return [P.make("ellipse", { class: `size depth-${step}${rx && ry ? "" : " unknown"}`, cx: x, cy: y, rx: rx || 6 / sx, ry: ry || 6 / sy }), ...(Math.hypot(nx * sx - x * sx, ny * sy - y * sy) > 8 ? [P.make("line", { class: "leader", x1: x, y1: y, x2: nx, y2: ny })] : []), one];
    }));
    if (kept) g.querySelector(`[data-dent="${CSS.escape(kept)}"]`)?.focus();
  }
  // What was deleted comes back with its name.
  function bringBack() {
    const gone = [...[...dents.entries()].filter(([, d]) => d.gone && d.name), ...removed.entries()];
    const box = document.getElementById("removed");
    box.hidden = !gone.length || readOnly;
    box.replaceChildren(...gone.map(([id, d]) => {
      const p = text("p", `${d.name} was deleted. `, "small"), b = text("button", "Undo", "plain");
      b.type = "button"; b.setAttribute("aria-label", `Undo deleting ${d.name}`);
      b.addEventListener("click", () => {
        if (removed.delete(d.name)) { d.version = 0; dents.set(d.name, d); }
        d.gone = false; d.form = d.form || page.form;
        touch(d); choose(dents.has(id) ? id : d.name);
      });
      p.append(b); return p;
    }));
  }
  // A place by number: its mark and its words.
  function put(d, f, v) {
    if (f === "at") { d.at_mm = v; d.at = station(v); } else { d.clock_deg = v; d.clock = `${v}°`; }
  }
  function runName(run) { return [...field("run").options].find((o) => o.value === run)?.textContent || run; }
  function set_at(run, at_mm, clock_deg) {
    if (readOnly) return;
    const id = uid();
    const d = { token: id, form: page.form, run, version: 0 };
    put(d, "at", Math.round(at_mm));
    put(d, "clock", (Math.round(clock_deg / 15) * 15) % 360);
    // A tap alone may be a slip: it is a draft on this tablet until something is said of it.
    d.draft = true;
    dents.set(id, d);
    keep();
    choose(id);
    focusEditor();
  }

  // The other tubes wait outside the page: one is opened at a time, and opens without a network.
  const tubes = new Map();
  let opened = tube.querySelector("[data-tube]")?.dataset.tube || null, want = null;
  let asked = 0;
  async function fetchTubes() {
    const mine = ++asked, saved = root.saved || 0;
    try {
      const got = await fetch(`/jobs/${job}/survey/tubes`, { headers: { accept: "text/html" } });
      if (!got.ok) return;
      const fresh = new DOMParser().parseFromString(await got.text(), "text/html");
      // An answer from before a later one, or from before something was saved, would bring old values and old marks back.
      if (mine !== asked) return;
      if (saved !== (root.saved || 0)) { await fetchTubes(); return; }
      for (const one of fresh.querySelectorAll("[data-tube]")) {
        // What somebody may be filling in stays where it is, and is told what the record holds now.
        if (one.dataset.tube === opened && tubes.has(opened)) { root.refresh?.(one); continue; }
        tubes.set(one.dataset.tube, one.dataset.tube === opened ? tube.querySelector("[data-tube]") : document.adoptNode(one));
      }
      if (want) openTube(want);
    } catch { /* as soon as the network is back */ }
  }
  addEventListener("online", () => { if (!tubes.size) fetchTubes(); });
  // For the sheets: what is saved is told to the tubes that wait too; and for who opens one by what sits on it.
  root.tubes = tubes; root.fetchTubes = fetchTubes; root.openTube = (run) => { choose(null); openTube(run); };
  function openTube(run) {
    if (!run || run === opened) return;
    const one = tubes.get(run);
    if (!one) { want = run; return; }
    want = null;
    opened = run;
    tube.replaceChildren(one);
    wire(one);
    drawStrip();
    document.dispatchEvent(new Event("dent-shown"));
  }
  function wire(one) {
    const svg = one.querySelector("svg.strip");
    if (!svg || svg.dataset.wired) return;
    svg.dataset.wired = "yes";
    const place = (x, y) => set_at(svg.dataset.run, x * Number(svg.dataset.length), y * 360);
    svg.addEventListener("click", (e) => { const r = svg.getBoundingClientRect(); place((e.clientX - r.left) / r.width, (e.clientY - r.top) / r.height); });
    svg.addEventListener("keydown", (e) => { if (e.target === svg && (e.key === "Enter" || e.key === " ")) { e.preventDefault(); place(0.5, 0); } });
  }
  const nameTube = () => { const h = tube.querySelector("h2"); h?.focus({ preventScroll: true }); h?.scrollIntoView({ block: "nearest" }); };
  document.querySelectorAll("a[data-open]").forEach((a) => a.addEventListener("click", (e) => { if (!tubes.has(a.dataset.open)) return; e.preventDefault(); choose(null); openTube(a.dataset.open); nameTube(); }));
  const does = document.getElementById("tap-does");
  if (does && map) does.hidden = false;
  if (map) {
    map.addEventListener("click", (e) => {
      const link = e.target.closest("a");
      // By key a link opens its tube; there is no place to it.
      if (e.detail === 0 && link) { const run = new URL(link.getAttribute("href"), location.href).searchParams.get("tube"); if (tubes.has(run)) { e.preventDefault(); choose(null); openTube(run); nameTube(); } return; }
      e.preventDefault();
      const p = P.here(map, e.clientX, e.clientY);
      const does = document.querySelector("[name=tap-does]:checked")?.value;
      if (does === "part") { root.findPart?.(p); return; }
      const near = onThePicture.map(([id, x, y, r]) => [id, Math.hypot(x - p.x, y - p.y), r]).filter(([, off, r]) => off <= 1.2 * r).sort((a, b) => a[1] - b[1])[0];
      if (near) { choose(near[0]); focusEditor(); return; }
      const at = P.tapped(map, e.clientX, e.clientY);
      if (!at) return;
      if (readOnly || does === "tube") { choose(null); openTube(at.run); nameTube(); } else set_at(at.run, at.at_mm, at.clock_deg);
    });
  }

  // ---- where the work is -----------------------------------------------------------------------------------------
  // On a narrow screen the opened tube and the dent's form are a sheet over the page; what is behind it waits.
  const work = document.getElementById("work"), thin = matchMedia("(max-width: 60rem)"), title = document.getElementById("editor-title");
  let from = null;
  function sheet() {
    const on = thin.matches && !!chosen && dents.has(chosen);
    if (on === work.classList.contains("over")) return;
    work.classList.toggle("over", on);
    document.documentElement.classList.toggle("behind", on);
    for (const [k, v] of [["role", "dialog"], ["aria-modal", "true"], ["aria-labelledby", "editor-title"]]) if (on) work.setAttribute(k, v); else work.removeAttribute(k);
    for (let e = work; e && e !== document.body; e = e.parentElement) for (const other of e.parentElement.children) if (other !== e && other.id !== "net" && other.tagName !== "SCRIPT") other.inert = on;
    if (!on && from !== null) { scrollTo(0, from); from = null; }
    drawStrip();
  }
  function focusEditor() {
    if (!chosen) return;
    if (thin.matches) work.scrollTop = 0;
    title.focus({ preventScroll: thin.matches });
  }
  thin.addEventListener("change", () => { sheet(); marks(); });
  function done() { const run = opened; choose(null); if (map) { const link = map.querySelector(`a[href="?tube=${CSS.escape(run || "")}#tube"]`); link?.focus({ preventScroll: true }); } }
  document.getElementById("dent-done").addEventListener("click", done);
  work.addEventListener("keydown", (e) => { if (e.key === "Escape" && work.classList.contains("over")) done(); });

  // ---- the editor -----------------------------------------------------------------------------------------------
  const CHIPS = { mm: { depth: ["1 mm", "2 mm", "3 mm", "4 mm", "6 mm", "8 mm"], along: ["10 mm", "15 mm", "20 mm", "30 mm", "45 mm", "60 mm"], across: ["8 mm", "12 mm", "18 mm", "25 mm", "35 mm", "50 mm"] },
    in: { depth: ["1/32 in", "1/16 in", "3/32 in", "1/8 in", "3/16 in", "1/4 in"], along: ["3/8 in", "1/2 in", "3/4 in", "1 in", "1 1/2 in", "2 in"], across: ["3/8 in", "1/2 in", "3/4 in", "1 in", "1 1/2 in", "2 in"] } };
  function choose(id) {
    if (id && from === null && thin.matches) from = scrollY;
    chosen = id;
    openTube(dents.get(id)?.run);
    marks(); show(id); sheet();
  }
  // From dent to dent without the way over the picture: as they stand in the list, round and round.
  const inTurn = () => [...dents.entries()].filter(([, d]) => !d.gone).map(([id]) => id);
  function nextDent() {
    const all = inTurn(), at = all.indexOf(chosen);
    if (all.length < 2) return;
    choose(all[(at + 1) % all.length]);
    focusEditor();
  }
  document.querySelectorAll("[data-next]").forEach((b) => b.addEventListener("click", nextDent));
  function show(id) {
    if (id !== chosen) return;
    const d = dents.get(id);
    editor.hidden = !d;
    document.getElementById("foot").hidden = !d;
    const others = d ? inTurn().length - 1 : 0;
    document.querySelectorAll("[data-next]").forEach((b) => { b.hidden = others < 1; });
    document.getElementById("no-dent").hidden = !!d;
    if (!d) return;
    for (const f of [...FIELDS, "run"]) {
      const input = field(f);
      if (input && document.activeElement !== input) input.value = d[f] || "";
    }
    // The fields of a crack are asked for once there is one.
    editor.querySelectorAll("[data-of]").forEach((box) => { box.hidden = !there(d, box.dataset.of); });
    editor.querySelectorAll("[data-chips]").forEach((box) => {
      const f = box.dataset.chips;
      box.replaceChildren(...CHIPS[units][f].map((v) => {
        const b = text("button", v.replace(/ (mm|in)$/, units === "in" ? "″" : ""), "plain chip"); b.type = "button"; b.value = v;
        b.setAttribute("aria-label", v); b.setAttribute("aria-pressed", String(d[f] === v));
        b.addEventListener("click", () => set(f, v, true)); return b;
      }));
    });
    editor.querySelectorAll("[data-choice]").forEach((b) => b.setAttribute("aria-pressed", String((d[b.dataset.choice] || "") === b.value)));
    editor.querySelectorAll("input,select,textarea,button:not([data-next])").forEach((i) => { i.disabled = readOnly; });
    hand(d);
    entitle(d);
    const box = document.getElementById("clash");
    box.hidden = !d.clash;
    if (d.clash) {
      box.replaceChildren(text("p", `Somebody else changed this dent in between. Theirs: ${d.clash.words || "taken out"}. Yours: depth ${d.depth || "–"}, along ${d.along || "–"}, across ${d.across || "–"}.`));
      const mine = text("button", "Keep mine"), theirs = text("button", "Take theirs", "plain");
      mine.type = theirs.type = "button";
      mine.addEventListener("click", () => { d.version = d.clash.version; delete d.clash; touch(d); show(id); });
      theirs.addEventListener("click", () => { const t = d.clash.dent; dents.delete(id); if (t) dents.set(t.name, t); keep(); choose(t ? t.name : null); });
      box.append(mine, theirs);
    }
    document.getElementById("draft").hidden = !d.draft || readOnly;
    warn(d);
    thumbs(d);
    document.dispatchEvent(new Event("dent-shown"));
  }
  // A photo that is still on this tablet is shown from here.
  function thumbs(d) {
    const kept = page.photos.filter((p) => d.name && p.dent === d.name).map((p) => ({ small: `/jobs/${job}/photos/${p.id}/small`, whole: `/jobs/${job}/photos/${p.id}` }));
    const waits = [...onTablet.values()].filter((p) => (p.dent ? p.dent === d.name : p.token && p.token === d.token)).map((p) => ({ small: p.url, whole: p.url, waits: true }));
    document.getElementById("thumbs").replaceChildren(...[...kept, ...waits].map((p) => {
      const a = document.createElement("a"), img = document.createElement("img");
      a.href = p.whole; img.src = p.small; a.target = "_blank"; a.rel = "noopener"; img.loading = "lazy"; img.alt = `Photo of dent ${d.name || "that is new"}${p.waits ? ", not sent yet" : ""}`;
      if (p.waits) a.className = "waits";
      a.append(img); return a;
    }));
  }
  const onTablet = new Map(), here = `/jobs/${job}/photos`;
  const chosenThumbs = () => { const d = dents.get(chosen); if (d) thumbs(d); };
  const forget = (mark) => { const p = onTablet.get(mark); if (p) { URL.revokeObjectURL(p.url); onTablet.delete(mark); } };
  document.addEventListener("photo-waits", (e) => {
    if (e.detail.to !== here) return;
    onTablet.set(e.detail.mark, { ...e.detail, url: URL.createObjectURL(e.detail.body) });
    // A photo says something of a draft.
    const d = [...dents.values()].find((d) => d.draft && d.token && d.token === e.detail.token);
    if (d) { delete d.draft; touch(d); show(chosen); }
    chosenThumbs();
  });
  document.addEventListener("photo-kept", (e) => { if (e.detail.to !== here) return; forget(e.detail.mark); if (!page.photos.some((p) => p.id === e.detail.id)) page.photos.push(e.detail); chosenThumbs(); });
  document.addEventListener("photo-refused", (e) => { forget(e.detail.mark); chosenThumbs(); });
  const field = (f) => editor.querySelector(`[name="${f}"]`);
  const there = (d, part) => d[part] === "yes" || FIELDS.some((f) => f.startsWith(`${part}.`) && d[f]);
  function entitle(d) {
    title.textContent = d.name ? `Dent ${d.name}` : "New dent";
    document.getElementById("editor-where").textContent = `On the ${runName(d.run)}`;
    // What the answer turns on; what was said since it was worked out waits for the next answer.
    document.querySelector("#crack-likelihood strong").textContent = !d.depth ? "needs the depth" : d.dirty || !d.crack_likelihood ? "worked out once it is saved" : d.crack_likelihood;
    document.getElementById("dent-state").textContent = d.draft ? "A draft on this tablet" : d.clash ? "Not saved: two tablets" : d.dirty ? "Kept on this tablet, not sent yet" : "Saved";
    const photo = editor.querySelector("[data-photo]");
    photo.dataset.dent = d.name || "";
    photo.dataset.token = d.name ? "" : d.token || "";
    photo.querySelector("input").disabled = readOnly;
  }
  function warn(d) {
    const list = document.getElementById("warnings");
    // Beside its field; what belongs to none in the list.
    const place = (w) => w.field && [...editor.querySelectorAll("[data-beside]")].find((e) => e.dataset.beside === w.field);
    editor.querySelectorAll("[data-beside]").forEach((e) => { e.className = "beside small soft"; e.dataset.worth = d.name ? `dent ${d.name}/${e.dataset.beside}` : ""; e.textContent = ""; });
    for (const w of d.warnings || []) { const e = place(w); if (e) { e.className = "beside small problem"; e.removeAttribute("data-worth"); e.textContent = w.words; } }
    list.replaceChildren(...(d.warnings || []).filter((w) => !place(w)).map((w) => text("li", w.words, "problem")));
    editor.querySelectorAll("details").forEach((f) => { if (f.querySelector(".beside.problem")) f.open = true; });
    document.getElementById("says").textContent = d.says || "";
    editor.querySelectorAll("[aria-invalid]").forEach((i) => i.removeAttribute("aria-invalid"));
    for (const w of d.warnings || []) { const i = w.field && field(w.field); if (i) { i.setAttribute("aria-invalid", "true"); i.setAttribute("aria-describedby", "warnings"); } }
  }
  function set(f, v, redraw) {
    const d = dents.get(chosen);
    if (!d) return;
    d[f] = v;
    d.unit = told;
    if (f === "depth" || f === "along" || f === "across") delete d[`${f}_mm`];
    const moved = f === "run" && v !== opened;
    delete d.draft;
    document.getElementById("draft").hidden = true;
    // A mark follows a plain number at once, other words when they are read.
    const n = Number(v.replace(",", ".").replace(/\s*(mm|in|°)\s*$/, ""));
    if (f === "at" && v.trim() !== "" && Number.isFinite(n)) d.at_mm = n * (/in\s*$/.test(v) ? 25.4 : /mm\s*$/.test(v) ? 1 : perUnit);
    if (f === "clock" && v.trim() !== "" && Number.isFinite(n)) d.clock_deg = n;
    touch(d);
    if (moved) openTube(v);
    marks(); entitle(d); hand(d);
    if (redraw) show(chosen);
    else editor.querySelectorAll(`[data-chips="${f}"] button`).forEach((b) => b.setAttribute("aria-pressed", String(b.value === v)));
  }
  editor.addEventListener("input", (e) => { if (!e.target.name || e.target.type === "file" || e.target.name === "units") return; set(e.target.name, e.target.value, false); });
  editor.querySelectorAll("[data-choice]").forEach((b) => b.addEventListener("click", () => {
    const d = dents.get(chosen);
    // Where there is no crack, nothing is said of it.
    if (d && b.dataset.part && !b.value) for (const f of FIELDS) if (f.startsWith(`${b.dataset.part}.`)) d[f] = "";
    set(b.dataset.choice, b.value, true);
  }));
  editor.querySelectorAll("[data-step]").forEach((b) => b.addEventListener("click", () => {
    const d = dents.get(chosen), f = b.dataset.step, sign = Number(b.value);
    if (f === "at") { put(d, f, Math.max(0, (d.at_mm || 0) + sign * (told === "in" ? 25.4 / 16 : 1))); set(f, d.at, true); return; }
    if (f === "clock") { put(d, f, ((d.clock_deg || 0) + sign * 15 + 360) % 360); set(f, d.clock, true); return; }
    const m = /^\s*(about\s+)?([\d.]+)\s*mm\s*$/.exec(d[f] || "");
    const inch = /in|"/.test(d[f] || "") || (!d[f] && units === "in");
    if (inch) { const now = inches(d[f] || "0"); set(f, fraction(Math.max(0, now + sign / 32)), true); return; }
    const now = m ? Number(m[2]) : 0; const by = f === "depth" ? 0.5 : 1;
    set(f, `${(m && m[1]) || ""}${Math.max(0, now + sign * by)} mm`, true);
  }));
  // The clock: tapped, or turned by the arrow keys, half an hour at a time.
  const face = document.getElementById("clock-face");
  function hand(d) {
    const said = d.clock_deg != null;
    face.querySelector(".hand").setAttribute("transform", `rotate(${said ? d.clock_deg : 0})`);
    face.classList.toggle("unsaid", !said);
    const h = Math.floor((d.clock_deg || 0) / 30) || 12, m = Math.round(((d.clock_deg || 0) % 30) * 2);
    face.setAttribute("aria-valuenow", String(Math.round(d.clock_deg || 0)));
    face.setAttribute("aria-valuetext", said ? `${h}:${String(m).padStart(2, "0")} o'clock` : "not said");
    face.setAttribute("aria-disabled", String(readOnly));
  }
  function turn(deg) { const d = dents.get(chosen); if (!d || readOnly) return; put(d, "clock", ((Math.round(deg / 15) * 15) % 360 + 360) % 360); set("clock", d.clock, true); }
  face.addEventListener("click", (e) => { const p = P.here(face, e.clientX, e.clientY); if (Math.hypot(p.x, p.y) > 6) turn((Math.atan2(p.x, -p.y) * 180) / Math.PI); });
  face.addEventListener("keydown", (e) => { const by = { ArrowRight: 15, ArrowUp: 15, ArrowLeft: -15, ArrowDown: -15 }[e.key]; if (by) { e.preventDefault(); turn((dents.get(chosen)?.clock_deg || 0) + by); } });
  // What is measured is typed anew as often as not: a tap into its field takes all of it.
  editor.addEventListener("focusin", (e) => { if (e.target.matches(".field input")) e.target.select(); });
  function inches(s) { let total = 0; for (const part of s.replace(/[a-z"]/gi, " ").trim().split(/\s+/)) { const q = part.split("/"); total += q.length === 2 ? Number(q[0]) / Number(q[1]) : Number(part); } return Number.isFinite(total) ? total : 0; }
  function fraction(x) { const n = Math.round(x * 32), whole = Math.floor(n / 32); let a = n % 32, b = 32; while (a && a % 2 === 0) { a /= 2; b /= 2; } return [whole || (a ? "" : "0"), a ? `${a}/${b}` : ""].filter((p) => p !== "").join(" ") + " in"; }
  document.getElementById("keep-draft").addEventListener("click", () => { const d = dents.get(chosen); if (!d) return; delete d.draft; touch(d); show(chosen); });
  document.getElementById("remove").addEventListener("click", () => { const d = dents.get(chosen); if (!d) return; if (d.draft || (!d.name && !d.version && !sending)) { dents.delete(chosen); document.dispatchEvent(new CustomEvent("dent-dropped", { detail: d.token })); keep(); choose(null); return; } d.gone = true; touch(d); choose(null); });
  document.querySelectorAll("[name=units]").forEach((r) => { r.checked = r.value === units; r.addEventListener("change", () => { units = r.value; show(chosen); }); });

  addEventListener("resize", marks);

  load();
  tube.querySelectorAll("[data-tube]").forEach(wire);
  choose(null);
  fetchTubes();
  if ([...dents.values()].some((d) => d.dirty && !d.draft)) send();
})();
