// A school contract on a tablet: opened, its tables imported with three mistakes that are mended on the page, planned, the budget changed,
// what changes looked at, and the district's report printed.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { accessible, narrow, picture, shop } from "./shop.js";

let s, owner, folder;
before(async () => {
  s = await shop();
  owner = await s.tablet("ottilie");
  folder = mkdtempSync(path.join(tmpdir(), "trueround-contract-"));
}, { timeout: 120000 });
after(async () => { await s?.close(); if (folder) rmSync(folder, { recursive: true, force: true }); });

/** A day so many days from today. */
const inDays = (n) => new Date(Date.now() + n * 86400000).toISOString().slice(0, 10);

/** The tables of twelve horns, three mistakes among them. */
async function tables() {
  const empty = async (name) => await (await owner.request.get(`${s.address}/contracts/tables/${name}`)).text();
  let [instruments, dents] = [await empty("instruments.csv"), await empty("dents.csv")];
  for (let n = 1; n <= 12; n += 1) {
    const pattern = n % 4 === 0 ? "trombone" : "trumpet";
    instruments += `H-${n},${n === 5 ? "trumpett" : pattern},Tessaly,Wagtail,${n},${n % 2 ? "North" : "South"},,${n < 3 ? "yes" : ""},$700,,,,\n`;
    dents += `${n === 7 ? "H-77" : `H-${n}`},bell flare,5,${n} o'clock,${n === 9 ? "deep" : "0.12"},0.6,0.5,,,,\n`;
    dents += `H-${n},${n % 4 === 0 ? "tuning slide crook" : "leadpipe"},2,3 o'clock,0.09,0.4,0.3,,,,\n`;
  }
  const files = { instruments: path.join(folder, "instruments.csv"), dents: path.join(folder, "dents.csv") };
  writeFileSync(files.instruments, instruments);
  writeFileSync(files.dents, dents);
  return files;
}

async function planned(button) {
  await Promise.all([owner.waitForEvent("load"), owner.getByRole("button", { name: button, exact: true }).click()]);
  // The progress's page comes again by itself until the plan stands.
  await owner.getByRole("heading", { name: "Papers and files" }).waitFor({ timeout: 120000 });
}

const words = (pdf) => {
  const ran = spawnSync("pdftotext", ["-layout", "-", "-"], { input: pdf, encoding: "utf8" });
  assert.equal(ran.status, 0, `pdftotext (poppler-utils): ${ran.error || ran.stderr}`);
  return ran.stdout;
};

test("imported with three mistakes, mended, planned, the budget changed, the report printed", async () => {
  await owner.goto(`${s.address}/`);
  await owner.goto(`${s.address}/contracts`);
  await owner.getByRole("link", { name: "New contract" }).click();
  await accessible(owner, "new contract");
  await owner.getByLabel("Customer").selectOption({ label: "Juniper Vale Community Band" });
  for (const [label, text] of [["Budget", "$900"], ["First day of work", inDays(0)], ["Deadline", inDays(30)], ["Bench time a day", "3 h"]]) await owner.getByLabel(label).fill(text);
  await owner.getByRole("button", { name: "Open the contract" }).click();

  // The tables, as files, with three mistakes.
  const files = await tables();
  for (const name of ["instruments", "dents"]) {
    await owner.locator(`input[data-into='text-${name}-csv']`).setInputFiles(files[name]);
    await owner.waitForFunction((name) => document.getElementById(`text-${name}-csv`).value.includes("H-12"), name);
  }
  await owner.getByRole("button", { name: "Check and import" }).first().click();
  await owner.getByText("Nothing is imported.").waitFor();
  const told = await owner.locator(".problems").textContent();
  for (const what of [/did you mean “trumpet”/i, /H-77/, /deep/]) assert.match(told, what);
  await accessible(owner, "refused tables");
  await narrow(owner, "refused tables");
  await picture(owner, "contract-refused");
  const id = Number(/\/contracts\/(\d+)/.exec(owner.url())[1]);
  // Nothing is half-imported.
  const kept = await (await owner.request.get(`${s.address}/contracts/${id}/files/instruments.csv`)).text();
  assert.ok(!kept.includes("H-1,"));
  // Mended where they are told.
  const mend = async (was, to) => {
    const field = owner.locator(`.problems input[value="${was}"]`).first();
    await field.fill(to);
  };
  await mend("trumpett", "trumpet");
  await mend("H-77", "H-7");
  await mend("deep", "0.12");
  await owner.getByRole("button", { name: "Check and import" }).first().click();
  await owner.getByRole("button", { name: "Plan", exact: true }).waitFor();
  assert.match(await owner.locator("main").textContent(), /12 instruments/);

  // Planned.
  await planned("Plan");
  await accessible(owner, "a contract's plan");
  await narrow(owner, "a contract's plan");
  await picture(owner, "contract-plan", { fullPage: true });
  const table = owner.locator("table.picks[data-sorts]");
  const gets = async () => Number(/(\d+) of 12 instruments/.exec(await owner.locator(".answers").textContent())[1]);
  const before = await gets();
  assert.ok(before > 0 && before < 12, `${before} of 12: the budget is short`);
  // Sorted by price, dearest last.
  await table.getByRole("button", { name: "Price" }).click();
  const prices = await table.locator("tbody td:last-child").evaluateAll((all) => all.map((c) => Number(c.dataset.v)));
  assert.deepEqual(prices, [...prices].sort((a, b) => a - b));
  // Sifted: what is left.
  await owner.getByLabel("Show").selectOption("left");
  await owner.locator("form[action*='#instruments']").getByRole("button", { name: "Show" }).click();
  await owner.waitForURL(/show=left/);
  assert.equal(await table.locator("tbody tr").count(), 12 - before);

  // The budget is changed: what changes is told.
  await owner.goto(`${s.address}/contracts/${id}`);
  await owner.getByText("Change budget or deadline").click();
  await owner.locator("form[action$='/head']").getByLabel("Budget").fill("$2,400");
  await owner.locator("form[action$='/head']").getByRole("button", { name: "Save" }).click();
  await owner.getByText("Changed since this plan was made.").waitFor();
  await planned("Plan again");
  const changes = owner.locator("#changes");
  assert.match(await changes.textContent(), /The budget went from \$900 to \$2,400/);
  assert.match(await changes.textContent(), /left/);
  assert.ok((await gets()) > before);
  await changes.scrollIntoViewIfNeeded();
  await accessible(owner, "what changes");
  await picture(owner, "contract-changes");

  // One is done at the bench: it stays, and is no change.
  const bench = await s.tablet("wren");
  await bench.goto(`${s.address}/contracts`);
  await bench.getByRole("link", { name: "Juniper Vale Community Band" }).click();
  await bench.locator("summary", { hasText: "Done or begun" }).first().click();
  await bench.getByLabel("Time so far").first().fill("50");
  await bench.getByRole("button", { name: "Save" }).first().click();
  await bench.locator("summary", { hasText: /done, .*50 min/ }).waitFor();
  assert.ok(!(await bench.locator("main").textContent()).includes("$"), "no money for who does not quote");
  await accessible(bench, "work lists");
  await narrow(bench, "work lists");
  await bench.context().close();
  await owner.goto(`${s.address}/contracts/${id}`);
  await planned("Plan again");
  assert.match(await changes.textContent(), /1 instrument is done or begun/);

  // Jobs of two instruments: opened, one worked at the bench, and counted.
  const open = owner.locator("form[action$='/jobs']");
  await owner.locator("#jobs summary", { hasText: "Open jobs" }).click();
  await open.getByRole("button", { name: "Open jobs" }).click();
  // Nobody agreed: told beside its field.
  await owner.getByText("Say who agreed.").waitFor();
  await accessible(owner, "refused jobs");
  await open.getByLabel(/^Who agreed for/).fill("Dana Ferris");
  await open.getByLabel("Only these tags").fill("H-2, H-4");
  await Promise.all([owner.waitForEvent("load"), open.getByRole("button", { name: "Open jobs" }).click()]);
  await owner.getByText(/[1-9]\d* of \d+ instruments in this plan ha(s|ve) a job/).waitFor({ timeout: 120000 });
  const links = await table.locator("a[href^='/jobs/']").evaluateAll((all) => all.map((a) => a.getAttribute("href")));
  assert.equal(new Set(links).size, 2, `each has its own job: ${links}`);
  await accessible(owner, "a contract with jobs");
  await narrow(owner, "a contract with jobs");
  await owner.locator("#jobs").scrollIntoViewIfNeeded();
  await picture(owner, "contract-jobs", { fullPage: true });
  // A second tablet that opens the same ones opens nothing twice.
  const again = await owner.request.post(`${s.address}/contracts/${id}/jobs`, { form: { csrf: await open.locator("input[name=csrf]").getAttribute("value"), name: "Dana Ferris", how: "counter", tags: "" } });
  assert.ok(again.ok());
  await owner.goto(`${s.address}/contracts/${id}/progress`);
  await owner.locator("#jobs").waitFor({ timeout: 120000 });
  const all = await table.locator("a[href^='/jobs/']").evaluateAll((cells) => cells.map((a) => a.getAttribute("href")));
  assert.ok(all.length >= links.length && links.every((one) => all.includes(one)), "what was open stays as it was");
  assert.equal(new Set(all).size, all.length);
  // The job leads back, its bench works it, and its steps are timed.
  const [job] = links;
  await owner.goto(`${s.address}${job}`);
  await owner.getByRole("link", { name: new RegExp(`of contract ${id}`) }).waitFor();
  await picture(owner, "contract-job");
  assert.match(await owner.locator("main").textContent(), /agreed/);
  const hands = await s.tablet("ramon");
  await hands.goto(`${s.address}${job}/bench`);
  // The first steps, one after the other, until one asks for more than a tap.
  for (let n = 0; n < 3; n += 1) {
    const next = hands.locator("li.step.next"), number = await next.getAttribute("value");
    await next.getByRole("button", { name: "Done" }).click();
    await hands.locator(`li.step.done[value="${number}"] button[value=untick]`).waitFor({ state: "attached" });
  }
  await hands.context().close();
  await owner.goto(`${s.address}/contracts/${id}`);
  await owner.getByText(/1 job went on/).waitFor();
  await planned("Plan again");
  assert.match(await changes.textContent(), /2 instruments are done or begun\. They stay as they are\. \d+ more (is|are) agreed/);
  await owner.goto(`${s.address}/contracts/${id}/work`);
  await owner.locator(`#done ~ ul a[href='${job}']`).waitFor();

  // The district's report, as it is printed.
  const pdf = await owner.request.get(`${s.address}/contracts/${id}/files/report.pdf`);
  assert.equal(pdf.status(), 200);
  const report = words(await pdf.body());
  for (const what of [/Repair plan for Juniper Vale Community Band/, /\$2,400/, /H-1\b/, /North/, /likelihood of/]) assert.match(report, what);
  const list = words(await (await owner.request.get(`${s.address}/contracts/${id}/work/work-list.pdf`)).body());
  assert.match(list, /H-\d+/);
  const calendar = await (await owner.request.get(`${s.address}/contracts/${id}/work/calendar.ics`)).text();
  assert.match(calendar, /^BEGIN:VCALENDAR/);

  // The other pages of a contract on a telephone.
  for (const at of ["/head", "/tables", "/instrument?tag=H-1", "/work"]) {
    await owner.goto(`${s.address}/contracts/${id}${at}`);
    await accessible(owner, at);
    await narrow(owner, at);
  }
}, { timeout: 300000 });
