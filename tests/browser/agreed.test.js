// What was agreed is what is done: the tuba's customer signs the smallest offer, something is found on the bench, a supplement is
// signed, prices and tools change in between; nothing that was agreed moves.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { shop } from "./shop.js";

const JOB = 1; // The demo's tuba that fell down the stair: quoted, not answered.
let s, bench, desk;
before(async () => {
  s = await shop();
  [bench, desk] = [await s.tablet("ramon"), await s.tablet("ottilie")];
}, { timeout: 120000 });
after(async () => { await s?.close(); });

const cents = (text) => Math.round(Number(/\$([\d,]+\.\d\d)/.exec(text)[1].replaceAll(",", "")) * 100);
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

async function hash(page, url) {
  const answer = await page.request.get(url);
  assert.equal(answer.status(), 200);
  return createHash("sha256").update(await answer.body()).digest("hex");
}

test("signed, found, asked again, signed again: to the cent and to the byte", async () => {
  // The customer takes the smallest offer.
  await desk.goto(`${s.address}/jobs/${JOB}/quote`);
  const link = await linkOf(desk);
  const customer = await s.tablet(null);
  await customer.goto(link);
  assert.equal(await customer.locator("input[name=chosen]:checked").count(), 0, "no offer is chosen for the customer");
  const play = cents(await customer.locator(".offer").first().locator(".price").textContent());
  await customer.locator("input[name=chosen]").first().check();
  await sign(customer, "Accept this offer");
  const paper = await hash(customer, `${link}/quote.pdf`);

  // The bench works that offer: what stays is said.
  await bench.goto(`${s.address}/jobs/${JOB}/bench`);
  const agreed = await bench.locator("p", { hasText: "Agreed: Make it play" }).first().textContent();
  const [, worked, all, left] = /(\d+) of (\d+) dents are worked, (\d+) stay by agreement/.exec(agreed).map(Number);
  assert.equal(worked + left, all);
  assert.ok(left > worked / 2, `${left} stay`);
  const steps = await bench.locator("li.step").count();
  // A step is done before anything is found.
  await bench.locator("li.step.next").getByRole("button", { name: "Done" }).click();
  await bench.waitForLoadState();

  // One tap on the bench, and a dent is found under the guard of the bottom bow.
  await bench.getByRole("link", { name: "Found something" }).click();
  await bench.locator("#survey").waitFor();
  const run = await bench.locator("svg.strip").evaluateAll((all) => all.map((e) => e.dataset.run).find((r) => /bow/.test(r)));
  const strip = bench.locator(`svg.strip[data-run='${run}']`);
  await strip.scrollIntoViewIfNeeded();
  const box = await strip.boundingBox();
  await strip.click({ position: { x: box.width * 0.5, y: box.height * 0.35 } });
  await bench.locator("#editor [name=depth]").fill("7 mm");
  await bench.waitForFunction(() => document.getElementById("survey").dataset.waiting === "0");

  // Meanwhile labor rises and a rod goes away: nothing agreed moves.
  await desk.goto(`${s.address}/shop`);
  const prices = desk.locator("textarea").filter({ hasText: "labour_per_hour" });
  if (await prices.count()) {
    await prices.fill((await prices.inputValue()).replace('labour_per_hour = "$', 'labour_per_hour = "$9'));
    await prices.locator("xpath=ancestor::form").getByRole("button").first().click();
    await desk.waitForLoadState();
  }
  await bench.goto(`${s.address}/jobs/${JOB}/bench`);
  assert.equal(await bench.locator("li.step").count(), steps, "the agreed steps stand");
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
  await sign(customer, "Yes, do this too");

  // To the cent: what was signed and what was added.
  await desk.reload();
  assert.equal(cents(await desk.getByRole("row", { name: /In all/ }).textContent()), play + adds);
  // To the byte: the first paper is the one that was signed.
  assert.equal(await hash(customer, `${link}/quote.pdf`), paper);
  await bench.goto(`${s.address}/jobs/${JOB}/bench`);
  assert.match(await bench.locator("p", { hasText: "Agreed: Make it play" }).first().textContent(), /found since and agreed/);
  assert.match(await bench.locator("main").textContent(), /1 of \d+ steps done/);
  // The journal tells who, when and what.
  await desk.goto(`${s.address}/journal`);
  assert.match(await desk.locator("main").textContent(), /agreement/);
  for (const page of [customer, bench, desk]) await page.context().close();
}, { timeout: 240000 });
