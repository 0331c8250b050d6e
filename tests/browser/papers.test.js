// Every paper of the command line as poppler sees it: no errors, tagged, with a title; one fact with one figure on plan.json, the card and
// the quote. What lies over what, and where, is held without tools by crates/report/src/papers_test.rs.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { after, test } from "node:test";
import { BINARY, ROOT } from "./shop.js";

const folder = mkdtempSync(path.join(tmpdir(), "trueround-papers-"));
after(() => rmSync(folder, { recursive: true, force: true }));

const run = (program, args) => {
  const ran = spawnSync(program, args, { encoding: "utf8", maxBuffer: 1 << 26 });
  assert.equal(ran.status, 0, `${program}: ${ran.error || ran.stderr}`);
  return ran;
};

const cases = ["demo", "crates/fixtures/cases"].flatMap((dir) =>
  readdirSync(path.join(ROOT, dir)).filter((f) => f.endsWith(".survey.toml")).map((f) => path.join(ROOT, dir, f)));

/** The demo's bars: most pages of a bench card, on A4 and on letter. */
const MOST = { "ox-tuba": 14, "linnet-trumpet": 4, "heron-trombone": 3 };

for (const file of cases) {
  const name = path.basename(file, ".survey.toml");
  for (const units of ["mm", "in"]) {
    test(`${name} in ${units}: its papers`, { timeout: 180000 }, () => {
      const out = path.join(folder, `${name}-${units}`);
      // The tuba's reasons are fifty pages like the others', and half the time of all this.
      const reasons = name === "ox-tuba" ? [] : ["reasons"];
      run(BINARY, ["plan", file, "--out", out, "--units", units, ...reasons.map((r) => `--${r}`)]);
      const said = {};
      for (const paper of ["bench-card", "quote", ...reasons]) {
        const pdf = path.join(out, `${paper}.pdf`);
        const info = run("pdfinfo", [pdf]);
        assert.equal(info.stderr, "", `${paper}: ${info.stderr}`);
        assert.match(info.stdout, /^Tagged:\s+yes$/m, paper);
        assert.match(info.stdout, /^Title:\s+\S/m, paper);
        const pages = Number(/^Pages:\s+(\d+)$/m.exec(info.stdout)[1]);
        console.log(`${name} ${units} ${paper}: ${pages} pages`);
        if (paper === "bench-card" && MOST[name]) assert.ok(pages <= MOST[name], `${pages} pages, at most ${MOST[name]}`);
        const text = run("pdftotext", ["-layout", pdf, "-"]);
        assert.equal(text.stderr, "", `${paper}: ${text.stderr}`);
        said[paper] = text.stdout.replace(/\s+/g, " ");
      }
      const plan = JSON.parse(readFileSync(path.join(out, "plan.json"), "utf8"));
      const offer = plan.quote.offers.find((o) => o.level === plan.level);
      const hours = inWords(offer.times.p50_min);
      for (const paper of ["bench-card", "quote"]) assert.ok(said[paper].includes(hours), `${paper} says no ${hours}`);
      const price = plan.quote.currency + Number(offer.bill.total).toLocaleString("en-US");
      assert.ok(said.quote.includes(price), `the quote says no ${price}`);
    });
  }
}

/** Minutes as every paper says them: to the half hour from two hours on, below in steps of five minutes. */
function inWords(min) {
  const five = Math.max(5, 5 * Math.round(min / 5));
  if (five >= 120) return `${Math.round(Math.max(min, 120) / 30) / 2} h`;
  const h = Math.floor(five / 60), rest = five % 60;
  return h ? (rest ? `${h} h ${rest} min` : `${h} h`) : `${rest} min`;
}
