// The tests of the pages: a demo's shop is made once, of which each file takes a copy; the files that last longest are begun first,
// so that no core is idle at the end; three at a time, because a page waits for its server and a server for its page.
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { run } from "node:test";
import { spec } from "node:test/reporters";
import { start, stopped } from "./shop.js";

/** The longest first; the others after them. */
const LONG = ["look", "whole_job", "tablet", "papers", "survey", "contract", "unsent"].map((name) => `${name}.test.js`);

const folder = mkdtempSync(path.join(tmpdir(), "trueround-demo-"));
const template = path.join(folder, "shop");
await stopped(await start(template));
process.env.TRUEROUND_DEMO = template;

const all = readdirSync(import.meta.dirname).filter((name) => name.endsWith(".test.js"));
const gone = LONG.filter((name) => !all.includes(name));
if (gone.length) throw new Error(`there is no ${gone.join(", ")} any more: run.js names it among the long ones`);
const files = [...LONG, ...all.filter((name) => !LONG.includes(name)).sort()].map((name) => path.join(import.meta.dirname, name));
run({ files, concurrency: 3 })
  .on("test:fail", () => { process.exitCode = 1; })
  .on("end", () => rmSync(folder, { recursive: true, force: true }))
  .compose(spec)
  .pipe(process.stdout);
