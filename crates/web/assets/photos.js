// Photos: made smaller on the tablet, kept there until the shop's record has them, whatever happens to the tab or the network,
// and sent under a mark of their own, so that one that is sent twice is kept once. On every page of whoever is signed in: what
// waits from another page is sent from here.
"use strict";
(() => {
  const csrf = document.querySelector("meta[name=csrf]");
  if (!csrf) return;
  const net = document.getElementById("net");
  const say = (words) => { net.textContent = words; };
  const tell = (name, detail) => document.dispatchEvent(new CustomEvent(name, { detail }));

  // ---- the shelf: a table in the browser, because a photo is too large for localStorage --------------------------
  let opened = null;
  function shelf() {
    opened ||= new Promise((done, fail) => {
      const ask = indexedDB.open("trueround", 1);
      ask.onupgradeneeded = () => ask.result.createObjectStore("photos", { keyPath: "mark" });
      ask.onsuccess = () => done(ask.result);
      ask.onerror = () => fail(ask.error);
    });
    return opened;
  }
  async function on(mode, deed) {
    const db = await shelf();
    return new Promise((done, fail) => {
      const work = db.transaction("photos", mode), asked = deed(work.objectStore("photos"));
      work.oncomplete = () => done(asked.result);
      work.onerror = work.onabort = () => fail(work.error);
    });
  }
  // A browser without a shelf keeps them as long as the page stands.
  const here = new Map();
  const keep = (p) => on("readwrite", (s) => s.put(p)).catch(() => { here.set(p.mark, p); });
  const drop = (mark) => { here.delete(mark); return on("readwrite", (s) => s.delete(mark)).catch(() => {}); };
  const everybodys = () => on("readonly", (s) => s.getAll()).catch(() => []).then((kept) => [...kept, ...here.values()].sort((a, b) => a.at - b.at));
  // Only what the person of this page took; of the others' the number is told.
  const all = () => everybodys().then((kept) => {
    const others = new Map();
    for (const p of kept) if (p.person !== tablet.me) others.set(p.person || "", (others.get(p.person || "") || 0) + 1);
    tablet.photos(others);
    return kept.filter((p) => p.person === tablet.me);
  });

  /** How many are being taken: no page is taken away meanwhile. */
  const taking = (more) => { const root = document.documentElement; root.dataset.taking = String(Math.max(0, Number(root.dataset.taking || 0) + more)); };

  // ---- taking one ------------------------------------------------------------------------------------------------
  async function smaller(file) {
    if (file.size < 1500000 || !self.createImageBitmap) return file;
    const picture = await createImageBitmap(file);
    const k = Math.min(1, 2000 / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(picture.width * k); canvas.height = Math.round(picture.height * k);
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    return (await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85))) || file;
  }
  document.querySelectorAll("[data-photo] input[type=file]").forEach((input) => input.addEventListener("change", async () => {
    const box = input.closest("[data-photo]"), file = input.files[0];
    if (!file) return;
    say("Sending the photo…");
    taking(1);
    const { photo: to, dent, token, step } = box.dataset;
    const body = await smaller(file).catch(() => file);
    const p = { mark: `p${Date.now().toString(36)}${Math.random().toString(36).slice(2, 10)}`, at: Date.now(), person: tablet.me, to, dent: dent || "", token: token || "", step: step || "", body };
    await keep(p);
    input.value = "";
    tell("photo-waits", p);
    await send();
    // Until what was said of it can be read.
    setTimeout(() => taking(-1), 1500);
  }));

  // ---- sending ---------------------------------------------------------------------------------------------------
  let sending = false, again = null;
  async function send() {
    if (sending) return;
    sending = true;
    clearTimeout(again);
    let trouble = null, later = 0;
    for (const p of await all()) {
      const about = new URLSearchParams({ made_as: p.mark });
      if (p.dent) about.set("dent", p.dent); else if (p.token) about.set("dent_made_as", p.token);
      if (p.step) about.set("step", p.step);
      const stop = new AbortController(), late = setTimeout(() => stop.abort(), 30000);
      try {
        const answer = await fetch(`${p.to}?${about}`, { method: "POST", headers: { "x-csrf": csrf.content, accept: "application/json", "content-type": "application/octet-stream" }, body: p.body, signal: stop.signal });
        if (answer.ok) {
          const kept = await answer.json();
          await drop(p.mark);
          say("Photo kept.");
          tell("photo-kept", { mark: p.mark, to: p.to, id: kept.id, dent: kept.dent });
        } else if (answer.status === 401 || answer.status === 403) { trouble = "sign in again, in another tab; nothing is lost"; break; }
        // The dent that it shows is still on its way.
        else if (answer.status === 409) later += 1;
        else if (answer.status >= 500) { trouble = "the shop's machine has trouble"; break; }
        else { await drop(p.mark); say("The photo was not taken: it must be a JPEG, PNG or WebP of at most 12 MB."); tell("photo-refused", p); }
      } catch { trouble = "the network is away; it will be sent as soon as it is back"; break; }
      finally { clearTimeout(late); }
    }
    sending = false;
    const waits = (await all()).length;
    document.documentElement.dataset.photos = String(waits);
    if (trouble && waits) say(`${waits} ${waits === 1 ? "photo is" : "photos are"} kept on this tablet and not yet in the shop's record: ${trouble}`);
    else if (/^\d+ photos? |^Sending/.test(net.textContent)) say("");
    if (waits) again = setTimeout(send, trouble ? 4000 : later === waits ? 10000 : 50);
  }
  addEventListener("online", send);
  document.addEventListener("dent-saved", send);
  // A new dent that was taken out before it was sent: its photos stay with the job.
  document.addEventListener("dent-dropped", async (e) => { for (const p of await all()) if (p.token === e.detail && !p.dent) await keep({ ...p, token: "" }); send(); });
  // What waits of this page's job is shown on it.
  const claimed = () => (tablet.claimed ? everybodys().then((kept) => Promise.all(kept.filter((p) => !p.person).map((p) => keep({ ...p, person: tablet.me })))) : Promise.resolve());
  addEventListener("DOMContentLoaded", () => claimed().then(all).then((waits) => {
    waits.forEach((p) => tell("photo-waits", p));
    document.documentElement.dataset.photos = String(waits.length);
    if (waits.length) send();
  }));
})();
