// usage: node zz_shots.mjs ADDRESS OUTDIR login path...
import { chromium } from "playwright-core";
const [,, address, out, login, ...paths] = process.argv;
const { mkdirSync } = await import("node:fs"); mkdirSync(out, { recursive: true });
const browser = await chromium.launch({ executablePath: "/usr/bin/chromium", args: ["--headless","--no-sandbox","--disable-gpu","--disable-quic","--no-first-run","--disable-background-networking","--disable-component-update","--disable-sync"] });
for (const [name, viewport, scheme] of [["w", {width:1024,height:768}, "light"], ["p", {width:390,height:844}, "light"], ["d", {width:1024,height:768}, "dark"]]) {
  if (process.env.ONLY && !process.env.ONLY.includes(name)) continue;
  const c = await browser.newContext({ viewport, colorScheme: scheme, ignoreHTTPSErrors: true });
  const page = await c.newPage();
  page.on("pageerror", e => console.log("ERR", e.message)); page.on("console", m => m.type()==="error" && console.log("console", m.text()));
  await page.goto(address + "/sign-in");
  await page.getByLabel("Name").fill(login); await page.getByLabel("Password").fill("saltmarsh lane"); await page.getByRole("button", { name: "Sign in" }).click(); await page.waitForURL(address + "/");
  for (const p of paths) {
    const t = Date.now(); const r = await page.goto(address + p); const ms = Date.now() - t;
    await page.waitForTimeout(300);
    const size = (await r.body()).length; const w = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
    console.log(name, p, r.status(), size, "B", ms, "ms", w.join("/"));
    await page.screenshot({ path: `${out}/${name}${p.replace(/[^a-z0-9]+/gi, "_")}.png`, fullPage: !!process.env.FULL });
  }
  await c.close();
}
await browser.close();
