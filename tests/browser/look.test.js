// The look, asked of every page that a person can reach, at four widths and in both schemes: see look.js for what is asked. Which
// pages there are is read from the program's own list of routes, so that a new one cannot be left out.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import path from "node:path";
import { AXE, axeFaults, onThePicture, ready, ROOT, shop } from "./shop.js";
import { questions } from "./look.js";

const WIDTHS = [1024, 768, 390, 320];
const SCHEMES = ["light", "dark"];
const HEIGHT = { 1024: 768, 768: 1024, 390: 844, 320: 640 };

/** Routes that show no page of their own: what is fetched by one, or is kept as a file. */
const NO_PAGES = ["/assets/{name}", "/customers/{id}/all.json", "/tags/{tag}", "/jobs/{id}/survey/tubes", "/jobs/{id}/survey.toml", "/jobs/{id}/survey/worth", "/jobs/{id}/photos/{photo}", "/jobs/{id}/photos/{photo}/small", "/jobs/{id}/quote.pdf", "/jobs/{id}/bench-card.pdf", "/jobs/{id}/reasons.pdf", "/jobs/{id}/steps/{name}", "/jobs/{id}/invoice.pdf", "/trust/certificate.pem", "/contracts/tables/{name}", "/contracts/{id}/files/{name}", "/contracts/{id}/work/{name}", "/q/{token}/quote.pdf", "/q/{token}/photos/{photo}", "/shop/files/{name}"];

let s, desk, second, nobody;
const found = new Map(), seen = [];
before(async () => {
  s = await shop();
  [desk, second, nobody] = [await s.tablet("ottilie"), await s.tablet("ottilie"), await s.tablet(null)];
  for (const page of [desk, second, nobody]) await page.addInitScript(questions);
}, { timeout: 120000 });
after(async () => { await s?.close(); });

/** Notes what breaks the look, each with the first width and scheme at which it does. */
function note(address, at, all) {
  // What differs in its figures alone is one thing.
  for (const what of all) { const line = `${address}: ${what}`, kind = line.replace(/\d+(\.\d+)?/g, "#"); if (!found.has(kind)) found.set(kind, `${line} (${at})`); }
}

/** Opens what is folded; of a long list of one kind (a journal's lines) the first forty. */
const unfold = () => [...document.querySelectorAll("details:not(.menu):not([data-from])")].slice(0, 40).forEach((d) => { d.open = true; });
/** All questions; those of drawings that are pictures on request: they are as large as they were drawn, however wide the window is. */
const ask = async (pictures) => {
  // What is drawn anew when the window changes has been drawn.
  await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
  const L = globalThis.Look;
  return [...L.sideways(), ...L.small(), ...L.close(), ...L.drawn(), ...(pictures ? await L.pictures() : [])];
};
/** Looks at a page: as it comes and with all that is folded open, at each width; axe-core at a tablet's and a telephone's, in both schemes. */
async function look(page, address, { opens = true } = {}) {
  const name = address.replace(/^https?:\/\/[^/]+/, "");
  seen.push(name);
  await page.setViewportSize({ width: 1024, height: HEIGHT[1024] });
  const answer = await page.goto(address.startsWith("http") ? address : s.address + address);
  assert.equal(answer.status(), 200, address);
  if (await page.locator("#survey").count()) await ready(page);
  await page.evaluate(AXE);
  const at = async (width, state) => { await page.setViewportSize({ width, height: HEIGHT[width] }); note(name, `${width} px ${state}`, await page.evaluate(ask, width === 1024)); };
  for (const width of WIDTHS) await at(width, "as it comes");
  if (opens) await page.evaluate(unfold);
  for (const width of [...WIDTHS].reverse()) {
    if (opens) await at(width, "unfolded");
    if (width !== 1024 && width !== 390) continue;
    for (const scheme of SCHEMES) {
      await page.emulateMedia({ colorScheme: scheme });
      note(name, `${width} px ${scheme}`, await axeFaults(page, scheme));
    }
    await page.emulateMedia({ colorScheme: "light" });
  }
}

/** Looks at pages in two tabs at once: a machine has two cores. */
async function lookAtAll(addresses) {
  const left = [...addresses];
  await Promise.all([desk, second].map(async (page) => { for (let next = left.shift(); next; next = left.shift()) await look(page, next); }));
}

/** What was found since the last time it was asked, as one message. */
function told() {
  const lines = [...found.values()];
  found.clear();
  return lines.length ? `${lines.length} times the look is not kept:\n  ${lines.slice(0, 80).join("\n  ")}` : "";
}

/** A job of the demo in a state, by its number; none where it has none. */
async function jobIn(state) {
  await desk.goto(`${s.address}/?state=${state}`);
  if (!(await desk.locator("td.tag a").count())) return null;
  return Number(/\d+/.exec(await desk.locator("td.tag a").first().getAttribute("href"))[0]);
}

test("the colors are told apart in both schemes", async () => {
  for (const colorScheme of SCHEMES) {
    await nobody.emulateMedia({ colorScheme });
    await nobody.goto(`${s.address}/sign-in`);
    assert.deepEqual(await nobody.evaluate(() => globalThis.Look.tokens()), [], colorScheme);
  }
  await nobody.emulateMedia({ colorScheme: "light" });
  // Black and white as WCAG 2.2 has them: 21 to 1; and #777 on white, its well-known 4.48.
  assert.ok(Math.abs(await nobody.evaluate(() => globalThis.Look.contrast("000000", "ffffff")) - 21) < 0.01);
  assert.ok(Math.abs(await nobody.evaluate(() => globalThis.Look.contrast("777777", "ffffff")) - 4.48) < 0.01);
});

test("each question finds the fault that it asks for, and nothing where there is none", async () => {
  await nobody.setViewportSize({ width: 390, height: 844 });
  const asked = async (inside) => {
    await nobody.goto("about:blank");
    await nobody.setContent(`<style>button{width:60px;height:50px;margin:20px;padding:0;box-sizing:border-box}svg{display:block;width:200px;height:100px}</style>${inside}`);
    await nobody.evaluate(questions);
    return (await nobody.evaluate(ask, false)).join("\n");
  };
  const svg = (inside) => `<svg viewBox="0 0 200 100" class="t">${inside}</svg>`;
  const ring = (x) => `<circle class="dot" cx="${x}" cy="50" r="13" fill="none" stroke="#000" stroke-width="2"/>`;
  for (const [fine, broken, says] of [
    ["<div style='width:300px'>a</div>", "<div style='width:600px'>a</div>", /reaches from/],
    ["<button>a</button>", "<button style='height:40px'>a</button>", /is 60 × 40 px, not 48/],
    ["<button>a</button>", "<div class='steps'><button>a</button></div>", /not 56/],
    ["<a href='#'>a</a> within a sentence", "<div style='display:flex'><a href='#'>a</a></div>", /not 48/],
    ["<button>a</button><button>b</button>", "<div style='display:flex'><button style='margin:0'>a</button><button style='margin:0 0 0 3px'>b</button></div>", /are 3 px apart/],
    [svg("<text y='40' font-size='11'>a</text>"), svg("<text y='40' font-size='9'>a</text>"), /is 9 px high/],
    [svg("<text y='40' font-size='14'>ab</text><text y='60' font-size='14'>ab</text>"), svg("<text y='40' font-size='14'>ab</text><text x='4' y='42' font-size='14'>ab</text>"), /lies over/],
    [svg(ring(50) + ring(78)), svg(ring(50) + ring(70)), /two rings/],
    [svg("<path d='M0 9H9' stroke='#000' stroke-width='2'/>"), svg("<path d='M0 9H9' stroke='#000' stroke-width='3'/>"), /a line of 3 px/],
    [svg("<path d='M0 9H9' stroke='#000' stroke-width='6' stroke-dasharray='1 3'/>"), svg("<path d='M0 9H9' stroke='#000' stroke-width='6' stroke-dasharray='9 3'/>"), /a line of 6 px/],
    [`<figure class="drawing">${svg("<path d='M0 9H9' stroke='#000' stroke-width='0.5'/>")}</figure>`, `<figure class="drawing">${svg("<path d='M0 9H9' stroke='#000' stroke-width='0.3'/>")}</figure>`, /a line of 0.3 mm/],
  ]) {
    assert.equal(await asked(fine), "", fine);
    assert.match(await asked(broken), says, broken);
  }
});

test("the shop's own pages", async () => {
  await desk.goto(`${s.address}/shop/tools`);
  const tool = await desk.locator("table.tools a").first().getAttribute("href");
  await lookAtAll([tool, "/", "/?show=late", "/?show=week", "/?show=benches", "/?state=received", "/?find=nothing", "/me", "/me/second-factor", "/customers", "/customers/1", "/contracts", "/contracts/new", "/contracts/1", "/contracts/1/progress", "/contracts/1/head", "/contracts/1/tables", "/contracts/1/instrument?tag=PR-003", "/contracts/1/work", "/contracts/1/tools", "/history", "/history/times", "/history/quotes", "/money", "/shop", "/shop/tools", "/shop/tools/new", "/shop/tools/new?kind=ball%20set", "/shop/prices", "/shop/minutes", "/shop/jobs", "/shop/benches", "/shop/files", "/people", "/journal", "/doctor"]);
  assert.equal(told(), "");
});

test("the pages of a job, in every state", async () => {
  await desk.goto(`${s.address}/jobs/2/quote`);
  const plan = await desk.locator("a[href*='/agreements/']:not([href$=pdf])").last().getAttribute("href");
  const jobs = [];
  for (const state of ["received", "ready", "handed_back", "declined"]) { const job = await jobIn(state); if (job) jobs.push(job); }
  assert.ok(jobs.length >= 3);
  await lookAtAll([
    ...["/survey", "/survey/soldered-on", "/plan", "", "/plan/measure", "/plan/charts", "/plan/dents/d1", "/quote"].map((page) => `/jobs/1${page}`),
    ...["/bench", "", "/checks", "/hand-back", "/supplement", "/quote"].map((page) => `/jobs/2${page}`),
    ...["/instruments/1", "/instruments/1/label", "/instruments/1/history", "/jobs/3/survey?tube=bell-stem", plan],
    ...jobs.flatMap((job) => [`/jobs/${job}`, `/jobs/${job}/hand-back`]),
  ]);
  assert.equal(told(), "");
});

test("what the customer sees, and who is not signed in", async () => {
  await look(nobody, "/sign-in");
  await look(nobody, "/trust");
  await desk.goto(`${s.address}/jobs/1/quote`);
  const link = new URL(await desk.locator("a[href*='/q/']").first().getAttribute("href"), s.address).href;
  await look(nobody, link);
  await nobody.setViewportSize({ width: 390, height: 844 });
  await nobody.locator("input[name=chosen]").first().check();
  await nobody.getByLabel("Your name").fill("A. Parent");
  await nobody.getByRole("button", { name: "Accept this offer" }).click();
  await nobody.getByText("Thank you").waitFor();
  await look(nobody, link);
  assert.equal(told(), "");
});

test("no page was left out", () => {
  const routes = [...readFileSync(path.join(ROOT, "crates/web/src/routes.rs"), "utf8").matchAll(/get_route!\(\w+, "([^"]+)"/g)].map((m) => m[1]);
  assert.ok(routes.length > 50);
  const shape = (route) => new RegExp(`^${route.replace(/\{\w+\}/g, "[^/]+")}$`);
  const missing = routes.filter((r) => !NO_PAGES.includes(r) && !seen.some((a) => shape(r).test(a.split("?")[0])));
  assert.deepEqual(missing, []);
  assert.deepEqual(NO_PAGES.filter((p) => !routes.includes(p)), [], "routes that are no longer there");
});

/** The dent's form is where the eye is, and has the focus. */
async function editorThere(page, what) {
  const where = await page.evaluate(() => {
    const r = document.getElementById("editor-title").getBoundingClientRect();
    return { focus: document.activeElement.id, in: r.top >= 0 && r.bottom <= innerHeight && r.left >= 0 && r.right <= innerWidth, seen: document.elementFromPoint(r.left + 4, r.top + r.height / 2)?.closest("#editor") !== null };
  });
  assert.deepEqual(where, { focus: "editor-title", in: true, seen: true }, what);
}

test("after a tap the form is in view and has the focus, at every width; the next dent is a tap away; no number covers another", async () => {
  for (const width of WIDTHS) {
    await desk.setViewportSize({ width, height: HEIGHT[width] });
    await desk.goto(`${s.address}/jobs/3/survey`);
    await ready(desk);
    const at = await onThePicture(desk, "bell-stem", 0.5);
    await desk.mouse.click(at.x, at.y);
    await editorThere(desk, `a tap on the picture at ${width} px`);
    await desk.locator("#remove").click();
    const first = desk.locator("#dent-list button").first();
    await first.click();
    await editorThere(desk, `a tap in the list at ${width} px`);
    const title = await desk.locator("#editor-title").textContent();
    await desk.evaluate(unfold);
    note("/jobs/3/survey with a dent's form", `${width} px`, await desk.evaluate(ask, false));
    await desk.locator("[data-next]:visible").first().click();
    await editorThere(desk, `the next dent at ${width} px`);
    assert.notEqual(await desk.locator("#editor-title").textContent(), title);
    // The numbers of the opened tube, and where there are two to a fingertip.
    await desk.locator("svg.strip g.dent").first().click();
    await editorThere(desk, `a tap on the tube's number at ${width} px`);
    // WCAG 2.2, 2.5.8: a number smaller than 24 px is no nearer to the next than 24 px; each stands in the list, 48 px high.
    const near = await desk.evaluate(() => {
      const dots = [...document.querySelectorAll("svg.lie g.dents .dot, svg.strip g.dent .finger")].map((c) => [c.closest("svg"), c.getBoundingClientRect()]).map(([svg, r]) => [svg, (r.left + r.right) / 2, (r.top + r.bottom) / 2]);
      return dots.flatMap((a, i) => dots.slice(0, i).filter((b) => a[0] === b[0]).map((b) => Math.hypot(a[1] - b[1], a[2] - b[2]))).filter((d) => d < 23.9);
    });
    assert.deepEqual(near, [], `numbers nearer than 24 px at ${width} px`);
    if (await desk.locator("#work.over").count()) await desk.locator("#dent-done").click();
  }
  assert.equal(told(), "");
});

test("a table sorts by the values of the column that is tapped, up and down", async () => {
  await desk.setViewportSize({ width: 1024, height: 768 });
  await desk.goto(`${s.address}/money`);
  const table = desk.locator("[aria-label=Outstanding] table"), button = table.getByRole("button", { name: "Agreed" });
  const amounts = () => table.locator("tbody tr td:nth-child(4)").evaluateAll((all) => all.map((c) => Number(c.dataset.v)));
  const up = (all) => [...all].sort((a, b) => a - b);
  const before = await amounts();
  assert.ok(before.length > 3 && new Set(before).size > 2);
  await button.click();
  assert.deepEqual(await amounts(), up(before));
  await button.click();
  assert.deepEqual(await amounts(), up(before).reverse());
  assert.equal(await table.locator("th[aria-sort=descending]").textContent(), "Agreed");
});

test("braces are found by where they are: on the picture, and in the list", async () => {
  await desk.setViewportSize({ width: 1024, height: 768 });
  await desk.goto(`${s.address}/jobs/1/survey`);
  await ready(desk);
  await desk.locator("label", { hasText: "Find a brace" }).click();
  const marks = desk.locator("svg.lie path.part");
  assert.ok((await marks.count()) > 3);
  const box = await marks.first().boundingBox(), name = await marks.first().locator("title").textContent();
  await desk.mouse.click(box.x + box.width / 2, box.y + box.height / 2);
  const sheet = desk.locator("#tube details.sheet[open]");
  await sheet.waitFor();
  assert.ok((await sheet.locator(":scope > summary").textContent()).includes(name), name);
  assert.ok(await sheet.locator(":scope > summary").evaluate((e) => e === document.activeElement && e.getBoundingClientRect().top >= 0 && e.getBoundingClientRect().bottom <= innerHeight));
  await desk.locator("#soldered-on > summary").click();
  const line = desk.locator("#soldered-on a[data-sheet]").last(), last = await line.textContent();
  await line.click();
  assert.ok((await desk.locator("#tube details.sheet[open] > summary").last().textContent()).includes(last), last);
});
