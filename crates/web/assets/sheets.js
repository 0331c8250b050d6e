// The sheets of the survey's page: what is tapped or typed is saved by itself, and kept on this tablet until the shop's
// record has it. Without this script each sheet has its button.
"use strict";
(() => {
  const root = document.getElementById("survey");
  if (!root || root.dataset.readonly === "yes") return;
  const shelf = `trueround:sheets:${root.dataset.job}`;
  const net = document.getElementById("net");
  let waiting = {};
  try { waiting = JSON.parse(localStorage.getItem(shelf) || "{}"); } catch { waiting = {}; }
  let sending = false;

  function keep(trouble) {
    const n = Object.keys(waiting).length;
    if (n) localStorage.setItem(shelf, JSON.stringify(waiting)); else localStorage.removeItem(shelf);
    root.dataset.sheets = String(n);
    if (trouble && n) net.textContent = `${n} ${n === 1 ? "sheet is" : "sheets are"} kept on this tablet and not yet in the shop's record: ${trouble}`;
    else if (/^\d+ sheets? /.test(net.textContent)) net.textContent = "";
  }
  // Anything that a form holds is kept by the form's id; a form that was sent before it is answered is sent once more.
  function take(form) {
    waiting[form.id] = { action: form.getAttribute("action"), body: new URLSearchParams(new FormData(form)).toString(), at: Date.now() + Math.random() };
    keep();
    send();
  }
  async function send() {
    if (sending) return;
    sending = true;
    let trouble = null;
    for (const id of Object.keys(waiting)) {
      const mine = waiting[id];
      try {
        // The token is that of this session, not of the one in which it was typed.
        const body = new URLSearchParams(mine.body);
        body.set("csrf", document.querySelector("meta[name=csrf]").content);
        const stop = new AbortController(), late = setTimeout(() => stop.abort(), 8000);
        const answer = await fetch(mine.action, { method: "POST", headers: { "content-type": "application/x-www-form-urlencoded" }, body, signal: stop.signal }).finally(() => clearTimeout(late));
        if (answer.status === 401 || answer.status === 403) { trouble = "sign in again, in another tab; nothing is lost"; break; }
        if (answer.status >= 500) { trouble = "the shop's machine has trouble"; break; }
        const page = new DOMParser().parseFromString(await answer.text(), "text/html");
        if (!page.getElementById("survey")) { trouble = "sign in again, in another tab; nothing is lost"; break; }
        // Typed on while it was on its way: it goes again, over what was just saved.
        const later = waiting[id];
        if (later === mine) delete waiting[id];
        else if (answer.ok) { const b = new URLSearchParams(later.body); b.set("seen", page.querySelector(`#${CSS.escape(id)} [name=seen]`)?.value || ""); later.body = b.toString(); }
        else delete waiting[id];
        show(page, id, answer.ok, later !== mine);
      } catch { trouble = "the network is away; it will be sent as soon as it is back"; break; }
    }
    sending = false;
    keep(trouble);
    if (Object.keys(waiting).length) setTimeout(send, trouble ? 2500 : 50);
    else document.dispatchEvent(new Event("survey-saved"));
  }
  // What the record holds now comes onto the page, where nobody is typing.
  function show(page, id, ok, typedOn) {
    for (const fresh of page.querySelectorAll("[data-live]")) {
      const old = document.getElementById(fresh.id);
      if (!old || waiting[fresh.id] || (fresh.id === id && typedOn)) continue;
      if (fresh.id !== id && old.matches("form") && !ok) continue;
      if (old.isEqualNode(fresh)) continue;
      const active = document.activeElement, inside = old.contains(active) && active.name;
      // A field in which somebody types is left alone; the mark of what was seen is not.
      if (inside && ok && fresh.id === id && active.matches("textarea,input:not([type=radio]):not([type=checkbox])")) {
        const seen = old.querySelector("[name=seen]"), now = fresh.querySelector("[name=seen]");
        if (seen && now) seen.value = now.value;
        old.querySelectorAll(".problem,.warn").forEach((e) => e.remove());
        continue;
      }
      const folds = [...old.querySelectorAll("details")].map((d) => d.open);
      const value = inside && active.value;
      old.replaceWith(document.importNode(fresh, true));
      const now = document.getElementById(fresh.id);
      now.querySelectorAll("details").forEach((d, i) => { d.open = folds[i]; });
      if (inside) [...now.querySelectorAll(`[name="${CSS.escape(inside)}"]`)].find((e) => !active.matches("[type=radio],[type=checkbox]") || e.value === value)?.focus();
      if (!ok && fresh.id === id) now.closest("details")?.setAttribute("open", "");
    }
    document.querySelectorAll("[name=version]").forEach((v) => { const now = page.querySelector("[name=version]"); if (now) v.value = now.value; });
    worth();
  }

  document.addEventListener("change", (e) => { const form = e.target.closest("form[data-sheet]"); if (form) take(form); });
  document.addEventListener("submit", (e) => { const form = e.target.closest("form[data-sheet]"); if (form) { e.preventDefault(); take(form); } });
  addEventListener("online", send);

  // A link to a sheet opens all that it is folded into.
  function open() {
    const to = location.hash.length > 1 && document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (!to || !to.matches(".sheet,#joints,#fits,#wishes")) return;
    for (let e = to; e; e = e.parentElement) if (e.tagName === "DETAILS") e.open = true;
    to.scrollIntoView({ block: "nearest" });
  }
  addEventListener("hashchange", open);
  open();

  // What a measurement that nobody took is worth: minutes by which it would narrow the time.
  let asked = null;
  let told = {};
  function worth() { clearTimeout(asked); asked = setTimeout(ask, 1500); }
  async function ask() {
    try {
      const answer = await fetch(`/jobs/${root.dataset.job}/survey/worth`, { headers: { accept: "application/json" } });
      if (!answer.ok) return;
      told = await answer.json();
    } catch { return; }
    tell();
  }
  function tell() {
    document.querySelectorAll("[data-worth]").forEach((e) => {
      const min = told[e.dataset.worth] || 0;
      const words = min >= 60 ? `${(min / 60).toFixed(1)} h` : `${Math.round(min)} min`;
      e.textContent = min >= 1 ? `Not measured. It would narrow the time by ${words}.` : "";
    });
  }
  document.addEventListener("dent-shown", tell);
  document.addEventListener("dent-saved", worth);

  keep();
  if (Object.keys(waiting).length) send();
  ask();
})();
