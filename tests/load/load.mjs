// Fifty tablets on one shop: how fast do the pages answer? Bounded: every tablet asks a fixed number of pages, with the
// pause of a person between them, on the loopback only; then it stops by itself. A tablet mostly works on its own three
// jobs; three asks in ten are for any job of the whole shop, whose plan nobody has asked for before.
//
//   trueround demo --data DIR --fill 20000 --listen 127.0.0.1:8470 --connections-per-address 400     (in another terminal)
//   node tests/load/load.mjs http://127.0.0.1:8470
import http from "node:http";

const base = new URL(process.argv[2] || "http://127.0.0.1:8470");
if (!["127.0.0.1", "localhost", "[::1]"].includes(base.hostname)) throw new Error("only this machine is ever asked");
const TABLETS = Number(process.argv[3] || 50), PAGES = Number(process.argv[4] || 60), PAUSE_MS = 1000;
// A second run on one shop makes dents of its own.
const RUN = Date.now().toString(36);

const agent = new http.Agent({ keepAlive: true, maxSockets: TABLETS });
function ask(path, { method = "GET", body, headers = {}, packed = false } = {}) {
  return new Promise((done, fail) => {
    const began = process.hrtime.bigint();
    const request = http.request(new URL(path, base), { agent, method, headers: { "accept-encoding": packed ? "gzip" : "identity", ...headers, ...(body ? { "content-length": Buffer.byteLength(body) } : {}) } }, (answer) => {
      let text = "";
      answer.setEncoding("utf8");
      answer.on("data", (c) => { text += c; });
      answer.on("end", () => done({ status: answer.statusCode, headers: answer.headers, text, ms: Number(process.hrtime.bigint() - began) / 1e6 }));
    });
    request.on("error", fail);
    if (body) request.write(body);
    request.end();
  });
}
const pause = (ms) => new Promise((done) => setTimeout(done, ms));

async function signIn(login) {
  const body = new URLSearchParams({ login, password: "saltmarsh lane" }).toString();
  const answer = await ask("/sign-in", { method: "POST", body, headers: { "content-type": "application/x-www-form-urlencoded" } });
  if (answer.status !== 303) throw new Error(`sign-in answered ${answer.status}`);
  return answer.headers["set-cookie"][0].split(";")[0];
}

let seed = 42;
const dice = (n) => { seed = (seed * 1103515245 + 12345) % 2147483648; return Math.floor((seed / 2147483648) * n); };
const cookie = await signIn("ottilie");
const board = await ask("/", { headers: { cookie } });
const csrf = /name="csrf" content="([^"]+)"/.exec(board.text)[1];
// The newest job found has the highest number.
const most = Number((await ask("/?find=School", { headers: { cookie } })).text.match(/\/jobs\/(\d+)/)[1]);
console.log(`${most} jobs in the shop`);
const results = new Map();

async function tablet(i) {
  const own = [0, 1, 2].map(() => 41 + dice(most - 40));
  await pause(dice(PAUSE_MS));
  for (let n = 0; n < PAGES; n++) {
    const job = dice(10) < 7 ? own[dice(3)] : 41 + dice(most - 40);
    const [name, path, options] = [
      ["board", "/"],
      ["board, one state", "/?state=on_bench"],
      ["find", `/?find=T${String(job).padStart(5, "0")}`],
      ["job", `/jobs/${job}`],
      ["survey", `/jobs/${job}/survey`],
      ["plan", `/jobs/${job}/plan`],
      ["quote", `/jobs/${job}/quote`],
      ["bench", `/jobs/${job}/bench`],
      ["checks", `/jobs/${job}/checks`],
      ["customers", "/customers?find=school"],
      ["save a dent", `/jobs/${job}/survey/dents`, { method: "POST", body: JSON.stringify({ name: null, token: `load-${RUN}-${i}-${n}`, from: 0, form: 2, run: "bell-stem", at: "40 mm", clock: "90°", depth: "2 mm" }), headers: { "content-type": "application/json", "x-csrf": csrf, accept: "application/json" } }],
    ][dice(11)];
    const answer = await ask(path, { ...options, packed: true, headers: { cookie, ...(options?.headers || {}) } });
    // A job that was picked up takes no more dents: that answer is counted by itself.
    const refused = options && answer.status === 422;
    if (answer.status !== 200 && !refused) throw new Error(`${path} answered ${answer.status}: ${answer.text.slice(0, 200)}`);
    const kind = refused ? "a dent of a job that was picked up" : name;
    if (!results.has(kind)) results.set(kind, []);
    results.get(kind).push(answer.ms);
    await pause(PAUSE_MS / 2 + dice(PAUSE_MS));
  }
}
const began = Date.now();
await Promise.all(Array.from({ length: TABLETS }, (_, i) => tablet(i)));
const at = (list, q) => list[Math.min(list.length - 1, Math.floor(list.length * q))];
const line = (name, list) => { list.sort((a, b) => a - b); console.log(`| ${name} | ${list.length} | ${at(list, 0.5).toFixed(1)} | ${at(list, 0.99).toFixed(1)} | ${list.at(-1).toFixed(1)} |`); };
console.log(`${TABLETS} tablets, ${((Date.now() - began) / 1000).toFixed(0)} s\n\n| page | asked | median ms | 99 % ms | slowest ms |\n|---|---|---|---|---|`);
for (const [name, list] of [...results].sort()) line(name, list);
line("all", [...results.values()].flat());
agent.destroy();
