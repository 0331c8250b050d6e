// The bench's page: what is tapped is kept on this tablet until the shop's record has it, in the order and with the moment of
// the taps, and sent under a mark of its own, so that a tick that is sent twice is made once. Without this script each button
// is a form of its own.
"use strict";
(() => {
  const bench = document.getElementById("bench");
  if (!bench) return;
  const shelf = tablet.shelf("bench", bench.dataset.job), action = `/jobs/${bench.dataset.job}/bench`;
  const csrf = document.querySelector("meta[name=csrf]");
  const net = document.getElementById("net"), refusals = document.getElementById("bench-refused");
  // The acts that wait, oldest first, and what was refused and nobody has read yet.
  let kept = { acts: [], refused: [] };
  try { kept = { ...kept, ...JSON.parse(localStorage.getItem(shelf) || "{}") }; } catch { /* nothing that can be read waits */ }

  function keep(trouble) {
    if (kept.acts.length || kept.refused.length) localStorage.setItem(shelf, JSON.stringify(kept)); else localStorage.removeItem(shelf);
    const n = kept.acts.length;
    bench.dataset.waiting = String(n);
    if (trouble && n) net.textContent = `${n} ${n === 1 ? "tap is" : "taps are"} kept on this tablet and not yet in the shop's record: ${trouble}`;
    refusals.hidden = !kept.refused.length;
    refusals.querySelector("ul").replaceChildren(...kept.refused.map((words) => { const li = document.createElement("li"); li.textContent = words; return li; }));
  }
  refusals.querySelector("button").addEventListener("click", () => { kept.refused = []; keep(); });

  // ---- how the page looks until the record answers ----------------------------------------------------------------
  const stepOf = (key) => [...bench.querySelectorAll("li.step")].find((li) => li.dataset.key === key);
  const WORDS = { tick: "done, not sent yet", untick: "to do, not sent yet", start: "timer runs, not sent yet", pause: "paused, not sent yet", skip: "skipped, not sent yet" };
  function show({ key, act }) {
    const li = stepOf(key);
    if (!li || !WORDS[act]) return;
    li.querySelector(".state").textContent = WORDS[act];
    const closed = act === "tick" || act === "skip";
    li.classList.toggle("done", closed);
    if (closed) li.classList.remove("next");
    // A step that waited for this one may be worked now, or must wait again.
    for (const other of bench.querySelectorAll("li.step[data-waits]")) {
      const waits = new Set((other.dataset.waits || "").split(" ").filter(Boolean));
      if (closed) waits.delete(String(li.value)); else if (other.dataset.all?.split(" ").includes(String(li.value)) && act === "untick") waits.add(String(li.value));
      other.dataset.waits = [...waits].join(" ");
      other.querySelectorAll("button[value=start],button[value=tick]").forEach((b) => { b.disabled = waits.size > 0; });
      other.querySelector("[data-blockers]")?.toggleAttribute("hidden", waits.size === 0);
    }
  }

  // ---- sending ----------------------------------------------------------------------------------------------------
  let sending = false, again = null;
  async function send() {
    if (sending) return;
    sending = true;
    clearTimeout(again);
    let trouble = null, to = null;
    while (kept.acts.length) {
      const a = kept.acts[0];
      const body = new URLSearchParams({ ...a.fields, csrf: csrf.content, made_as: a.mark, waited: String(Math.max(0, Math.round((Date.now() - a.at) / 1000))) });
      const stop = new AbortController(), late = setTimeout(() => stop.abort(), 20000);
      try {
        const answer = await fetch(action, { method: "POST", headers: { accept: "application/json", "content-type": "application/x-www-form-urlencoded" }, body, signal: stop.signal });
        if (answer.status === 401 || answer.status === 403) { trouble = "sign in again, in another tab; nothing is lost"; break; }
        if (answer.status >= 500) { trouble = "the shop's machine has trouble"; break; }
        const said = await answer.json().catch(() => ({}));
        kept.acts.shift();
        if (answer.ok) { to = said.to; forms.get(a.mark)?.reset(); taken.set(a.fields.key, a.fields.act); }
        else refuse(a, said.problem || "it was not taken");
      } catch { trouble = "the network is away; they will be sent as soon as it is back"; break; }
      finally { clearTimeout(late); }
      keep();
    }
    sending = false;
    keep(trouble);
    if (trouble) kept.acts.forEach((a) => enable(a.fields.key));
    if (kept.acts.length) again = setTimeout(send, trouble ? 2500 : 50);
    // What was refused stands beside its form, with what was typed: the page is not taken away from under it.
    else if (to && !bench.querySelector(".problem")) follow(to);
  }
  const taken = new Map(); // the last act of each step that the record has
  const forms = new Map(); // of the acts that were tapped on the page as it stands
  function refuse(a, why) {
    const form = forms.get(a.mark);
    if (!form) { kept.refused.push(`${a.what}: ${why}`); return; }
    const p = document.createElement("p");
    p.className = "problem"; p.textContent = why; p.setAttribute("role", "alert");
    form.before(p);
    const li = form.closest("li.step");
    li.querySelectorAll("button[name=act]").forEach((b) => { b.disabled = false; });
    li.querySelector(".state").textContent = "not taken";
  }
  /** Without the network the work goes on: a step that was begun can be ticked. */
  function enable(key) {
    const done = [taken.get(key), ...kept.acts.filter((a) => a.fields.key === key).map((a) => a.fields.act)].filter((act) => WORDS[act]).pop();
    const not = { tick: ["start", "tick", "skip", "pause"], skip: ["start", "tick", "skip", "pause"], start: ["start"] }[done] || [];
    stepOf(key)?.querySelectorAll("button[name=act]").forEach((b) => { b.disabled = not.includes(b.value); });
  }
  /** Whether something is typed and not sent, or a photo is on its way: a new page would take it away. */
  function busy() {
    const typed = (f) => (f.type === "checkbox" || f.type === "radio" ? f.checked !== f.defaultChecked : f.value !== f.defaultValue);
    return Number(document.documentElement.dataset.taking || 0) > 0
      || [...bench.querySelectorAll("textarea, input:not([type=hidden]):not([type=file])")].some(typed)
      || [...bench.querySelectorAll("select option")].some((o) => o.selected !== o.defaultSelected && o.closest("select").querySelector("option[selected]"));
  }
  // The page as the record has it now; once nobody writes on the one that stands.
  let waits = null;
  function follow(to) {
    clearTimeout(waits);
    if (busy()) {
      // The step stands on this page as the record has it: what is written can be sent.
      for (const [key, act] of taken) { enable(key); const state = stepOf(key)?.querySelector(".state"); if (state && WORDS[act]) state.textContent = WORDS[act].replace(", not sent yet", ""); }
      waits = setTimeout(() => { if (!kept.acts.length) follow(to); }, 500);
      return;
    }
    const url = new URL(to, location.href);
    const here = url.pathname === location.pathname && url.search === location.search;
    location.replace(url);
    if (here) location.reload();
  }
  addEventListener("online", send);

  bench.addEventListener("submit", (e) => {
    const form = e.target, button = e.submitter;
    if (form.getAttribute("action") !== action || button?.name !== "act" || !csrf) return;
    e.preventDefault();
    const fields = Object.fromEntries(new FormData(form));
    delete fields.csrf;
    fields.act = button.value;
    const li = form.closest("li.step");
    const what = `${li?.querySelector("summary .what")?.textContent || "A step"}, “${button.textContent.trim()}”`;
    form.closest("li.step")?.querySelectorAll("p.problem").forEach((p) => p.remove());
    kept.acts.push({ mark: `b${Date.now().toString(36)}${Math.random().toString(36).slice(2, 10)}`, at: Date.now(), what, fields });
    forms.set(kept.acts.at(-1).mark, form);
    keep();
    show(fields);
    li?.querySelectorAll("button[name=act]").forEach((b) => { b.disabled = true; });
    send();
  });

  keep();
  kept.acts.forEach((a) => { show(a.fields); enable(a.fields.key); });
  if (kept.acts.length) send();
})();
