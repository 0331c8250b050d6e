// Shared by every page: timers that count, units, signatures that are drawn.
"use strict";
(() => {

  // A running timer counts on the page.
  const running = document.querySelectorAll("[data-since]");
  const words = (s) => (s < 60 ? `${s} s` : s < 3600 ? `${Math.floor(s / 60)} min ${s % 60} s` : `${Math.floor(s / 3600)} h ${Math.floor((s % 3600) / 60)} min`);
  if (running.length) setInterval(() => running.forEach((e) => { e.textContent = words(Math.max(0, Math.floor(Date.now() / 1000) - Number(e.dataset.since) + Number(e.dataset.spent))); }), 1000);

  // The unit in which this tablet is told lengths.
  document.querySelectorAll("[data-told]").forEach((b) => b.addEventListener("click", () => {
    document.cookie = `trueround_units=${b.dataset.told}; path=/; max-age=31536000; samesite=lax`;
    location.reload();
  }));

  // A table sorts by the column that is tapped: by its value where it carries one, else by its words. Where a phone shows no heads, by a choice above it.
  const sorts = (table) => {
    if (table.tBodies[0].rows.length < 2) return;
    const heads = [...table.querySelectorAll("thead th")];
    const by = (at, up) => {
      heads.forEach((o) => o.removeAttribute("aria-sort"));
      heads[at].setAttribute("aria-sort", up ? "ascending" : "descending");
      const value = (row) => { const c = row.cells[at]; return c ? c.dataset.v ?? c.textContent.trim() : ""; };
      const number = (s) => (s.trim() !== "" && Number.isFinite(Number(s)) ? Number(s) : null);
      const order = (a, b) => { const [x, y] = [number(a), number(b)]; return x !== null && y !== null ? x - y : a.localeCompare(b, "en", { numeric: true }); };
      const body = table.tBodies[0], rows = [...body.rows].sort((a, b) => order(value(a), value(b)));
      body.append(...(up ? rows : rows.reverse()));
    };
    const label = document.createElement("label"), choice = document.createElement("select");
    label.className = "sort-by"; label.append("Sort by ", choice); choice.append(new Option("as listed", ""));
    heads.forEach((th, at) => {
      if (th.textContent.trim()) choice.append(new Option(th.textContent.trim(), at));
      const b = document.createElement("button");
      b.type = "button"; b.className = "sort"; b.textContent = th.textContent; th.replaceChildren(b);
      b.addEventListener("click", () => by(at, th.getAttribute("aria-sort") !== "ascending"));
    });
    const listed = [...table.tBodies[0].rows];
    choice.addEventListener("change", () => (choice.value === "" ? table.tBodies[0].append(...listed) : by(Number(choice.value), true)));
    if (table.matches(".jobs, .picks")) table.before(label);
  };
  document.querySelectorAll("table[data-sorts]").forEach(sorts);

  // What is behind a line is fetched when it is first opened.
  document.querySelectorAll("details[data-from]").forEach((d) => d.addEventListener("toggle", async () => {
    const from = d.dataset.from;
    if (!d.open || !from) return;
    delete d.dataset.from;
    try {
      const got = await fetch(`${from}?part=1`, { headers: { accept: "text/html" } });
      if (!got.ok) throw new Error(String(got.status));
      d.querySelector(".inside").innerHTML = await got.text();
    } catch { d.dataset.from = from; }
  }));

  // A chosen file's text goes into its box, to be looked at and kept.
  document.querySelectorAll("input[data-into]").forEach((chosen) => chosen.addEventListener("change", async () => {
    const box = document.getElementById(chosen.dataset.into), told = document.querySelector(`[data-told-of="${chosen.dataset.into}"]`);
    if (!chosen.files[0]) return;
    try {
      box.value = new TextDecoder("utf-8", { fatal: true }).decode(await chosen.files[0].arrayBuffer());
      box.closest("details").open = true; told.className = told.textContent = "";
    } catch { told.className = "problem"; told.textContent = "This file is not plain text in UTF-8. Save it as UTF-8 and choose it again."; }
  }));

  // A form that was refused is brought into sight.
  document.querySelector(".refused")?.focus();

  // A field is copied; where the browser gives no clipboard (no encrypted connection) it is marked and copied as of old.
  document.querySelectorAll("[data-copy]").forEach((b) => b.addEventListener("click", async () => {
    const field = document.getElementById(b.dataset.copy);
    field.select();
    try { await navigator.clipboard.writeText(field.value); } catch { document.execCommand("copy"); }
    b.textContent = "Copied";
  }));

  document.querySelectorAll("[data-print]").forEach((b) => b.addEventListener("click", () => print()));

  // A signature is drawn with a finger; a typed name alone does too.
  const pad = document.getElementById("signature");
  if (pad) {
    const path = pad.querySelector("path"), field = document.querySelector("input[name=signature]");
    let d = "", on = false;
    const at = (e) => { const r = pad.getBoundingClientRect(); return `${Math.round(((e.clientX - r.left) / r.width) * 600)} ${Math.round(((e.clientY - r.top) / r.height) * 160)}`; };
    pad.addEventListener("pointerdown", (e) => { on = true; pad.setPointerCapture(e.pointerId); d += `M${at(e)}`; });
    pad.addEventListener("pointermove", (e) => { if (!on || d.length > 20000) return; d += `L${at(e)}`; path.setAttribute("d", d); field.value = d; });
    pad.addEventListener("pointerup", () => { on = false; });
    document.getElementById("wipe").addEventListener("click", () => { d = ""; path.setAttribute("d", ""); field.value = ""; });
  }
})();
