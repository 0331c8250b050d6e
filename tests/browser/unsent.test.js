// What one person entered on a tablet and could not send does not go out under the next person's name: it waits for the one who
// entered it, and the others are told how much, and whose.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { accessible, openTube, PASSWORD, ready, shop, takenIn } from "./shop.js";

let s, desk;
before(async () => { s = await shop(); desk = await s.tablet("ottilie"); }, { timeout: 120000 });
after(async () => { await s?.close(); });

/** Another person takes the tablet: the cookies of the first are gone, what it keeps stays. */
async function changeTo(page, login) {
  await page.context().clearCookies({ name: "trueround_session" });
  await page.goto(`${s.address}/sign-in`);
  await page.getByLabel("Name").fill(login);
  await page.getByLabel("Password").fill(PASSWORD);
  await page.getByRole("button", { name: "Sign in" }).click();
  await page.getByRole("heading", { name: "Jobs" }).waitFor();
}
/** Who wrote lines of the journal about something, newest first. */
async function wrote(what) {
  await desk.goto(`${s.address}/journal`);
  return desk.locator("li[data-line]").evaluateAll((all, what) => all.filter((l) => l.dataset.deed === what).map((l) => l.dataset.who), what);
}
const PNG = Buffer.from("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==", "base64");

test("dents, sheets and photos that one person could not send wait for that person", { timeout: 120000 }, async () => {
  const job = await takenIn(desk, s.address, "trumpet");
  let page = await s.tablet("ramon");
  const context = page.context();
  await page.goto(`${s.address}/jobs/${job}/survey`);
  await page.getByRole("button", { name: "Begin the survey" }).click();
  await ready(page);
  // Ramon's network is gone: a dent, a photo of it, a sheet.
  await context.setOffline(true);
  await openTube(page, "bell-stem");
  const strip = page.locator("svg.strip[data-run='bell-stem']");
  await strip.scrollIntoViewIfNeeded();
  const box = await strip.boundingBox();
  await page.mouse.click(box.x + box.width * 0.3, box.y + box.height * 0.3);
  await page.locator("#editor [data-chips=depth] button[value='3 mm']").click();
  await page.locator("#editor input[type=file]").setInputFiles({ name: "dent.png", mimeType: "image/png", buffer: PNG });
  await openTube(page, "leadpipe");
  await page.locator("#sheet-run-leadpipe > summary").click();
  await page.locator("#sheet-run-leadpipe [name=wall]").fill("0.46");
  await page.waitForFunction(() => document.documentElement.dataset.photos === "1" && document.getElementById("survey").dataset.sheets === "1");
  // A page that is closing may still hear of the network: it would send under its own person's name, as it should. Signed out it cannot.
  await context.clearCookies({ name: "trueround_session" });
  await page.close();
  await context.setOffline(false);
  const before = await wrote("insert dents");
  // Wren signs in on the same tablet, opens the same survey, and stays a while.
  page = await context.newPage();
  await changeTo(page, "wren");
  await page.goto(`${s.address}/jobs/${job}/survey`);
  await ready(page);
  await page.locator("#others", { hasText: /^3 entries by Ramon.* are on this tablet and not sent yet\. Ramon.* must sign in here to send them\.$/ }).waitFor();
  await page.waitForTimeout(4000);
  assert.equal(await page.locator("#dent-count").textContent(), "0", "Ramon's dent is not shown to Wren");
  assert.equal(await page.locator("#survey").getAttribute("data-waiting"), "0");
  assert.deepEqual(await wrote("insert dents"), before, "nothing went out under Wren's name");
  assert.deepEqual(await wrote("insert photos"), []);
  await page.goto(`${s.address}/jobs/${job}/survey`);
  await page.locator("#others").waitFor();
  await accessible(page, "a tablet with another person's entries");
  // What Wren enters is Wren's, and goes out at once, beside what waits.
  await openTube(page, "bell-stem");
  await page.locator("#sheet-run-bell-stem > summary").click();
  await page.locator("#sheet-run-bell-stem [name=wall]").fill("0.52");
  await page.mouse.click(2, 2);
  await page.waitForFunction(() => document.getElementById("survey").dataset.sheets === "0");
  // Ramon is back: all of it goes, under Ramon's name.
  await changeTo(page, "ramon");
  await page.goto(`${s.address}/jobs/${job}/survey`);
  await page.waitForFunction(() => { const d = document.getElementById("survey").dataset; return d.waiting === "0" && document.documentElement.dataset.photos === "0"; }, null, { timeout: 60000 });
  await page.waitForTimeout(500);
  await page.reload();
  assert.equal(await page.locator("#dent-count").textContent(), "1");
  assert.equal(await page.locator("#others").count(), 0);
  assert.equal((await wrote("insert dents"))[0], "ramon");
  assert.equal((await wrote("insert photos"))[0], "ramon");
  await context.close();
});

test("taps at the bench wait for whoever tapped", { timeout: 120000 }, async () => {
  const JOB = 1; // The demo's tuba; before the yes the bench may begin.
  let page = await s.tablet("ramon");
  const context = page.context();
  await page.goto(`${s.address}/jobs/${JOB}/bench`);
  await context.setOffline(true);
  const first = await page.locator("li.step:not(.done) button[value=tick]:not([disabled])").first().evaluate((b) => b.closest("li").value);
  const step = page.locator(`li.step[value="${first}"]`);
  await step.evaluate((li) => { li.querySelector("details").open = true; });
  await step.getByRole("button", { name: "Done", exact: true }).click();
  await page.waitForFunction(() => document.getElementById("bench").dataset.waiting === "1");
  // What would be said of it where it is refused: the step in its words, and the tap.
  const what = await step.evaluate((li) => li.querySelector("summary .what").textContent);
  assert.ok((await page.evaluate(() => Object.values(localStorage).join("\n"))).includes(`${what}, “Done”`), what);
  // A page that is closing may still hear of the network: it would send under its own person's name, as it should. Signed out it cannot.
  await context.clearCookies({ name: "trueround_session" });
  await page.close();
  await context.setOffline(false);
  page = await context.newPage();
  await changeTo(page, "wren");
  const before = (await wrote("insert steps")).length;
  await page.goto(`${s.address}/jobs/${JOB}/bench`);
  await page.locator("#others", { hasText: /^1 entry by Ramon.* is on this tablet/ }).waitFor();
  await page.waitForTimeout(3500);
  assert.equal(await page.locator("#bench").getAttribute("data-waiting"), "0");
  assert.equal((await wrote("insert steps")).length, before, "nothing was ticked under Wren's name");
  await changeTo(page, "ramon");
  await page.goto(`${s.address}/jobs/${JOB}/bench`);
  await page.getByText(/^1 of \d+ steps done/).waitFor({ timeout: 60000 });
  assert.equal((await wrote("insert steps"))[0], "ramon");
  await context.close();
});

test("a page of the one before becomes that of whoever signs in beside it; what has no name is claimed", { timeout: 60000 }, async () => {
  const job = await takenIn(desk, s.address, "trumpet");
  const page = await s.tablet("ramon");
  await page.goto(`${s.address}/jobs/${job}/survey`);
  await page.getByRole("button", { name: "Begin the survey" }).click();
  await ready(page);
  const beside = await page.context().newPage();
  await changeTo(beside, "wren");
  await page.waitForFunction(() => document.querySelector("meta[name=person]")?.dataset.name.startsWith("Wren"));
  // As an earlier version of the page kept a dent: under no name.
  await page.evaluate((job) => localStorage.setItem(`trueround:survey:${job}`, JSON.stringify([["n1", { token: "n1", form: 2, unit: "mm", run: "bell-stem", version: 0, at: "60 mm", at_mm: 60, clock: "90°", clock_deg: 90, depth: "2 mm", dirty: 1 }]])), job);
  await page.reload();
  await page.waitForTimeout(1500);
  assert.equal(await page.locator("#dent-count").textContent(), "0", "it is nobody's until somebody says so");
  await page.getByRole("button", { name: "It is mine, send it" }).click();
  await page.waitForFunction(() => document.getElementById("dent-count")?.textContent === "1" && document.getElementById("survey").dataset.waiting === "0");
  await page.reload();
  assert.equal(await page.locator("#dent-count").textContent(), "1");
  await page.context().close();
});
