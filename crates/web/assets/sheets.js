// The sheets of the survey's page: what is tapped or typed is saved by itself, and kept on this tablet until the shop's
// record has it. Without this script each sheet has its button.
"use strict";
(() => {
  const root = document.getElementById("survey");
  if (!root || root.dataset.readonly === "yes") return;
  const shelf = tablet.shelf("sheets", root.dataset.job);
  const net = document.getElementById("net");
  let waiting = {};
  try { waiting = JSON.parse(localStorage.getItem(shelf) || "{}"); } catch { waiting = {}; }
  let sending = false, stale = false;

  function keep(trouble) {
    const n = Object.keys(waiting).length;
    if (n) localStorage.setItem(shelf, JSON.stringify(waiting)); else localStorage.removeItem(shelf);
    root.dataset.sheets = String(n);
    if (trouble && n) net.textContent = `${n} ${n === 1 ? "sheet is" : "sheets are"} kept on this tablet and not yet in the shop's record: ${trouble}`;
    else if (/^\d+ sheets? /.test(net.textContent)) net.textContent = "";
  }
  // Anything that a form holds is kept by the form's id; a form that was sent before it is answered is sent once more.
  let pause = null;
  function take(form, later, button) {
    const body = new URLSearchParams(new FormData(form));
    if (button?.name) body.set(button.name, button.value);
    // The answer shows the tube that is open here.
    const tube = document.querySelector("#tube [data-tube]")?.dataset.tube;
    if (tube && form.matches("[data-sheet='']")) body.set("tube", tube);
    // What was sent and has no answer yet goes once more as it was, before what was typed since: the record may have it already,
    // and what is typed over it must not look like another tablet's.
    const before = waiting[form.id], unanswered = before?.unanswered ?? (before?.sent ? before : undefined);
    waiting[form.id] = { action: form.getAttribute("action"), body: body.toString(), at: Date.now() + Math.random(), unanswered };
    keep();
    clearTimeout(pause);
    pause = setTimeout(send, later ? 700 : 0);
  }
  async function send() {
    if (sending) return;
    sending = true;
    let trouble = null;
    for (const id of Object.keys(waiting)) {
      const mine = waiting[id].unanswered ?? waiting[id];
      mine.sent = true;
      keep();
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
        if (answer.ok) root.saved = (root.saved || 0) + 1;
        // What was not taken of a tube that is not open any more is told here.
        else if (!document.getElementById(id)) net.textContent = "Something entered for another tube was not taken. Open that tube: it stands beside its field.";
        // Typed on while it was on its way: it goes again, over what was just saved.
        const later = waiting[id];
        if (later === mine) delete waiting[id];
        else if (later.unanswered === mine) delete later.unanswered;
        if (waiting[id] && answer.ok) {
          const b = new URLSearchParams(later.body), mark = page.querySelector(`#${CSS.escape(id)} [name=seen]`)?.value || "";
          b.set("seen", mark); later.body = b.toString();
          // The next key takes the mark from the form on the page: with the old one it would look like another tablet's.
          for (const form of copies(id)) { const field = form.querySelector("[name=seen]"); if (field) field.value = mark; }
        }
        // What was refused was the half of a word: what was typed since then is sent by itself.
        // A place in the metal, or work, that came or went changes the page itself.
        if (answer.ok && /^(condition|work)-/.test(id)) stale = true;
        // The finish of the whole is that of every tube.
        if (answer.ok && id === "sheet-whole-form") {
          await root.fetchTubes?.();
          // What was filled in meanwhile is no clash with what this tablet itself just saved.
          for (const [other, w] of Object.entries(waiting)) {
            const now = copies(other)[0]?.querySelector("[name=seen]");
            if (other !== id && now) { const b = new URLSearchParams(w.body); b.set("seen", now.value); w.body = b.toString(); }
          }
        }
        show(page, id, answer.ok, later !== mine);
      } catch { trouble = "the network is away; it will be sent as soon as it is back"; break; }
    }
    sending = false;
    keep(trouble);
    if (Object.keys(waiting).length) setTimeout(send, trouble ? 2500 : 50);
    else if (stale) location.reload();
  }
  // What the record holds now comes onto the page; nothing is taken away from under a finger: a form stays where it is and
  // its fields take the values, but for the one in which somebody types.
  function show(page, id, ok, typedOn) {
    for (const fresh of page.querySelectorAll("[data-live]")) for (const old of copies(fresh.id)) {
      if (waiting[fresh.id] || (fresh.id === id && typedOn)) continue;
      if (!old.matches("form")) { old.textContent = fresh.textContent; continue; }
      if (fresh.id !== id && !ok) continue;
      merge(old, fresh, fresh.id === id && !ok);
      if (!ok && fresh.id === id) for (let e = old; e; e = e.parentElement) if (e.tagName === "DETAILS") e.open = true;
    }
    document.querySelectorAll("[name=version]").forEach((v) => { const now = page.querySelector("[name=version]"); if (now) v.value = now.value; });
    worth();
  }
  // The opened tube as the record holds it now: its marks, and the values of what nobody is filling in.
  root.refresh = (fresh) => {
    for (const now of fresh.querySelectorAll("[data-live]")) {
      const old = document.getElementById(now.id);
      if (!old) continue;
      if (!old.matches("form")) old.textContent = now.textContent;
      else if (!waiting[now.id]) merge(old, now, false);
      else old.querySelector("[name=seen]").value = now.querySelector("[name=seen]").value;
    }
  };
  // A joint stands at both of its tubes, of which one at most is on the page.
  const copies = (id) => [...new Set([document.getElementById(id), ...[...(root.tubes?.values() || [])].map((t) => t.querySelector(`#${CSS.escape(id)}`))])].filter(Boolean);
  const same = (form, field) => [...form.elements].find((e) => e.name === field.name && (!/^(radio|checkbox)$/.test(e.type) || e.value === field.value) && (e.type === "hidden") === (field.type === "hidden"));
  function merge(old, fresh, refused) {
    for (const field of fresh.elements) {
      const mine = field.name && same(old, field);
      if (!mine) continue;
      if (/^(radio|checkbox)$/.test(field.type)) mine.checked = field.checked;
      else if (mine !== document.activeElement && !(refused && mine.value)) mine.value = field.value;
      if (field.placeholder) mine.placeholder = field.placeholder;
    }
    old.querySelectorAll(".problem,.warn").forEach((e) => e.remove());
    if (!refused) return;
    for (const said of fresh.querySelectorAll(".problem,.warn")) {
      const field = said.closest("label,fieldset")?.querySelector("[name]");
      const mine = field && same(old, field)?.closest("label,fieldset");
      if (mine) { mine.append(document.importNode(said, true)); const folded = mine.closest("details"); if (folded && old.contains(folded)) folded.open = true; } else if (!said.closest(".refused .problem")) old.prepend(document.importNode(said, true));
    }
  }

  // What is typed is kept at once, and sent when the hand rests.
  document.addEventListener("input", (e) => { const form = e.target.closest("form[data-sheet='']"); if (form && e.target.matches("textarea,input:not([type=radio]):not([type=checkbox])")) take(form, true); });
  document.addEventListener("change", (e) => { const form = e.target.closest("form[data-sheet='']"); if (form) take(form); });
  // One leg of a slide says how it moves; the other, of which nothing else was said, follows, and both are seen.
  document.addEventListener("change", (e) => {
    const form = e.target.closest("form[data-pair]");
    if (!form || e.target.type !== "radio" || e.target.name.startsWith("other.")) return;
    const other = [...form.elements].filter((r) => r.name === `other.${e.target.name}`), said = other.find((r) => r.checked)?.value || "";
    if (said === "" || said === form.dataset.said) { const to = other.find((r) => r.value === e.target.value); if (to) to.checked = true; }
    form.dataset.said = e.target.value;
  }, true);
  document.addEventListener("submit", (e) => { const form = e.target.closest("form[data-sheet]"); if (form) { e.preventDefault(); take(form, false, e.submitter); } });
  addEventListener("online", send);

  // A link to a sheet opens all that it is folded into.
  function open() {
    const to = location.hash.length > 1 && document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (!to || !to.matches(".sheet,#fits,#wishes")) return;
    for (let e = to; e; e = e.parentElement) if (e.tagName === "DETAILS") e.open = true;
    to.scrollIntoView({ block: "nearest" });
  }
  addEventListener("hashchange", open);
  open();

  // What hangs on a measurement that nobody took: the same words as on the page “What to measure next”.
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
      const words = told[e.dataset.worth];
      e.textContent = words ? `Worth measuring: ${words}.` : "";
    });
  }
  document.addEventListener("dent-shown", tell);
  document.addEventListener("dent-saved", worth);

  keep();
  if (Object.keys(waiting).length) send();
  ask();
})();
