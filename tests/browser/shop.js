// A shop for a test: the demo's server on a free port with its own folder, a browser the size of a tablet.
import { spawn } from "node:child_process";
import { cpSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { chromium } from "playwright-core";

export const ROOT = path.resolve(import.meta.dirname, "../..");
const TARGET = process.env.CARGO_TARGET_DIR || path.join(ROOT, "target");
export const BINARY = process.env.TRUEROUND || path.join(TARGET, "debug/trueround");
/** The library that is laid into each page, the smaller of its two builds. */
export const AXE = readFileSync(path.join(import.meta.dirname, "node_modules/axe-core/axe.min.js"), "utf8");
export const TABLET = { width: 1024, height: 768 };
/** The engine without windows of its own, which takes two thirds of the processor time; pictures are made with the browser. */
const SHELL = "/usr/lib/chromium/chromium-headless-shell";
export const BROWSER = process.env.CHROMIUM || (existsSync(SHELL) && !process.env.PICTURES ? SHELL : "/usr/bin/chromium");
/** Everybody in the demo shop signs in with this. */
export const PASSWORD = "saltmarsh lane";

/** Starts the demo's server on a port (0: any free one). Resolves once it takes connections. */
export async function start(data, port = 0) {
  if (!existsSync(BINARY)) throw new Error(`${BINARY} is not there: run cargo build --package trueround first`);
  const child = spawn(BINARY, ["demo", "--data", data, "--listen", `127.0.0.1:${port}`], { stdio: ["ignore", "pipe", "pipe"] });
  let said = "";
  const address = await new Promise((done, fail) => {
    const late = setTimeout(() => fail(new Error(`the server did not start: ${said}`)), 60000);
    const hear = (chunk) => {
      said += chunk;
      const found = /http:\/\/127\.0\.0\.1:\d+/.exec(said);
      if (found) { clearTimeout(late); done(found[0]); }
    };
    child.stdout.on("data", hear);
    child.stderr.on("data", hear);
    child.on("exit", (code) => { clearTimeout(late); fail(new Error(`the server ended with ${code}: ${said}`)); });
  });
  return { child, address, said: () => said };
}

/** Ends a server and waits until it is gone. */
export async function stopped(server) {
  server.child.removeAllListeners("exit");
  server.child.kill("SIGTERM");
  await new Promise((done) => server.child.once("exit", done));
}

/** A shop that cleans up after itself: a copy of the demo's that `run.js` made, or one of its own. */
export async function shop() {
  const folder = mkdtempSync(path.join(tmpdir(), "trueround-test-"));
  const data = path.join(folder, "shop");
  if (process.env.TRUEROUND_DEMO) cpSync(process.env.TRUEROUND_DEMO, data, { recursive: true });
  let server = await start(data);
  const browser = await chromium.launch({
    executablePath: BROWSER,
    args: ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });
  return {
    data,
    get address() { return server.address; },
    get server() { return server; },
    /** A tablet of its own, signed in. */
    async tablet(login, options = {}) {
      const context = await browser.newContext({ viewport: TABLET, hasTouch: true, ...options });
      const page = await context.newPage();
      page.on("pageerror", (e) => { throw e; });
      await page.goto(`${server.address}/sign-in`);
      if (login) {
        await page.getByLabel("Name").fill(login);
        await page.getByLabel("Password").fill(PASSWORD);
        await page.getByRole("button", { name: "Sign in" }).click();
        await page.getByRole("heading", { name: "Jobs" }).waitFor();
      }
      return page;
    },
    async kill() { server.child.removeAllListeners("exit"); server.child.kill("SIGKILL"); await new Promise((done) => server.child.once("exit", done)); },
    async restart(port = 0) { server = await start(data, port); },
    async close() {
      await browser.close();
      server.child.removeAllListeners("exit");
      server.child.kill("SIGTERM");
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** Follows a link of the shop's navigation; on a tablet it stands in the folded menu. */
export async function fromMenu(page, name) {
  const menu = page.locator("details.menu > summary");
  if (await menu.isVisible()) await menu.click();
  await page.getByRole("link", { name, exact: true }).click();
}

/** A new job with an instrument of this kind, taken in at a desk that is signed in; its number. */
export async function takenIn(desk, address, kind) {
  await desk.goto(`${address}/customers`);
  const form = desk.locator("form[action='/customers'][method=post]");
  await form.getByLabel("Name").fill(`Brass band ${kind}`);
  await form.getByRole("button", { name: "Add customer" }).click();
  await desk.getByLabel("Kind").selectOption(kind);
  await desk.getByRole("button", { name: "Take it in" }).click();
  await desk.getByLabel("What happened").fill("Fell off the stand");
  await desk.getByRole("button", { name: "Open a job" }).click();
  await desk.getByRole("navigation", { name: "Job" }).waitFor();
  return Number(/\/jobs\/(\d+)/.exec(desk.url())[1]);
}

/** Fails where axe-core finds a WCAG 2.2 A or AA fault on the page, in the light scheme or in the dark one. */
export async function accessible(page, name) {
  await page.evaluate(AXE);
  for (const colorScheme of ["dark", "light"]) {
    await page.emulateMedia({ colorScheme });
    const faults = await axeFaults(page, colorScheme);
    if (faults.length) throw new Error(`${name} (${colorScheme}) is not accessible:\n  ${faults.join("\n  ")}`);
  }
}

/** What axe-core finds on a page that carries it. In the dark scheme only the rules that look at colors are asked: all others say
 *  the same as in the light one. */
export async function axeFaults(page, colorScheme) {
  const rules = colorScheme === "dark" ? { type: "rule", values: ["color-contrast", "link-in-text-block"] } : ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];
  const result = await page.evaluate(async (runOnly) => await globalThis.axe.run(document, { runOnly, resultTypes: ["violations"], elementRef: false, preload: false }), rules);
  return result.violations.map((v) => `axe ${v.id}: ${v.help}\n    ${v.nodes.slice(0, 3).map((n) => n.html.slice(0, 160)).join("\n    ")}`);
}

/** Fails where something of a page is cut off on a telephone of 390 px: what may be wider scrolls in a box of its own. */
export async function narrow(page, name) {
  const before = page.viewportSize();
  await page.setViewportSize({ width: 390, height: 844 });
  const cut = await page.evaluate(() => {
    const shown = (e) => e.checkVisibility({ checkVisibilityCSS: true, contentVisibilityAuto: true }) && !e.closest(".scroll,svg,.visually-hidden,.skip");
    const over = [...document.querySelectorAll("body *")].filter((e) => shown(e) && e.getBoundingClientRect().width > 0 && (e.getBoundingClientRect().right > innerWidth + 1 || e.getBoundingClientRect().left < -1));
    return { page: document.documentElement.scrollWidth, over: over.slice(0, 4).map((e) => `${e.tagName} ${e.textContent.trim().slice(0, 50)}`) };
  });
  if (cut.page > 390 || cut.over.length) throw new Error(`${name} is cut off at 390 px (${cut.page} px wide):\n  ${cut.over.join("\n  ")}`);
  await page.setViewportSize(before);
}

/** Keeps a screenshot in docs/pictures when pictures are being made; a page without a name is not kept. */
export async function picture(page, name, options = {}) {
  if (!process.env.PICTURES || !name) return;
  const folder = path.join(ROOT, "docs/pictures");
  mkdirSync(folder, { recursive: true });
  writeFileSync(path.join(folder, `${name}.png`), await page.screenshot(options));
}

/** Opens a tube on the survey's page by its name; the taps that it took. */
export async function openTube(page, run) {
  if (await page.locator(`#tube [data-tube='${run}']`).count()) return 0;
  await page.waitForFunction(() => document.getElementById("survey").tubes?.size > 0);
  const list = page.locator("#tubes");
  let taps = 1;
  if (!(await list.evaluate((e) => e.open))) { await list.locator(":scope > summary").click(); taps += 1; }
  await list.locator(`a[data-open='${run}']`).click();
  await page.locator(`#tube [data-tube='${run}']`).waitFor();
  return taps;
}

/** Where a part (0 to 1) of a tube's length is on the survey's picture, in pixels of the window. */
export async function onThePicture(page, run, part) {
  await page.waitForFunction(() => document.getElementById("survey").tubes?.size > 0);
  await page.locator("svg.lie").scrollIntoViewIfNeeded();
  return page.locator(`svg.lie .axis[data-run='${run}']`).evaluate((axis, part) => {
    const p = axis.getPointAtLength(part * axis.getTotalLength()).matrixTransform(axis.getScreenCTM());
    return { x: p.x, y: p.y, mm: part * Number(axis.dataset.length) };
  }, part);
}

/** The survey's page stands, and has its tubes. */
export async function ready(page) {
  await page.locator("#survey").waitFor();
  await page.waitForFunction(() => document.getElementById("survey").tubes?.size > 0);
}
