// Shared by every page: timers that count, photos that are sent, signatures that are drawn.
"use strict";
(() => {
  const meta = document.querySelector("meta[name=csrf]");
  const net = document.getElementById("net");

  // A running timer counts on the page.
  const running = document.querySelectorAll("[data-since]");
  const words = (s) => (s < 60 ? `${s} s` : s < 3600 ? `${Math.floor(s / 60)} min ${s % 60} s` : `${Math.floor(s / 3600)} h ${Math.floor((s % 3600) / 60)} min`);
  if (running.length) setInterval(() => running.forEach((e) => { e.textContent = words(Math.max(0, Math.floor(Date.now() / 1000) - Number(e.dataset.since) + Number(e.dataset.spent))); }), 1000);

  // The unit in which this tablet is told lengths.
  document.querySelectorAll("[data-told]").forEach((b) => b.addEventListener("click", () => {
    document.cookie = `trueround_units=${b.dataset.told}; path=/; max-age=31536000; samesite=lax`;
    location.reload();
  }));

  // A form that was refused is brought into sight.
  document.querySelector(".refused")?.focus();

  document.querySelectorAll("[data-print]").forEach((b) => b.addEventListener("click", () => print()));

  // A photo is sent as soon as it is taken, made smaller on the tablet first.
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
    const box = input.closest("[data-photo]");
    const file = input.files[0];
    if (!file) return;
    const about = new URLSearchParams();
    if (box.dataset.dent) about.set("dent", box.dataset.dent);
    if (box.dataset.step) about.set("step", box.dataset.step);
    net.textContent = "Sending the photo…";
    try {
      const answer = await fetch(`${box.dataset.photo}?${about}`, { method: "POST", headers: { "x-csrf": meta.content, "content-type": "application/octet-stream" }, body: await smaller(file) });
      net.textContent = answer.ok ? "Photo kept." : "The photo was not taken: it must be a JPEG, PNG or WebP of at most 12 MB.";
      if (answer.ok) { input.value = ""; const kept = await answer.json().catch(() => null); if (kept) box.dispatchEvent(new CustomEvent("photo-kept", { detail: { id: kept.id, dent: about.get("dent") } })); }
    } catch { net.textContent = "The network is away: the photo is not sent. Choose it again when it is back."; }
  }));

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
