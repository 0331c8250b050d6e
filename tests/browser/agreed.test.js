// What was agreed is what is done: the tuba's customer signs the smallest offer, something is found on the bench, a supplement is
// signed, prices and tools change in between; nothing that was agreed moves.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { spawnSync } from "node:child_process";
import { narrow, openTube, shop } from "./shop.js";

const JOB = 1; // The demo's tuba that fell down the stair: quoted, not answered.
let s, bench, desk;
before(async () => {
  s = await shop();
  [bench, desk] = [await s.tablet("ramon"), await s.tablet("ottilie")];
}, { timeout: 120000 });
after(async () => { await s?.close(); });

const cents = (text) => Math.round(Number(/\$([\d,]+(?:\.\d\d)?)/.exec(text)[1].replaceAll(",", "")) * 100);
const linkOf = async (page) => new URL(await page.locator("a[href*='/q/']").first().getAttribute("href"), s.address).href;

async function sign(page, button) {
  await page.getByLabel("Your name").fill("A. Parent");
  const pad = page.locator("#signature");
  await pad.scrollIntoViewIfNeeded();
  const box = await pad.boundingBox();
  await page.mouse.move(box.x + 30, box.y + 60);
  await page.mouse.down();
  for (let i = 1; i <= 8; i++) await page.mouse.move(box.x + 30 + i * 25, box.y + 60 + Math.sin(i) * 30);
  await page.mouse.up();
  await page.getByRole("button", { name: button }).click();
  await page.getByText("Thank you").waitFor();
}

/** The steps as the bench reads them: what is done, without where it stands. */
const stepsOf = (page) => page.locator("li.step > details > summary > strong").allTextContents();

/** The next step is ticked, and the record has it. */
async function done(page) {
  const next = page.locator("li.step.next"), number = await next.getAttribute("value");
  await next.getByRole("button", { name: "Done" }).click();
  await page.locator(`li.step.done[value="${number}"] button[value=untick]`).waitFor({ state: "attached" });
}

async function hash(page, url) {
  const answer = await page.request.get(url);
  assert.equal(answer.status(), 200);
  return createHash("sha256").update(await answer.body()).digest("hex");
}

/** Sets a dent on a run's strip, at a part of the stretch that its guard covers; the place that the strip says of it. */
async function underTheGuard(page, run, along, round) {
  await openTube(page, run);
  const strip = page.locator(`svg.strip[data-run='${run}']`);
  await strip.scrollIntoViewIfNeeded();
  const at = await strip.evaluate((svg, [along, round]) => {
    const guard = [...svg.querySelectorAll(".cover")].map((c) => c.getBoundingClientRect()).sort((a, b) => b.width * b.height - a.width * a.height)[0];
    const all = svg.getBoundingClientRect();
    const [x, y] = [guard.left - all.left + along * guard.width, guard.top - all.top + round * guard.height];
    return { x, y, mm: (x / all.width) * Number(svg.dataset.length), deg: (y / all.height) * 360 };
  }, [along, round]);
  await page.mouse.click((await strip.boundingBox()).x + at.x, (await strip.boundingBox()).y + at.y);
  return { run, ...at };
}

/** The survey's file has the dent where it was tapped, and the file's guard covers that place. */
async function lies(page, dent, { run, mm, deg }) {
  const file = await page.request.get(`${s.address}/jobs/${JOB}/survey.toml`).then((r) => r.text());
  const table = (list, id) => file.split(`[[${list}]]`).find((t) => t.includes(`\nid = "${id}"\n`));
  const said = table("dent", dent);
  assert.match(said, new RegExp(`run = "${run}"`));
  const at = Number(/at = "([\d.]+) mm"/.exec(said)[1]);
  assert.ok(Math.abs(at - mm) < 2, `${at} mm, tapped ${mm} mm`);
  const cover = /from = "([\d.]+) mm", to = "([\d.]+) mm", clock = \["([\d.]+)°?", "([\d.]+)°?"\]/.exec(table("overlay", `${run}-guard`));
  const [from, to, left, right] = cover.slice(1).map(Number);
  assert.ok(from < at && at < to && left < deg - 8 && deg + 8 < right, `${at} mm, ${deg}° and the guard ${cover[0]}`);
}

/** The owner pays labor ten times as high and lends a third of the tools out: both through the settings' page. */
async function dearerAndFewerTools(owner) {
  const keep = async (which, change) => {
    await owner.goto(`${s.address}/shop/files`);
    const form = owner.locator("form", { has: owner.locator(`input[name=which][value=${which}]`) });
    const box = form.locator("textarea"), before = await box.inputValue(), after = change(before);
    assert.notEqual(after, before);
    await form.locator("summary").click();
    await box.fill(after);
    await form.getByRole("button", { name: "Check and keep" }).click();
    await owner.waitForLoadState();
    assert.equal(await owner.locator(".problem").count(), 0, "the shop's file is taken");
    assert.equal((await owner.locator("form", { has: owner.locator(`input[name=which][value=${which}]`) }).locator("textarea").inputValue()).trim(), after.trim());
  };
  await keep("shop", (text) => text.replace(/labour_per_hour = "\$(\d+)"/, 'labour_per_hour = "$9$1"'));
  await keep("rack", (text) => { const tools = text.split("[[tool]]"); return tools.slice(0, Math.ceil((2 * tools.length) / 3)).join("[[tool]]"); });
}

/** The lines of the journal, newest first: when, who, what, and the line's number. */
async function journal(owner) {
  await owner.goto(`${s.address}/journal`);
  return await owner.locator("li[data-line]").evaluateAll((all) => all.map((l) => [l.dataset.at, l.dataset.who, l.dataset.deed, l.dataset.line]));
}

/** The words of a paper. */
function words(pdf) {
  const ran = spawnSync("pdftotext", ["-layout", "-", "-"], { input: pdf, encoding: "utf8" });
  assert.equal(ran.status, 0, `pdftotext (poppler-utils): ${ran.error || ran.stderr}`);
  return ran.stdout;
}

test("signed, found, asked again, signed again: to the cent and to the byte", async () => {
  const [before] = await journal(desk);
  // The customer takes the smallest offer.
  await desk.goto(`${s.address}/jobs/${JOB}/quote`);
  const link = await linkOf(desk);
  const customer = await s.tablet(null);
  await customer.goto(link);
  assert.equal(await customer.locator("input[name=chosen]:checked").count(), 0, "no offer is chosen for the customer");
  const play = cents(await customer.locator(".offer").first().locator(".price").textContent());
  await customer.locator("input[name=chosen]").first().check();
  await narrow(customer, "the customer's page");
  await sign(customer, "Accept this offer");
  const paper = await hash(customer, `${link}/quote.pdf`);

  // The bench works that offer: what stays is said.
  await bench.goto(`${s.address}/jobs/${JOB}/bench`);
  const agreed = await bench.locator("p", { hasText: "Agreed: Playing condition" }).first().textContent();
  const [, worked, all, left] = /(\d+) of (\d+) dents are worked, (\d+) stay by agreement/.exec(agreed).map(Number);
  assert.equal(worked + left, all);
  assert.ok(left > worked / 2, `${left} stay`);
  const steps = await bench.locator("li.step").count(), agreedSteps = await stepsOf(bench);
  // A step is done before anything is found.
  await done(bench);

  // One tap on the bench, and a dent is found under the guard of the bottom bow: on its strip, within what the guard covers.
  await bench.getByRole("link", { name: "Found something" }).click();
  await bench.locator("#survey").waitFor();
  const found = await underTheGuard(bench, "bottom-bow", 0.7, 0.4);
  await bench.locator("#editor [name=depth]").fill("7 mm");
  await bench.locator("#editor [name=along]").fill("45 mm");
  await bench.locator("#editor [name=across]").fill("40 mm");
  await bench.waitForFunction(() => document.getElementById("survey").dataset.waiting === "0");
  const dent = await bench.locator("#editor-title").textContent().then((t) => /d\d+/.exec(t)[0]);
  await lies(bench, dent, found);

  // Meanwhile labor rises and a rod goes away: nothing agreed moves.
  await dearerAndFewerTools(desk);
  await bench.goto(`${s.address}/jobs/${JOB}/bench`);
  assert.equal(await bench.locator("li.step").count(), steps, "the agreed steps stand");
  assert.deepEqual(await stepsOf(bench), agreedSteps);
  await bench.getByText("Found since it was agreed").waitFor();

  // The customer is asked and signs.
  await bench.getByRole("link", { name: "What it changes" }).first().click();
  const adds = cents(await bench.getByRole("row", { name: /This adds/ }).textContent());
  assert.ok(adds > 0);
  await bench.getByRole("button", { name: "Ask the customer" }).click();
  await bench.getByText("The customer was asked and has not answered.").waitFor();
  await desk.goto(`${s.address}/jobs/${JOB}/quote`);
  const more = await linkOf(desk);
  assert.notEqual(more, link);
  await customer.goto(more);
  assert.equal(cents(await customer.getByRole("row", { name: /This adds/ }).textContent()), adds);
  await narrow(customer, "the customer's page of the supplement");
  await sign(customer, "Yes, do this too");
  const second = await hash(customer, `${more}/quote.pdf`);

  // To the cent: what was signed and what was added.
  await desk.reload();
  assert.equal(cents(await desk.getByRole("row", { name: /In all/ }).textContent()), play + adds);
  await bench.goto(`${s.address}/jobs/${JOB}/bench`);
  assert.match(await bench.locator("p", { hasText: "Agreed: Playing condition" }).first().textContent(), /found since and agreed/);
  assert.match(await bench.locator("main").textContent(), /1 of \d+ steps done/);
  assert.ok((await bench.locator("li.step", { hasText: new RegExp(`\\b${dent}\\b`) }).count()) > 0, `${dent} is worked`);
  // Once more all three change, the survey in the record too: the work that was agreed stays the same, step by step.
  const then = await stepsOf(bench);
  await dearerAndFewerTools(desk);
  await bench.goto(`${s.address}/jobs/${JOB}/survey`);
  await bench.locator("#dent-list button").first().click();
  await bench.locator("#editor [name=depth]").fill("1 mm");
  await bench.waitForFunction(() => document.getElementById("survey").dataset.waiting === "0");
  await bench.goto(`${s.address}/jobs/${JOB}/bench`);
  assert.deepEqual(await stepsOf(bench), then);

  // The steps are worked; the rest is let go by name, and it is handed back.
  await done(bench);
  await bench.goto(`${s.address}/jobs/${JOB}/checks`);
  await bench.getByText("Ready all the same").first().click();
  await bench.getByLabel("Who lets it go").fill("Ramon Achterberg");
  await bench.getByLabel("Reason").last().fill("The parade is on Saturday");
  await bench.getByRole("button", { name: "Ready all the same" }).click();
  await desk.goto(`${s.address}/jobs/${JOB}/hand-back`);
  assert.equal(cents(await desk.locator("p.big", { hasText: "outstanding" }).textContent()), play + adds);
  assert.equal(cents(await desk.getByRole("row", { name: /^Total/ }).textContent()), play + adds);
  const invoice = words(await desk.request.get(`${s.address}/jobs/${JOB}/invoice.pdf`).then((r) => r.body()));
  assert.equal(cents(/^\s*Total .*$/m.exec(invoice)[0]), play + adds, invoice);
  assert.equal(cents(/^\s*Outstanding .*$/m.exec(invoice)[0]), play + adds, invoice);
  // The list of what was let go does not fill the customer's paper.
  assert.match(invoice, /\d+ of \d+ steps are open/);
  assert.ok(invoice.split("\f").length - 1 <= 2, "the invoice has at most two pages");
  for (const part of ["", "/survey", "/plan", "/quote", "/bench", "/checks", "/hand-back", "/supplement"]) {
    await desk.goto(`${s.address}/jobs/${JOB}${part}`);
    await narrow(desk, `the job's page ${part}`);
  }
  await desk.goto(`${s.address}/jobs/${JOB}/hand-back`);
  await desk.getByLabel("Collected by").fill("A. Parent");
  await desk.getByRole("button", { name: "Picked up" }).click();
  await desk.locator("h1 + p .state", { hasText: "Picked up" }).waitFor();

  // To the byte: both papers are the ones that were signed, after all of that.
  assert.equal(await hash(customer, `${link}/quote.pdf`), paper);
  assert.equal(await hash(customer, `${more}/quote.pdf`), second);
  await desk.goto(`${s.address}/jobs/${JOB}/quote`);
  const agreements = await desk.locator("a[href*='/agreements/']").evaluateAll((all) => [...new Set(all.map((a) => a.getAttribute("href")).filter((h) => /\/\d+$/.test(h)))]);
  assert.equal(agreements.length, 2);
  for (const [n, digest] of [paper, second].entries()) {
    await desk.goto(new URL(agreements[n], s.address).href);
    assert.ok((await desk.locator("main").textContent()).includes(digest), "the shop's page says the paper's hash");
    assert.equal(await hash(desk, `${s.address}${agreements[n]}.pdf`), digest);
  }

  // The journal tells who, when and what: the customer's two agreements, what was found, labor and tools, the hand-back.
  const lines = await journal(desk), rows = lines.slice(0, lines.findIndex((row) => row.join() === before.join()));
  for (const [when] of rows) assert.match(when, /\d{4}-\d\d-\d\d \d\d:\d\d/);
  const who = (deed) => rows.filter(([, , what]) => what.startsWith(deed)).map(([, who]) => who);
  assert.deepEqual(who("insert agreements"), ["customer", "customer"]);
  assert.ok(who("insert dents").includes("ramon"));
  assert.deepEqual(who("update settings").concat(who("insert settings")), Array(4).fill("ottilie"));
  assert.deepEqual(who("insert hand_backs"), ["ottilie"]);
  for (const page of [customer, bench, desk]) await page.context().close();
}, { timeout: 300000 });
