// The whole job from the counter to hand-back, on a tablet, by the people who do it. Every page is looked at by axe-core
// and, with PICTURES=1, photographed for docs/pictures.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { accessible, fromMenu, onThePicture, openTube, picture, shop } from "./shop.js";

let s, desk, bench, job;
before(async () => { s = await shop(); }, { timeout: 120000 });
after(async () => { await s?.close(); });

async function look(page, name) {
  await accessible(page, name);
  await picture(page, name);
}
/** The page in the dark scheme, for docs/pictures only. */
async function dark(page, name) {
  await page.emulateMedia({ colorScheme: "dark" });
  await picture(page, `${name}-dark`);
  await page.emulateMedia({ colorScheme: "light" });
}

test("sign-in refuses a wrong password and takes the right one", async () => {
  const page = await s.tablet(null);
  await look(page, "sign-in");
  await page.getByLabel("Name").fill("ramon");
  await page.getByLabel("Password").fill("not this one");
  await page.getByRole("button", { name: "Sign in" }).click();
  await page.getByRole("alert").waitFor();
  await page.context().close();
  desk = await s.tablet("desk");
  await look(desk, "board");
});

test("the counter takes the tuba in", async () => {
  await fromMenu(desk, "Customers");
  await look(desk, "customers");
  const form = desk.locator("form[action='/customers'][method=post]");
  await form.getByLabel("Name").fill("Fen Road Middle School");
  await form.getByLabel("Telephone").fill("555-0144");
  await form.getByRole("button", { name: "Add customer" }).click();
  await desk.getByRole("heading", { name: "Fen Road Middle School" }).waitFor();
  await desk.getByLabel("Kind").selectOption("tuba");
  await desk.getByLabel("Maker").fill("Harrow & Quill");
  await desk.getByLabel("Model").fill("Ox");
  await desk.getByLabel("Serial number").fill("HQ-30551");
  await desk.getByLabel("Value in good condition").fill("4,800");
  await look(desk, "customer");
  await desk.getByRole("button", { name: "Take it in" }).click();
  await desk.getByLabel("What happened").fill("Fell off a riser");
  await desk.getByLabel("In the customer's words").fill("Third valve sticks and the bell is bent.");
  await look(desk, "instrument");
  await desk.getByRole("button", { name: "Open a job" }).click();
  await desk.getByRole("navigation", { name: "Job" }).waitFor();
  job = Number(/\/jobs\/(\d+)/.exec(desk.url())[1]);
  await look(desk, "job");
});

test("the label carries a code that leads to the instrument", async () => {
  const tag = /T\d{5}/.exec(await desk.locator("h1").textContent())[0];
  const found = await desk.goto(`${s.address}/tags/${tag}`);
  assert.equal(found.status(), 200);
  assert.match(desk.url(), new RegExp(`/jobs/${job}$`));
  await desk.goto(`${s.address}/instruments/${await instrumentOf(desk)}/label`);
  await desk.getByText("The code holds the tag alone").waitFor();
  const label = await desk.locator(".label").textContent();
  for (const wanted of [tag, "Fen Road"]) assert.ok(label.includes(wanted), `${wanted} in ${label}`);
  await look(desk, "label");
});
async function instrumentOf(page) {
  await page.goto(`${s.address}/?find=HQ-30551`);
  await page.locator("tbody a").first().waitFor();
  await page.goto(`${s.address}/customers?find=Fen`);
  await page.getByRole("link", { name: /Fen Road/ }).click();
  return /instruments\/(\d+)/.exec(await page.locator("a[href*='/instruments/']").first().getAttribute("href"))[1];
}

test("a practised hand enters ten dents in under 48 taps and keys", async () => {
  bench = await s.tablet("ramon");
  await bench.goto(`${s.address}/jobs/${job}/survey`);
  await look(bench, "survey-begin");
  await bench.getByRole("button", { name: "Begin the survey" }).click();
  await bench.locator("#survey").waitFor();
  let count = 0;
  const tap = async (locator, options) => { count += 1; await locator.click(options); };
  const editor = bench.locator("#editor");
  const places = [["bell-flare", 0.6], ["bell-flare", 0.4], ["bell-stem", 0.5], ["bell-stem", 0.7], ["bottom-bow", 0.4], ["third-branch", 0.2], ["third-branch", 0.9], ["second-branch", 0.3], ["small-bow", 0.5], ["first-branch", 0.4]];
  for (const [i, [run, x]] of places.entries()) {
    // One tap on the picture: the tube opens with the dent on it.
    const at = await onThePicture(bench, run, x);
    count += 1;
    await bench.mouse.click(at.x, at.y);
    assert.equal(await editor.locator("[name=run]").inputValue(), run);
    const mm = parseFloat(await editor.locator("[name=at]").inputValue());
    assert.ok(Math.abs(mm - at.mm) <= 3, `${run}: ${mm} mm, tapped at ${at.mm} mm`);
    await tap(editor.locator("[data-chips=depth] button").nth(1 + (i % 4)));
    await tap(editor.locator("[data-chips=along] button").nth(2 + (i % 3)));
    await tap(editor.locator("[data-chips=across] button").nth(1 + (i % 3)));
    if (i === 5) await tap(editor.locator("[data-choice='crease.lies'][value=along]"));
  }
  // One depth typed by hand, in inches: the tap takes what stands there, and every key counts.
  const depth = editor.locator("[name=depth]");
  await tap(depth);
  await depth.pressSequentially("5/32\""); count += 5;
  console.log(`ten dents: ${count} taps and keys`);
  assert.equal(await depth.inputValue(), '5/32"');
  assert.ok(count < 48, `${count} taps and keys`);
  await bench.waitForFunction(() => document.getElementById("survey").dataset.waiting === "0");
  await bench.waitForFunction(() => document.getElementById("says").textContent.length > 10);
  assert.equal(await bench.locator("svg.strip").count(), 1);
  await editor.locator("h2", { hasText: /Dent d\d+/ }).waitFor();
  await bench.evaluate(() => scrollTo(0, 0));
  await look(bench, "survey");
  await dark(bench, "survey");
  await openTube(bench, "bottom-bow");
  await bench.locator("#tube").evaluate((e) => e.scrollIntoView());
  await picture(bench, "survey-strips");
  await bench.reload();
  assert.equal(await bench.locator("#dent-count").textContent(), "10");
});

test("what is typed wrongly is told at once and loses nothing", async () => {
  await bench.locator("#dent-list button").first().click();
  const depth = bench.locator("#editor [name=depth]");
  await depth.fill("4 stone");
  // Said beside its field.
  const beside = bench.locator("#editor [data-beside=depth]");
  await bench.locator("#editor [data-beside=depth].problem").waitFor();
  assert.match(await beside.textContent(), /4 stone/);
  await depth.fill("4 mm");
  await bench.waitForFunction(() => !document.querySelector("#editor [data-beside=depth].problem"));
});

test("the plan shows every figure with its reasons, and can be overruled", async () => {
  await bench.goto(`${s.address}/jobs/${job}/plan`);
  await bench.getByRole("heading", { name: "Dents, setup by setup" }).waitFor();
  await look(bench, "plan");
  // A dent's figures are fetched when its line is opened.
  await bench.locator("details.dent-row > summary").first().click();
  await bench.locator("details.dent-row[open] details.figure > summary").first().click();
  assert.match(await bench.locator("details.dent-row[open] details.figure[open] .why").first().textContent(), /90 % interval/);
  await bench.locator("details.dent-row[open]").first().scrollIntoViewIfNeeded();
  await look(bench, "plan-reasons");
  const form = bench.locator("#overrule");
  await form.scrollIntoViewIfNeeded();
  await form.locator("[name=kind]").selectOption("leave");
  await form.getByRole("combobox", { name: "Dent", exact: true }).selectOption("d9");
  await form.getByLabel("Reason").fill("The player does not mind it");
  await form.getByRole("button", { name: "Change the plan" }).click();
  await bench.getByText("Reason: The player does not mind it").waitFor();
  const changed = bench.locator("#what-changed");
  assert.match(await changed.getByRole("row", { name: /^dent d9 / }).textContent(), /not worked/);
  await changed.scrollIntoViewIfNeeded();
  await look(bench, "plan-overruled");
});

test("the quote offers three levels and the customer signs one behind the link", async () => {
  await desk.goto(`${s.address}/jobs/${job}/quote`);
  await look(desk, "quote");
  await desk.getByRole("button", { name: "Give this quote" }).click();
  const link = await desk.locator("a[href*='/q/']").first().getAttribute("href");
  assert.match(link, /\/q\/[\w-]{40,}/);
  await look(desk, "quote-given");
  const customer = await s.tablet(null);
  await customer.goto(new URL(link, s.address).href);
  assert.equal(await customer.locator(".offer").count(), 3);
  await accessible(customer, "customer's page");
  const pdf = await customer.request.get(`${new URL(link, s.address).href}/quote.pdf`);
  assert.equal(pdf.status(), 200);
  assert.equal((await pdf.body()).subarray(0, 5).toString(), "%PDF-");
  await customer.locator("input[name=chosen]").nth(1).check();
  await customer.getByLabel("Your name").fill("A. Parent");
  await customer.locator("#signature").scrollIntoViewIfNeeded();
  const pad = await customer.locator("#signature").boundingBox();
  await customer.mouse.move(pad.x + 30, pad.y + 90);
  await customer.mouse.down();
  for (let i = 1; i <= 12; i++) await customer.mouse.move(pad.x + 30 + i * 20, pad.y + 90 + Math.sin(i) * 40);
  await customer.mouse.up();
  await look(customer, "customer-signing");
  await customer.getByRole("button", { name: "Accept this offer" }).click();
  await customer.getByText("Thank you").waitFor();
  await customer.getByRole("img", { name: "Your signature" }).waitFor();
  await look(customer, "customer-signed");
  await customer.context().close();
  await desk.reload();
  await desk.getByText("A. Parent").first().waitFor();
});

test("the bench works the steps in order; a step that waits cannot be ticked", async () => {
  await bench.goto(`${s.address}/jobs/${job}/bench`);
  const total = await bench.locator("li.step").count();
  assert.ok(total > 10, `${total} steps`);
  await look(bench, "bench");
  const waiting = bench.locator("li.step", { hasText: "waits" }).first();
  await waiting.locator("summary").first().click();
  assert.equal(await waiting.getByRole("button", { name: "Done" }).isDisabled(), true);
  // The first step by hand: start, note, photo, done.
  const first = () => bench.locator("li.step.next");
  await first().getByRole("button", { name: "Start" }).click();
  await first().getByText("timer runs").waitFor();
  await first().getByText("Note, photo, skip").click();
  const png = Buffer.from("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==", "base64");
  await first().locator("input[type=file]").setInputFiles({ name: "before.png", mimeType: "image/png", buffer: png });
  await bench.getByText("Photo kept.").waitFor();
  await look(bench, "bench-step");
  const one = await first().getAttribute("value");
  await first().getByRole("button", { name: "Done" }).click();
  await bench.locator(`li.step.done[value="${one}"] button[value=untick]`).waitFor({ state: "attached" });
  // The rest, one tick after the other. The first step with a tool in a tube is looked at.
  let seen = false;
  for (let i = 0; i < total + 2; i++) {
    const next = first();
    if ((await next.count()) === 0) break;
    if (!seen && (await next.locator("figure.drawing img").count()) > 0) {
      seen = true;
      await next.evaluate((e) => e.scrollIntoView());
      await bench.waitForFunction(() => document.querySelector("li.step.next figure.drawing img")?.naturalWidth > 0);
      await look(bench, "bench-dent");
    }
    const number = await next.getAttribute("value");
    await next.getByRole("button", { name: "Done" }).click();
    await bench.locator(`li.step.done[value="${number}"] button[value=untick]`).waitFor({ state: "attached" });
  }
  await bench.getByText(`${total} of ${total} steps done`).waitFor();
  assert.ok(seen, "no step showed its tool in the tube");
}, { timeout: 240000 });

test("the job closes when each check has a figure or a reason", async () => {
  await bench.goto(`${s.address}/jobs/${job}/checks`);
  await look(bench, "checks");
  assert.equal(await bench.getByRole("button", { name: "Ready for pickup" }).count(), 0);
  for (let i = 0; i < 40; i++) {
    const cards = bench.locator("section.card", { hasNot: bench.locator(".good, .bad") }).filter({ has: bench.getByRole("button", { name: "Passes" }) });
    if ((await cards.count()) === 0) break;
    const card = cards.first();
    const said = await card.textContent();
    const least = /Wanted: ([\d.]+) mm/.exec(said), between = /clearance ([\d.]+) to ([\d.]+) mm/.exec(said);
    const figure = least ? `${least[1]} mm` : between ? `${((Number(between[1]) + Number(between[2])) / 2).toFixed(3)} mm` : "as wanted";
    await card.getByLabel(/^Figure/).fill(figure);
    await card.getByRole("button", { name: "Passes" }).click();
    await bench.waitForLoadState();
  }
  await look(bench, "checks-taken");
  await bench.getByRole("button", { name: "Ready for pickup" }).click();
  await bench.waitForLoadState();
  await desk.goto(`${s.address}/jobs/${job}/hand-back`);
  await look(desk, "hand-back");
  await desk.getByLabel("Collected by").fill("A. Parent");
  await desk.getByRole("button", { name: "Picked up" }).click();
  await desk.locator("h1 + p .state", { hasText: "Picked up" }).waitFor();
}, { timeout: 120000 });

test("the history shows times against the plan; the owner sees people, shop and journal", async () => {
  const owner = await s.tablet("ottilie");
  for (const [path, name] of [["/history", "history"], ["/people", "people"], ["/shop", "shop"], ["/shop/tools", "tools"], ["/shop/tools/rod-8", "tool"], ["/shop/tools/new?kind=mandrel", ""], ["/shop/prices", "prices"], ["/shop/minutes", "minutes"], ["/shop/benches", "benches"], ["/shop/files", "shop-files"], ["/journal", "journal"]]) {
    await owner.goto(`${s.address}${path}`);
    await owner.locator("h1").waitFor();
    await look(owner, name);
  }
  await owner.goto(`${s.address}/`);
  await dark(owner, "board");
  // The demo's first case: the tuba that fell down the stair, forty dents.
  for (const [page, name] of [["survey", "ox-survey"], ["plan", "ox-plan"], ["quote", ""], ["bench", ""]]) {
    await owner.goto(`${s.address}/jobs/1/${page}`);
    await owner.locator("h1").waitFor();
    await accessible(owner, `the forty dents' ${page}`);
    if (name) await picture(owner, name);
  }
  const link = await owner.goto(`${s.address}/jobs/1/quote`).then(() => owner.locator("a[href*='/q/']").first().getAttribute("href"));
  await owner.goto(new URL(link, s.address).href);
  await look(owner, "ox-customer");
}, { timeout: 180000 });
