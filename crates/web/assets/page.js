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

  // A form that was refused is brought into sight.
  document.querySelector(".refused")?.focus();

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
