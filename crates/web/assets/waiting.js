// What waits on this tablet belongs to whoever entered it: it lies under that person's number, is read and sent only while that
// person is signed in, and of everybody else's only the number and the name are told. In another session's page the record would
// take it as that one's work. Loaded before every script that keeps something.
"use strict";
const tablet = (() => {
  const meta = document.querySelector("meta[name=person]");
  const me = meta ? meta.content : "";
  const KINDS = ["survey", "sheets", "bench"];
  const read = (key, or) => { try { return JSON.parse(localStorage.getItem(key)) ?? or; } catch { return or; } };
  const count = (kind, kept) => (kind === "survey" ? kept.length || 0 : kind === "bench" ? (kept.acts || []).length : Object.keys(kept).length);

  if (me) {
    localStorage.setItem(`trueround:person:${me}`, meta.dataset.name);
    // Somebody else signed in in another tab: this page becomes theirs, before they type into mine.
    localStorage.setItem("trueround:signed-in", me);
    addEventListener("storage", (e) => { if (e.key === "trueround:signed-in" && e.newValue && e.newValue !== me) location.reload(); });
  }

  /** Everything that is not mine: [key, kind, whose]. An earlier version of this page kept it under no name. */
  function foreign() {
    const all = [];
    for (let i = 0; i < localStorage.length; i += 1) {
      const key = localStorage.key(i), [app, kind, whose, job] = key.split(":");
      if (app === "trueround" && KINDS.includes(kind) && (job === undefined || whose !== me)) all.push([key, kind, job === undefined ? "" : whose]);
    }
    return all;
  }
  let photos = new Map(); // whose -> how many
  function tell() {
    const waits = new Map(photos);
    for (const [key, kind, whose] of foreign()) waits.set(whose, (waits.get(whose) || 0) + count(kind, read(key, {})));
    waits.delete(me);
    const told = [...waits].filter(([, n]) => n > 0).map(([whose, n]) => {
      const p = document.createElement("p"), of = `${n} ${n === 1 ? "entry" : "entries"}`, are = n === 1 ? "is" : "are";
      p.className = "warn";
      if (whose) {
        const name = localStorage.getItem(`trueround:person:${whose}`) || "somebody else";
        p.textContent = `${of} by ${name} ${are} on this tablet and not sent yet. ${name === "somebody else" ? "They" : name} must sign in here to send ${n === 1 ? "it" : "them"}.`;
      } else {
        p.textContent = `${of} ${are} on this tablet and not sent yet, without a name. `;
        const b = document.createElement("button");
        b.type = "button"; b.className = "plain"; b.textContent = n === 1 ? "It is mine, send it" : "They are mine, send them";
        b.addEventListener("click", () => { sessionStorage.setItem("trueround:claim", me); location.reload(); });
        p.append(b);
      }
      return p;
    });
    let box = document.getElementById("others");
    if (!box && told.length) { box = document.createElement("div"); box.id = "others"; document.getElementById("main").prepend(box); }
    box?.replaceChildren(...told);
  }
  /** What lies under no name becomes mine: before any other script has read its shelf, for what a page holds it writes back. */
  function claim() {
    sessionStorage.removeItem("trueround:claim");
    for (const [key, kind, whose] of foreign()) {
      if (whose) continue;
      const mine = shelf(kind, key.split(":")[2]), theirs = read(key, {});
      const now = kind === "survey" ? [...read(mine, []), ...theirs]
        : kind === "bench" ? { acts: [...(theirs.acts || []), ...(read(mine, {}).acts || [])], refused: [...(theirs.refused || []), ...(read(mine, {}).refused || [])] }
        : { ...theirs, ...read(mine, {}) };
      localStorage.setItem(mine, JSON.stringify(now));
      localStorage.removeItem(key);
    }
    return true;
  }
  /** Where something of this kind and job lies that the person of this page enters. */
  function shelf(kind, job) { return `trueround:${kind}:${me}:${job}`; }
  const claimed = !!me && sessionStorage.getItem("trueround:claim") === me && claim();
  addEventListener("DOMContentLoaded", () => { if (me) tell(); });
  return { me, shelf, claimed, photos(others) { photos = others; tell(); } };
})();
