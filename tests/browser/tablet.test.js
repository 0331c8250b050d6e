// A whole instrument entered on the tablet: a euphonium in silver plate with a bell of rose brass, measured walls and
// hardness, a stuck slide, a dent under a ferrule, a crease, a crack, a brace pushed in. Taps and keys are counted; it is
// planned as the same file is. Then the same page without a network.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { accessible, BINARY, openTube, picture, ready, ROOT, shop, takenIn } from "./shop.js";

let s, desk, scratch;
before(async () => { s = await shop(); desk = await s.tablet("ottilie"); scratch = mkdtempSync(path.join(tmpdir(), "trueround-tablet-")); }, { timeout: 120000 });
after(async () => { if (scratch) rmSync(scratch, { recursive: true, force: true }); await s?.close(); });

/** Fingers that count. A choice from a list is two taps, a text is its keys and the tap that goes there. */
function fingers(page) {
  return {
    count: 0,
    async tap(what) { await what.scrollIntoViewIfNeeded(); await what.click(); this.count += 1; },
    async type(what, text) { await this.tap(what); await page.keyboard.type(text); this.count += text.length; },
    async pick(what, value) { await what.selectOption(value); this.count += 2; },
    async strip(run, x, y) {
      this.count += await openTube(page, run);
      const strip = page.locator(`svg.strip[data-run='${run}']`);
      await strip.scrollIntoViewIfNeeded();
      const box = await strip.boundingBox();
      await page.mouse.click(box.x + box.width * x, box.y + Math.max(0.5, box.height * y));
      this.count += 1;
    },
    async chip(field, value) { await this.tap(page.locator(`#editor [data-chips=${field}] button[value='${value}']`)); },
    async choose(field, value) { await this.tap(page.locator(`#editor [data-choice='${field}'][value='${value}']`)); },
    async alloy(run, alloy) { await this.tap(page.locator(`#sheet-run-${run} label.tap`, { hasText: alloy })); },
    async open(sheet) {
      const run = /^sheet-run-(.+)$/.exec(sheet)?.[1];
      if (run) this.count += await openTube(page, run);
      await this.tap(page.locator(`#${sheet} > summary`));
    },
  };
}
const settled = async (page) => {
  await page.mouse.click(2, 2);
  await page.waitForFunction(() => { const d = document.getElementById("survey").dataset; return d.waiting === "0" && d.sheets === "0"; });
};
const planOf = (file) => {
  const out = mkdtempSync(path.join(scratch, "plan-"));
  const ran = spawnSync(BINARY, ["plan", file, "--out", out], { encoding: "utf8", cwd: ROOT });
  assert.equal(ran.status, 0, ran.stderr);
  return JSON.parse(readFileSync(path.join(out, "plan.json"), "utf8"));
};
test("a euphonium is entered in under 120 taps and keys, nothing is refused silently, and it is planned as its file", { timeout: 180000 }, async () => {
  const job = await takenIn(desk, s.address, "euphonium");
  const page = await s.tablet("ramon");
  await page.goto(`${s.address}/jobs/${job}/survey`);
  const hand = fingers(page);
  await hand.tap(page.getByRole("button", { name: "Begin the survey" }));
  await ready(page);
  // The whole: silver plate. The slides that are stuck.
  await hand.open("wishes");
  await hand.tap(page.locator("#sheet-whole-form label.tap", { hasText: "silver plate" }));
  await hand.open("fits");
  // The second leg follows the first.
  await hand.tap(page.locator("#sheet-fit-tuning-slide-first-leg-form label.tap", { hasText: "stuck" }).first());
  // The bell of rose brass, its walls and its hardness.
  for (const [run, wall, hardness] of [["bell-flare", "0.46", "96 HV"], ["bell-stem", "0.55", "98 HV"]]) {
    await hand.open(`sheet-run-${run}`);
    await hand.alloy(run, "rose brass");
    await hand.type(page.locator(`#sheet-run-${run} [name=wall]`), wall);
    await hand.type(page.locator(`#sheet-run-${run} [name=temper]`), hardness);
  }
  await hand.open("sheet-run-third-branch");
  await hand.type(page.locator("#sheet-run-third-branch [name=wall]"), "0.58");
  // Four dents.
  const sizes = async (depth, along, across) => { await hand.chip("depth", depth); await hand.chip("along", along); await hand.chip("across", across); };
  await hand.strip("bottom-bow", 210 / 219.9, 0.25);
  await sizes("2 mm", "15 mm", "12 mm");
  await settled(page);
  await hand.strip("top-bow", 0.5, 0.25);
  await sizes("3 mm", "20 mm", "18 mm");
  await hand.choose("crease.lies", "across");
  await settled(page);
  await hand.strip("second-branch", 0.3, 0.75);
  await sizes("4 mm", "20 mm", "12 mm");
  await hand.choose("crack", "yes");
  await hand.choose("crack.through", "yes");
  await settled(page);
  await hand.strip("third-branch", 0.4, 0);
  await sizes("3 mm", "20 mm", "18 mm");
  await hand.tap(page.locator("#editor summary", { hasText: "Tube, edge" }));
  await hand.pick(page.locator("#editor [name=pushed_in_by]"), "second-branch-brace");
  await settled(page);
  console.log(`taps and keys: ${hand.count}`);
  assert.ok(hand.count < 120, `${hand.count} taps and keys`);
  assert.equal(await page.locator(".problem:visible").count(), 0);
  await accessible(page, "the survey with its sheets open");
  await picture(page, "euphonium-survey", { fullPage: false });
  // As a file it plans as the same survey that a person wrote.
  const text = await page.evaluate((job) => fetch(`/jobs/${job}/survey.toml`).then((r) => r.text()), job);
  const mine = path.join(scratch, "tablet.survey.toml");
  writeFileSync(mine, text);
  const [tablet, file] = [planOf(mine), planOf(path.join(import.meta.dirname, "euphonium.survey.toml"))];
  for (const plan of [tablet, file]) for (const key of ["title", "customer", "surveyor", "date"]) { delete plan[key]; if (plan.survey) delete plan.survey[key]; }
  // To the last bit of every figure.
  assert.deepEqual(tablet, file);
  assert.ok(JSON.stringify(tablet).includes("second-branch-brace"));
  // What is refused is said beside its field, what was typed is shown, and it is not there after a reload.
  await openTube(page, "bell-flare");
  await page.locator("#sheet-run-bell-flare").evaluate((e) => { e.open = true; });
  const wall = page.locator("#sheet-run-bell-flare [name=wall]");
  await wall.fill("0.46 stone");
  await page.locator("#sheet-run-bell-flare .problem", { hasText: "cannot be read" }).waitFor();
  assert.equal(await wall.inputValue(), "0.46 stone");
  await page.locator("#dent-list button").first().click();
  await page.locator("#editor [name=depth]").fill("2 furlongs");
  await page.locator("#editor [data-beside=depth].problem", { hasText: "cannot be read" }).waitFor();
  await page.reload();
  await page.locator("#dent-list button").first().click();
  assert.equal(await page.locator("#editor [name=depth]").inputValue(), "2 mm");
  await openTube(page, "bell-flare");
  assert.equal(await page.locator("#sheet-run-bell-flare [name=wall]").inputValue(), "0.46 mm");
  // Beside what nobody measured stands what it is worth.
  await page.locator("[data-worth]", { hasText: /Worth measuring: ./ }).first().waitFor({ state: "attached", timeout: 60000 });
  await page.context().close();
});

test("a tap by accident is a draft, what is taken out comes back, a dent moves to another tube", async () => {
  const job = await takenIn(desk, s.address, "trumpet");
  const page = await s.tablet("ramon");
  await page.goto(`${s.address}/jobs/${job}/survey`);
  await page.getByRole("button", { name: "Begin the survey" }).click();
  await ready(page);
  const hand = fingers(page);
  await hand.strip("bell-stem", 0.3, 0.3);
  await page.locator("#draft").waitFor();
  await page.reload();
  assert.equal(await page.locator("#dent-count").textContent(), "0");
  await page.locator("#dent-list button").first().click();
  await hand.chip("depth", "3 mm");
  await settled(page);
  assert.equal(await page.locator("#dent-count").textContent(), "1");
  await page.locator("#editor summary", { hasText: "Tube, edge" }).click();
  await page.locator("#editor [name=run]").selectOption("bell-bow");
  await settled(page);
  await page.locator("#dent-list button", { hasText: "bell bow" }).waitFor();
  await page.locator("#editor input[type=file]").setInputFiles({ name: "dent.png", mimeType: "image/png", buffer: Buffer.from("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==", "base64") });
  await page.locator("#thumbs img").waitFor();
  await page.locator("#remove").click();
  await page.getByRole("button", { name: "Undo deleting d1" }).waitFor();
  await settled(page);
  await page.reload();
  assert.equal(await page.locator("#dent-count").textContent(), "0");
  await page.getByRole("button", { name: "Undo deleting d1" }).click();
  await settled(page);
  await page.reload();
  await page.locator("#dent-list button", { hasText: "d1 · bell bow · 3 mm" }).click();
  await page.locator("#thumbs img").waitFor();
  await page.context().close();
});

test("half a word that is refused while the rest of it is typed: the whole word is saved", async () => {
  const job = await takenIn(desk, s.address, "trumpet");
  const page = await s.tablet("ramon");
  await page.goto(`${s.address}/jobs/${job}/survey`);
  await page.getByRole("button", { name: "Begin the survey" }).click();
  await ready(page);
  // The answer to the first half is held back until the second is typed.
  let go, asked;
  const held = new Promise((done) => { go = done; }), first = new Promise((done) => { asked = done; });
  let times = 0;
  await page.route(/survey\/parts$/, async (route) => { times += 1; if (times === 1) { const answer = await route.fetch(); asked(answer.status()); await held; await route.fulfill({ response: answer }); } else await route.continue(); });
  await openTube(page, "bell-stem");
  await page.locator("#sheet-run-bell-stem > summary").click();
  await page.locator("#sheet-run-bell-stem [name=temper]").click();
  await page.keyboard.type("9");
  assert.equal(await first, 422);
  await page.keyboard.type("8 HV");
  go();
  await settled(page);
  assert.ok(times >= 2);
  await page.reload();
  await openTube(page, "bell-stem");
  assert.equal(await page.locator("#sheet-run-bell-stem [name=temper]").inputValue(), "98 HV");
  await page.context().close();
});

test("a key that falls between the answer to what was sent and the next sending clashes with nobody", async () => {
  const job = await takenIn(desk, s.address, "trumpet");
  const page = await s.tablet("ramon");
  // A slow tablet: what was to be sent 50 ms after an answer goes after three seconds.
  await page.addInitScript(() => { const soon = globalThis.setTimeout; globalThis.setTimeout = (f, ms, ...rest) => soon(f, ms === 50 ? 3000 : ms, ...rest); });
  await page.goto(`${s.address}/jobs/${job}/survey`);
  await page.getByRole("button", { name: "Begin the survey" }).click();
  await ready(page);
  const statuses = [];
  let go, asked;
  const held = new Promise((done) => { go = done; }), first = new Promise((done) => { asked = done; });
  await page.route(/survey\/parts$/, async (route) => {
    const answer = await route.fetch({ maxRedirects: 0 });
    statuses.push(answer.status());
    if (statuses.length === 1) { asked(); await held; }
    await route.fulfill({ response: answer });
  });
  await openTube(page, "bell-stem");
  const sheet = page.locator("#sheet-run-bell-stem");
  await sheet.locator(":scope > summary").click();
  await sheet.locator("[name=wall]").click();
  await page.keyboard.type("0.5");
  await sheet.locator("[name=temper]").click();
  await first;
  // The first key falls while the wall is on its way, the others after its answer and before the next sending.
  await page.keyboard.type("9");
  go();
  await page.waitForFunction(() => document.getElementById("survey").saved > 0);
  await page.keyboard.type("8 HV");
  await settled(page);
  assert.ok(statuses.length >= 2);
  assert.deepEqual(statuses.filter((status) => status >= 400), []);
  await page.reload();
  await openTube(page, "bell-stem");
  assert.equal(await sheet.locator("[name=temper]").inputValue(), "98 HV");
  assert.equal(await sheet.locator("[name=wall]").inputValue(), "0.5 mm");
  await page.context().close();
});

test("the network goes in the middle of the survey: nothing is lost, nothing is there twice", { timeout: 60000 }, async () => {
  const job = await takenIn(desk, s.address, "trumpet");
  let page = await s.tablet("ramon");
  await page.goto(`${s.address}/jobs/${job}/survey`);
  await page.getByRole("button", { name: "Begin the survey" }).click();
  await ready(page);
  const context = page.context();
  const hand = fingers(page);
  // The answer to the first dent and the first sheet is lost on its way: the record has both, the tablet does not know.
  let lost = 0;
  await context.route(/survey\/(dents|parts)$/, async (route) => { if (lost < 2) { lost += 1; await route.fetch(); await route.abort(); } else await route.continue(); });
  await hand.strip("bell-stem", 0.3, 0.3);
  await hand.chip("depth", "3 mm");
  await hand.open("sheet-run-leadpipe");
  await hand.type(page.locator("#sheet-run-leadpipe [name=wall]"), "0.46");
  await settled(page);
  assert.equal(lost, 2);
  // Then there is no network at all, and the tab is closed.
  await context.setOffline(true);
  await hand.open("sheet-run-bell-stem");
  await hand.alloy("bell-stem", "rose brass");
  await hand.strip("bell-bow", 0.5, 0.4);
  await hand.chip("depth", "2 mm");
  await page.getByText("Add what else is wrong").click();
  const rot = page.locator("#condition-new-form");
  await rot.locator("[name=kind]").selectOption("red rot");
  await rot.locator("[name=run]").selectOption("leadpipe");
  await rot.locator("[name=from]").fill("40");
  await rot.getByRole("button", { name: "Save" }).click();
  await page.locator("#net", { hasText: "kept on this tablet" }).waitFor();
  await page.waitForTimeout(1200);
  await page.close();
  await context.setOffline(false);
  page = await context.newPage();
  await page.goto(`${s.address}/jobs/${job}/survey`);
  await page.waitForFunction(() => { const d = document.getElementById("survey").dataset; return d.waiting === "0" && d.sheets === "0"; });
  await page.locator("summary", { hasText: /^Red rot/ }).waitFor();
  await page.reload();
  assert.equal(await page.locator("#dent-count").textContent(), "2");
  const file = await page.evaluate((job) => fetch(`/jobs/${job}/survey.toml`).then((r) => r.text()), job);
  assert.equal(file.match(/^\[\[dent\]\]/gm).length, 2);
  const run = (id) => file.split("[[run]]").find((t) => t.includes(`id = "${id}"`));
  assert.match(run("leadpipe"), /wall = "0.46 mm"/);
  assert.match(run("bell-stem"), /alloy = "rose brass"/);
  assert.equal(file.match(/^\[\[condition\]\]/gm).length, 1);
  assert.match(file, /from = "40 mm"/);
  await context.close();
});

const PNG = Buffer.from("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==", "base64");

test("without a network a new dent and its photo are taken, and are there once when it is back", { timeout: 90000 }, async () => {
  const job = await takenIn(desk, s.address, "trumpet");
  let page = await s.tablet("ramon");
  await page.goto(`${s.address}/jobs/${job}/survey`);
  await page.getByRole("button", { name: "Begin the survey" }).click();
  await ready(page);
  const context = page.context(), hand = fingers(page);
  await context.setOffline(true);
  await hand.strip("bell-stem", 0.3, 0.3);
  await hand.chip("depth", "3 mm");
  const camera = page.locator("#editor input[type=file]");
  await camera.setInputFiles({ name: "dent.png", mimeType: "image/png", buffer: PNG });
  // It is seen at once, from the tablet, and said to wait.
  await page.locator("#thumbs a.waits img").waitFor();
  await page.locator("#net", { hasText: "kept on this tablet" }).waitFor();
  // A tap that is not more than a photo is no slip: the draft is kept.
  await hand.strip("bell-bow", 0.5, 0.4);
  await camera.setInputFiles({ name: "dent2.png", mimeType: "image/png", buffer: Buffer.concat([PNG, Buffer.from("another")]) });
  await page.waitForFunction(() => document.documentElement.dataset.photos === "2");
  await page.close();
  await context.setOffline(false);
  // The answers to the photos are lost on their way once more: the record has them, the tablet sends them again.
  let lost = 0;
  await context.route(/\/photos\?/, async (route) => { if (lost < 2) { const answer = await route.fetch(); if (answer.status() === 201) lost += 1; await route.abort(); } else await route.continue(); });
  page = await context.newPage();
  await page.goto(`${s.address}/jobs/${job}/survey`);
  await page.waitForFunction(() => document.getElementById("survey").dataset.waiting === "0" && document.documentElement.dataset.photos === "0", null, { timeout: 60000 });
  assert.equal(lost, 2);
  await page.reload();
  assert.equal(await page.locator("#dent-count").textContent(), "2");
  for (const n of [0, 1]) {
    await page.locator("#dent-list button").nth(n).click();
    await page.locator("#thumbs img").waitFor();
    assert.equal(await page.locator("#thumbs img").count(), 1);
    // Made small by the shop's machine, with the whole behind it.
    assert.match(await page.locator("#thumbs img").getAttribute("src"), /\/photos\/\d+\/small$/);
    await page.waitForFunction(() => document.querySelector("#thumbs img").naturalWidth > 0);
  }
  await page.goto(`${s.address}/jobs/${job}`);
  assert.equal(await page.locator("a.thumb img").count(), 2);
  await context.close();
});

test("without a network the bench goes on: ticks are kept in order and made once when it is back", { timeout: 120000 }, async () => {
  const JOB = 1; // The demo's tuba; before the yes the bench may begin.
  const owner = await s.tablet("ottilie");
  const journal = async () => { await owner.goto(`${s.address}/journal`); return await owner.locator("li[data-line]").evaluateAll((all) => all.map((l) => [l.dataset.at, l.dataset.who, l.dataset.deed, l.dataset.line].join(" "))); };
  const [newest] = await journal();
  const page = await s.tablet("ramon");
  await page.goto(`${s.address}/jobs/${JOB}/bench`);
  const context = page.context();
  const open = async () => page.locator("li.step:not(.done) button[value=tick]:not([disabled])").evaluateAll((all) => all.map((b) => b.closest("li").value));
  const step = (n) => page.locator(`li.step[value="${n}"]`);
  const tick = async (n, act = "Done") => {
    await step(n).evaluate((li) => { li.querySelector("details").open = true; });
    await step(n).getByRole("button", { name: act, exact: true }).click();
  };
  const before = await open();
  await context.setOffline(true);
  // The first step with its timer, then those that waited for it.
  await tick(before[0], "Start");
  await page.locator("#net", { hasText: "kept on this tablet" }).waitFor();
  await tick(before[0]);
  const done = [before[0]];
  while (done.length < 4) {
    const next = (await open()).find((n) => !done.includes(n));
    assert.ok(next, `after ${done} nothing may be worked`);
    await tick(next);
    done.push(next);
  }
  assert.ok(done.some((n) => !before.includes(n)), `${done}: a step that waited for another is worked without the network`);
  assert.equal(await page.locator("#bench").getAttribute("data-waiting"), "5");
  // The tab is closed; the network is back, and loses the first answer.
  await page.close();
  await context.setOffline(false);
  let lost = 0;
  await context.route(/\/bench$/, async (route) => { if (route.request().method() === "POST" && lost < 1) { lost += 1; await route.fetch(); await route.abort(); } else await route.continue(); });
  const again = await context.newPage();
  await again.goto(`${s.address}/jobs/${JOB}/bench`);
  await again.getByText(new RegExp(`^${done.length} of \\d+ steps done`)).waitFor({ timeout: 60000 });
  assert.equal(lost, 1);
  assert.equal(await again.locator("#bench").getAttribute("data-waiting"), "0");
  for (const n of done) assert.match(await again.locator(`li.step[value="${n}"] .state`).first().textContent(), /done/);
  await again.reload();
  assert.equal(await again.locator("li.step.done").count(), done.length);
  assert.equal(await again.locator("#bench-refused").isVisible(), false);
  // Each is in the journal once.
  const lines = await journal(), added = lines.slice(0, lines.indexOf(newest)).filter((line) => line.includes("insert steps "));
  assert.equal(added.length, done.length, added.join("\n"));
  await owner.context().close();
  await context.close();
});

test("what is written at the bench is not taken away by the late answer to the tap before", { timeout: 60000 }, async () => {
  const JOB = 2;
  const page = await s.tablet("ramon");
  await page.goto(`${s.address}/jobs/${JOB}/bench`);
  const first = page.locator("li.step:not(.done)", { has: page.locator("button[value=tick]:not([disabled])") }).first();
  const number = await first.getAttribute("value");
  const step = page.locator(`li.step[value="${number}"]`);
  await step.evaluate((li) => li.querySelectorAll("details").forEach((d) => { d.open = true; }));
  // The answer to Start takes two seconds; meanwhile a note is typed.
  let slow = true;
  await page.context().route(/\/bench$/, async (route) => { if (route.request().method() === "POST" && slow) await new Promise((done) => setTimeout(done, 2000)); await route.continue(); });
  const answered = page.waitForResponse((r) => r.request().method() === "POST" && r.url().endsWith("/bench"));
  await step.getByRole("button", { name: "Start", exact: true }).click();
  const note = step.getByLabel("Note, or why it is skipped");
  await note.fill("the ferrule was soldered twice");
  await answered;
  slow = false;
  await page.waitForTimeout(1500);
  assert.equal(await note.inputValue(), "the ferrule was soldered twice");
  // Kept, the page is that of the record: the timer runs and the note stands.
  const fresh = page.waitForEvent("load");
  await step.getByRole("button", { name: "Keep note" }).click();
  await fresh;
  assert.match(await step.locator(".state").first().textContent(), /runs/);
  assert.equal(await step.getByLabel("Note, or why it is skipped").inputValue(), "the ferrule was soldered twice");
  await page.context().close();
});
