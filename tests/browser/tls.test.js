// A certificate given: the shop is served over TLS, its cookie travels over TLS only; the first start says how to sign in.
import { test } from "node:test";
import assert from "node:assert/strict";
import { execFileSync, spawn } from "node:child_process";
import https from "node:https";
import tls from "node:tls";
import { mkdtempSync, readFileSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { BINARY } from "./shop.js";

function ask(url, ca, { method = "GET", body } = {}) {
  return new Promise((done, fail) => {
    const headers = body ? { "content-type": "application/x-www-form-urlencoded", "content-length": Buffer.byteLength(body) } : {};
    const request = https.request(url, { ca, method, headers }, (answer) => {
      answer.resume();
      answer.on("end", () => done(answer));
    });
    request.on("error", fail);
    request.end(body);
  });
}

/** A certificate of the test's own. */
function make(certificate, key) {
  execFileSync("openssl", ["req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "2", "-subj", "/CN=shop.test",
    "-addext", "subjectAltName=IP:127.0.0.1", "-addext", "basicConstraints=critical,CA:FALSE", "-keyout", key, "-out", certificate], { stdio: "ignore" });
}

/** The certificate that a server shows. */
function peer(address) {
  const { hostname, port } = new URL(address);
  return new Promise((done, fail) => {
    const socket = tls.connect({ host: hostname, port, rejectUnauthorized: false }, () => { done(socket.getPeerCertificate()); socket.destroy(); });
    socket.on("error", fail);
  });
}

/** Runs `serve` until it says what is waited for, or ends. */
function serve(args, wanted) {
  const child = spawn(BINARY, ["serve", ...args]);
  let said = "";
  return new Promise((done, fail) => {
    const late = setTimeout(() => fail(new Error(`it does not say ${wanted}: ${said}`)), 30000);
    const hear = (chunk) => { said += chunk; if (wanted.test(said)) { clearTimeout(late); done({ child, said: () => said }); } };
    child.stdout.on("data", hear);
    child.stderr.on("data", hear);
    child.on("exit", (code) => { clearTimeout(late); fail(new Error(`the server ended with ${code}: ${said}`)); });
  });
}

test("to the network nothing goes unencrypted by itself: the program makes its own certificate, and says its fingerprint", { timeout: 120000 }, async () => {
  const folder = mkdtempSync(path.join(tmpdir(), "trueround-own-"));
  const data = path.join(folder, "shop");
  const children = [];
  const run = async (args, wanted) => { const s = await serve(["--data", data, ...args], wanted); children.push(s.child); return s; };
  const stop = async (s) => { s.child.removeAllListeners("exit"); s.child.kill("SIGTERM"); await new Promise((done) => s.child.once("exit", done)); };
  try {
    const args = ["--listen", "0.0.0.0:0", "--name", "shop.example", "--redirect-from", "127.0.0.1:18461"];
    const first = await run(args, /From a tablet/);
    assert.doesNotMatch(first.said(), /http:/);
    const port = Number(/https:\/\/0\.0\.0\.0:(\d+)/.exec(first.said())[1]);
    const address = `https://127.0.0.1:${port}`;
    const told = /SHA-256 of the certificate: ([0-9A-F:]{95})/.exec(first.said())[1];
    assert.equal((await peer(address)).fingerprint256, told);
    for (const file of ["key.pem", "certificate.pem"]) assert.equal(statSync(path.join(data, "tls", file)).mode & 0o777, 0o600);
    await assert.rejects(fetch(`http://127.0.0.1:${port}/sign-in`), "plain HTTP is answered");
    // The authority that the page gives makes a tablet trust it, under its name and its address.
    const get = (at, options) => new Promise((done, fail) => {
      const request = https.get(`${address}${at}`, options, (answer) => { let text = ""; answer.on("data", (c) => { text += c; }); answer.on("end", () => done({ answer, text })); });
      request.on("error", fail);
    });
    const page = await get("/trust", { rejectUnauthorized: false });
    assert.ok(page.text.includes(told), "the page shows the fingerprint");
    assert.equal(page.answer.headers["strict-transport-security"], undefined, "its own certificate pins nothing");
    const { text: ca } = await get("/trust/certificate.pem", { rejectUnauthorized: false });
    assert.match(ca, /BEGIN CERTIFICATE/);
    assert.equal((await get("/sign-in", { ca })).answer.statusCode, 200);
    assert.equal((await get("/sign-in", { ca, servername: "shop.example", headers: { host: `shop.example:${port}` } })).answer.statusCode, 200);
    assert.equal((await get("/sign-in", { rejectUnauthorized: false, headers: { host: "evil.example" } })).answer.statusCode, 421);
    // A plain address leads to the encrypted one, for our own names only.
    const led = await fetch("http://127.0.0.1:18461/jobs/1?x=2", { redirect: "manual" });
    assert.equal(led.status, 308);
    assert.match(led.headers.get("location"), /^https:\/\/127\.0\.0\.1:\d+\/jobs\/1\?x=2$/);
    await stop(first);
    // The same one again.
    const second = await run(["--listen", "0.0.0.0:0"], /From a tablet/);
    assert.ok(second.said().includes(told), "another certificate after a restart");
    await stop(second);
    // Plain HTTP to the network only where somebody says so, and it says what that means.
    const third = await run(["--listen", "0.0.0.0:0", "--insecure"], /From a tablet/);
    assert.match(third.said(), /Not encrypted \(--insecure\)/);
    await stop(third);
    await assert.rejects(serve(["--data", data, "--listen", "127.0.0.1:0", "--redirect-from", "127.0.0.1:18461"], /open at/), /ended with 2/);
  } finally {
    for (const child of children) { child.removeAllListeners("exit"); child.kill("SIGTERM"); }
    rmSync(folder, { recursive: true, force: true });
  }
});

test("with a certificate the shop answers over TLS, and the owner of the first start can sign in", { timeout: 60000 }, async () => {
  const folder = mkdtempSync(path.join(tmpdir(), "trueround-tls-"));
  const [certificate, key] = [path.join(folder, "shop.pem"), path.join(folder, "shop.key")];
  make(certificate, key);
  const child = spawn(BINARY, ["serve", "--data", path.join(folder, "shop"), "--listen", "127.0.0.1:0", "--tls-certificate", certificate, "--tls-key", key]);
  try {
    let said = "";
    const address = await new Promise((done, fail) => {
      const hear = (chunk) => { said += chunk; const found = /https:\/\/127\.0\.0\.1:\d+/.exec(said); if (found) done(found[0]); };
      child.stdout.on("data", hear);
      child.stderr.on("data", hear);
      child.on("exit", (code) => fail(new Error(`the server ended with ${code}: ${said}`)));
    });
    const ca = readFileSync(certificate);
    assert.equal((await ask(`${address}/sign-in`, ca)).statusCode, 200);
    await assert.rejects(ask(`${address}/sign-in`), /certificate/, "a stranger's certificate is refused by the client");
    const [, login, password] = /Sign in as “(\w+)” with the password (\S+)/.exec(said);
    const answer = await ask(`${address}/sign-in`, ca, { method: "POST", body: new URLSearchParams({ login, password }).toString() });
    assert.equal(answer.statusCode, 303);
    assert.match(answer.headers["set-cookie"][0], /; HttpOnly; SameSite=Lax; Secure$/);
    assert.match(answer.headers["strict-transport-security"], /max-age=\d{7,}/, "a certificate that the shop gave: no other connection from now on");
    // Renewed: the files change, and the shop goes on with the new certificate without being stopped.
    const before = (await peer(address)).fingerprint256;
    make(certificate, key);
    let now = before;
    for (let i = 0; i < 50 && now === before; i++) { await new Promise((done) => setTimeout(done, 200)); now = (await peer(address)).fingerprint256; }
    assert.notEqual(now, before, "the new certificate is not taken up");
    assert.equal((await ask(`${address}/sign-in`, readFileSync(certificate))).statusCode, 200);
  } finally {
    child.removeAllListeners("exit");
    child.kill("SIGTERM");
    rmSync(folder, { recursive: true, force: true });
  }
});
