// Other work on a tablet: the owner's list, work added to a job beside its dents, seen on the quote and at the bench; rush and discount.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { accessible, shop } from "./shop.js";

let s, owner;
// The Heron trombone of the demo: surveyed, with dents, not yet quoted.
const JOB = 3;
before(async () => { s = await shop(); owner = await s.tablet("ottilie"); }, { timeout: 120000 });
after(async () => { await s?.close(); });

const form = (name) => owner.locator(`#work-${name}-form`);
async function add(job, more = async () => {}) {
  const fold = owner.locator("details", { has: form("new") });
  if (!(await fold.getAttribute("open") !== null)) await fold.locator("> summary").click();
  await form("new").getByLabel("Job").selectOption(job);
  await more();
  // The page comes anew once the record has it.
  await Promise.all([owner.waitForEvent("load"), form("new").getByRole("button", { name: "Add" }).click()]);
  await owner.locator("#other-work").waitFor();
}

test("a job of the shop's own goes on the list", async () => {
  await owner.goto(`${s.address}/shop/jobs`);
  await accessible(owner, "standard-jobs");
  const fresh = owner.locator("form", { has: owner.locator("input[name=key][value='']") });
  await fresh.getByLabel("Name at the bench").fill("Refit a crook's ring");
  for (const [end, min] of [["All goes well", "5"], ["Usual", "10"], ["Fights back", "x"]]) await fresh.getByLabel(end).fill(min);
  await fresh.getByRole("button", { name: "Add" }).click();
  await owner.locator(".problem").first().waitFor();
  const again = owner.locator("form", { has: owner.locator("input[name=key][value='']") });
  assert.equal(await again.getByLabel("Name at the bench").inputValue(), "Refit a crook's ring");
  await again.getByLabel("Fights back").fill("25");
  await again.getByRole("button", { name: "Add" }).click();
  await owner.locator("summary", { hasText: "Refit a crook's ring" }).waitFor();
});

test("work is added to a job and stands on quote and bench", async () => {
  await owner.goto(`${s.address}/jobs/${JOB}/survey`);
  await add("water_key_cork", async () => { await form("new").getByLabel("How often").fill("2"); });
  await owner.locator("summary", { hasText: "New cork on a water key, 2 times" }).waitFor();
  await add("refit_a_crook_s_ring");
  await owner.locator("#other-work").scrollIntoViewIfNeeded();
  await accessible(owner, "survey-work");
  await owner.goto(`${s.address}/jobs/${JOB}/quote`);
  // All three offers hold it, in the customer's words.
  assert.equal(await owner.locator(".offer", { hasText: /New water-key cork \(2\)/i }).count(), 3);
  const lines = owner.locator(".offer").first().locator("table");
  await owner.locator(".offer").first().locator("summary", { hasText: "What the price is made of" }).click();
  assert.match(await lines.textContent(), /New water-key cork \(2\)\$\d/);
  await owner.goto(`${s.address}/jobs/${JOB}/bench`);
  const step = owner.locator("li.step", { hasText: "New cork on a water key, 2 times" });
  await step.locator("summary").first().click();
  await step.scrollIntoViewIfNeeded();
  await accessible(owner, "bench-work");
});

test("rush and discount change the next quote and say why", async () => {
  await owner.goto(`${s.address}/jobs/${JOB}/quote`);
  const price = async () => Number((await owner.locator(".offer .price").first().textContent()).replace(/[^\d.]/g, ""));
  const before = await price();
  const terms = owner.locator("#terms");
  await terms.locator("> summary").click();
  await terms.getByLabel(/^Rush/).check();
  await terms.getByLabel("Wanted by").fill("2099-12-04");
  await terms.getByLabel("Discount").fill("10 %");
  await terms.getByRole("button", { name: "Save the terms" }).click();
  // Without a reason it is refused, and what was typed stands.
  await owner.locator("#terms .problem").first().waitFor();
  await terms.getByLabel("Why").fill("School contract");
  await terms.getByRole("button", { name: "Save the terms" }).click();
  await owner.locator("#terms summary", { hasText: "Discount 10 %: School contract" }).waitFor();
  assert.ok(await price() > before, "a quarter of the labor more, a tenth of all less");
  await terms.locator("> summary").click();
  await accessible(owner, "quote-terms");
});
