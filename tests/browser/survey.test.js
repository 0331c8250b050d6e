// The survey under trouble: two tablets on one survey, a network that goes away, a tab that is closed.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { accessible, narrow, onThePicture, openTube, ready, shop } from "./shop.js";

let s, job;
before(async () => {
  s = await shop();
  const desk = await s.tablet("ottilie");
  await desk.goto(`${s.address}/customers`);
  const form = desk.locator("form[action='/customers'][method=post]");
  await form.getByLabel("Name").fill("Two Tablets");
  await form.getByRole("button", { name: "Add customer" }).click();
  await desk.getByLabel("Kind").selectOption("trumpet");
  await desk.getByRole("button", { name: "Take it in" }).click();
  await desk.getByLabel("What happened").fill("Sat on");
  await desk.getByRole("button", { name: "Open a job" }).click();
  await desk.getByRole("navigation", { name: "Job" }).waitFor();
  job = Number(/\/jobs\/(\d+)/.exec(desk.url())[1]);
  await desk.goto(`${s.address}/jobs/${job}/survey`);
  await desk.getByRole("button", { name: "Begin the survey" }).click();
  await desk.locator("#survey").waitFor();
  await desk.context().close();
}, { timeout: 120000 });
after(async () => { await s?.close(); });

async function open(login) {
  const page = await s.tablet(login);
  await page.goto(`${s.address}/jobs/${job}/survey`);
  await ready(page);
  return page;
}
async function dent(page, run, x, y, depth) {
  await openTube(page, run);
  const strip = page.locator(`svg.strip[data-run='${run}']`);
  await strip.scrollIntoViewIfNeeded();
  const box = await strip.boundingBox();
  await strip.click({ position: { x: box.width * x, y: box.height * y } });
  await page.locator("#editor [name=depth]").fill(depth);
}
const saved = (page) => page.waitForFunction(() => document.getElementById("survey").dataset.waiting === "0");

test("two tablets add dents to one survey and both are kept", async () => {
  const [a, b] = [await open("ramon"), await open("wren")];
  await Promise.all([dent(a, "bell-stem", 0.3, 0.3, "2 mm"), dent(b, "bell-stem", 0.7, 0.6, "3 mm")]);
  await Promise.all([saved(a), saved(b)]);
  await a.reload();
  assert.equal(await a.locator("#dent-count").textContent(), "2");
  await a.context().close();
  await b.context().close();
});

test("two tablets on one dent: the second is shown the first one's words and chooses", async () => {
  const [a, b] = [await open("ramon"), await open("wren")];
  for (const page of [a, b]) await page.locator("#dent-list button").first().click();
  await a.locator("#editor [name=depth]").fill("5 mm");
  await saved(a);
  await b.locator("#editor [name=depth]").fill("6 mm");
  await b.locator("#clash").waitFor();
  assert.match(await b.locator("#clash").textContent(), /depth 5 mm/);
  await b.getByRole("button", { name: "Keep mine" }).click();
  await saved(b);
  await a.reload();
  await a.locator("#dent-list button").first().click();
  assert.equal(await a.locator("#editor [name=depth]").inputValue(), "6 mm");
  await a.context().close();
  await b.context().close();
});

test("a lost network in the middle of a survey loses nothing, even when the tab is closed", async () => {
  let page = await open("ramon");
  const before = Number(await page.locator("#dent-count").textContent());
  await page.context().setOffline(true);
  await dent(page, "leadpipe", 0.4, 0.2, "1.5 mm");
  await dent(page, "leadpipe", 0.6, 0.2, "1 mm");
  assert.equal(await page.locator("#survey").getAttribute("data-waiting"), "2");
  await page.locator("#net", { hasText: "kept on this tablet" }).waitFor();
  const context = page.context();
  await page.close();
  await context.setOffline(false);
  page = await context.newPage();
  await page.goto(`${s.address}/jobs/${job}/survey`);
  await saved(page);
  await page.reload();
  assert.equal(Number(await page.locator("#dent-count").textContent()), before + 2);
  await context.close();
});

test("a server killed while the tablet saves: the dent arrives once it is back, once", async () => {
  const page = await open("ramon");
  const before = Number(await page.locator("#dent-count").textContent());
  await dent(page, "bell-tail", 0.5, 0.5, "2 mm");
  await s.kill();
  await page.locator("#editor [name=depth]").fill("2.5 mm");
  await page.locator("#net", { hasText: "kept on this tablet" }).waitFor();
  const address = s.address;
  await s.restart(Number(new URL(address).port));
  await saved(page);
  await page.goto(`${s.address}/jobs/${job}/survey`);
  assert.equal(Number(await page.locator("#dent-count").textContent()), before + 1);
  await page.context().close();
});

test("a tablet told inches shows stations in inches, and changing a depth leaves the station as it was", async () => {
  const page = await open("ramon");
  await page.locator("#dent-list button").first().click();
  const seen = () => page.evaluate(() => fetch(location.href).then((r) => r.text()).then((t) => JSON.parse(/id="survey-data">([^<]*)</.exec(t)[1]).dents[0]));
  const before = await seen();
  // On a tablet of this width it stands in the folded menu.
  await page.locator("details.menu > summary").click();
  await page.getByRole("button", { name: "inch", exact: true }).click();
  await page.locator("#survey[data-units=in]").waitFor();
  await page.locator("#dent-list button").first().click();
  const station = page.locator("#editor [name=at]");
  assert.ok(Math.abs(parseFloat(await station.inputValue()) * 25.4 - before.at_mm) < 0.02);
  await page.locator("#editor [name=depth]").fill("1/8 in");
  await saved(page);
  assert.equal((await seen()).at_mm, before.at_mm);
  await station.fill("2.5");
  await saved(page);
  assert.equal((await seen()).at_mm, 63.5);
  // A valve's loop on the map leads to its strip.
  await page.evaluate(() => document.querySelector("svg.lie a[href='?tube=first-slide-crook#tube']").dispatchEvent(new MouseEvent("click", { bubbles: true, cancelable: true })));
  await page.locator("svg.strip[data-run='first-slide-crook']").waitFor({ state: "visible" });
  await dent(page, "first-slide-crook", 0.5, 0.5, "1 mm");
  await saved(page);
  assert.ok((await page.locator("svg.lie g.dents circle").count()) >= (await page.locator("#dent-list li").count()));
  await page.context().close();
});

test("a crack's own fields are asked for once there is one, and go with it", async () => {
  const page = await open("ramon");
  const again = async () => { await saved(page); await page.reload(); await page.locator("#dent-list button").first().click(); };
  await page.locator("#dent-list button").first().click();
  const length = page.locator("#editor [name='crack.length']");
  assert.equal(await length.isVisible(), false);
  await page.locator("#editor [data-choice='crack'][value=yes]").click();
  await length.fill("5 mm");
  await page.locator("#editor [data-choice='crack.through'][value=no]").click();
  await again();
  assert.equal(await length.inputValue(), "5 mm");
  // Nobody said how it lies, so nothing is said of it.
  assert.equal(await page.locator("#editor [data-choice='crack.lies'][aria-pressed=true]").getAttribute("value"), "");
  await page.locator("#editor [data-choice='crack'][value='']").click();
  await again();
  assert.equal(await length.isVisible(), false);
  await page.context().close();
});

test("what is wrong with the metal is added on the survey's page", async () => {
  const page = await open("ramon");
  await page.getByText("Add what else is wrong").click();
  const form = page.locator("form[action$='/survey/conditions']").last();
  await form.locator("[name=kind]").selectOption("red rot");
  await form.locator("[name=run]").selectOption("leadpipe");
  await form.locator("[name=from]").fill("40 stone");
  await form.getByRole("button", { name: "Save" }).click();
  await page.getByRole("alert").waitFor();
  assert.equal(await page.locator("form[action$='/survey/conditions'] [name=from]").last().inputValue(), "40 stone");
  await page.locator("form[action$='/survey/conditions'] [name=from]").last().fill("40 mm");
  await page.locator("form[action$='/survey/conditions']").last().getByRole("button", { name: "Save" }).click();
  await page.locator("summary", { hasText: /^Red rot/ }).waitFor();
  await page.context().close();
});

test("a shop text that is refused comes back as it was typed", async () => {
  const page = await s.tablet("ottilie");
  await page.goto(`${s.address}/shop/files`);
  const form = page.locator("form", { has: page.locator("input[value=shop]") });
  const text = form.locator("textarea");
  await form.locator("summary").click();
  await text.fill((await text.inputValue()) + "\n# mine\ncolour = 1\nflavour = 2\n");
  await form.getByRole("button", { name: "Check and keep" }).click();
  await page.getByRole("alert").waitFor();
  assert.ok((await page.getByRole("alert").locator("li").count()) >= 1);
  assert.match(await page.locator("form", { has: page.locator("input[value=shop]") }).locator("textarea").inputValue(), /# mine\ncolour = 1/);
  await page.context().close();
});

/** Taps the picture where a part of a tube's length is, or puts a finger there. */
async function tap(page, run, part) {
  const at = await onThePicture(page, run, part);
  await page.mouse.click(at.x, at.y);
  return at;
}
const inView = (page, what) => page.locator(what).evaluate((e) => { const r = e.getBoundingClientRect(); return r.top >= 0 && r.bottom <= innerHeight && document.elementFromPoint(r.left + 4, r.top + r.height / 2) !== null; });

test("a tap on the picture sets a dent on that tube at that place; its form is in view, names the tube and has the focus", async () => {
  const page = await open("ramon");
  for (const [run, part] of [["bell-stem", 0.5], ["bell-bow", 0.25], ["bell-tail", 0.8], ["leadpipe", 0.15]]) {
    const at = await tap(page, run, part);
    await page.locator(`#tube [data-tube='${run}'] svg.strip`).waitFor();
    assert.equal(await page.locator("svg.strip").count(), 1, "one tube is drawn");
    // The window's pixel is some millimeters of the instrument.
    const mm = parseFloat(await page.locator("#editor [name=at]").inputValue());
    assert.ok(Math.abs(mm - at.mm) <= 3, `${run}: ${mm} mm, tapped at ${at.mm} mm`);
    assert.equal(await page.locator("#editor [name=run]").inputValue(), run);
    // On the middle of the tube: the side that faces the viewer, to the pixel, which is a good part of a thin tube's width.
    const clock = parseFloat(await page.locator("#editor [name=clock]").inputValue());
    assert.ok(Math.abs(clock - 270) <= 30, `${run}: ${clock}°`);
    assert.equal(await page.evaluate(() => document.activeElement.id), "editor-title");
    assert.ok(await inView(page, "#editor-title"));
    assert.match(await page.locator("#editor-where").textContent(), new RegExp(await page.locator("#tube h2").textContent()));
    // Nothing is in the survey of what was only tapped.
    assert.equal(await page.locator("#survey").getAttribute("data-waiting"), "0");
    await page.locator("#remove").click();
  }
  await page.context().close();
});

test("the clock is a clock: tapped, turned by keys, and told", async () => {
  const page = await open("ramon");
  await tap(page, "bell-stem", 0.35);
  const face = page.locator("#clock-face"), clock = page.locator("#editor [name=clock]");
  await face.scrollIntoViewIfNeeded();
  const box = await face.boundingBox();
  await page.mouse.click(box.x + box.width * 0.9, box.y + box.height / 2);
  assert.equal(await clock.inputValue(), "90°");
  assert.equal(await face.getAttribute("aria-valuetext"), "3:00 o'clock");
  await face.focus();
  await page.keyboard.press("ArrowRight");
  assert.equal(await clock.inputValue(), "105°");
  await saved(page);
  await page.locator("#remove").click();
  await saved(page);
  await page.context().close();
});

test("on a phone a tap opens a sheet with the tube, its steppers and one button; Done comes back to the picture", async () => {
  const page = await s.tablet("ramon", { viewport: { width: 390, height: 844 } });
  await page.goto(`${s.address}/jobs/${job}/survey`);
  await ready(page);
  await tap(page, "bell-stem", 0.6);
  const sheet = page.locator("#work[role=dialog]");
  await sheet.waitFor();
  const box = await sheet.boundingBox();
  assert.deepEqual([box.x, box.y, box.width, box.height], [0, 0, 390, 844]);
  assert.ok(await inView(page, "#tube svg.strip") && await inView(page, "#editor-title") && await inView(page, "#dent-done"));
  assert.equal(await page.evaluate(() => document.activeElement.id), "editor-title");
  await accessible(page, "the phone's sheet");
  await narrow(page, "the phone's sheet");
  const [less, more] = [page.locator("[data-step=depth][value='-1']"), page.locator("[data-step=depth][value='1']")];
  for (let i = 0; i < 3; i++) await more.click();
  await less.click();
  assert.equal(await page.locator("#editor [name=depth]").inputValue(), "1 mm");
  for (const b of [less, more, page.locator("#dent-done")]) { const r = await b.boundingBox(); assert.ok(r.width >= 48 && r.height >= 48, `${r.width} × ${r.height}`); }
  await saved(page);
  await page.locator("#crack-likelihood", { hasText: "%" }).waitFor();
  await page.locator("#dent-done").click();
  assert.equal(await page.locator("#work[role=dialog]").count(), 0);
  assert.ok(await inView(page, "svg.lie"));
  await page.context().close();
});

test("no sideways scroll at 320, 390, 768 and 1024 px", async () => {
  const page = await open("ramon");
  await page.locator("#dent-list button").first().click();
  for (const width of [320, 390, 768, 1024]) {
    await page.setViewportSize({ width, height: 768 });
    assert.ok((await page.evaluate(() => Math.max(document.documentElement.scrollWidth, document.getElementById("work").scrollWidth))) <= width, `${width} px`);
  }
  await page.context().close();
});

test("the legs of one slide are saved in one go", async () => {
  const page = await open("ramon");
  await page.locator("#fits > summary").click();
  const form = page.locator("form[data-pair]").first();
  await form.locator("label.tap", { hasText: "stuck" }).first().click();
  await page.waitForFunction(() => document.getElementById("survey").dataset.sheets === "0");
  await page.reload();
  await page.locator("#fits > summary").click();
  assert.equal(await form.locator("input:checked[value=stuck]").count(), 2);
  await page.context().close();
});
