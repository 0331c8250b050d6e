// A certificate given: the shop is served over TLS, its cookie travels over TLS only; the first start says how to sign in.
import { test } from "node:test";
import assert from "node:assert/strict";
import { execFileSync, spawn } from "node:child_process";
import https from "node:https";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
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

test("with a certificate the shop answers over TLS, and the owner of the first start can sign in", { timeout: 60000 }, async () => {
  const folder = mkdtempSync(path.join(tmpdir(), "trueround-tls-"));
  const [certificate, key] = [path.join(folder, "shop.pem"), path.join(folder, "shop.key")];
  execFileSync("openssl", ["req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "2", "-subj", "/CN=shop.test",
    "-addext", "subjectAltName=IP:127.0.0.1", "-addext", "basicConstraints=critical,CA:FALSE", "-keyout", key, "-out", certificate], { stdio: "ignore" });
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
  } finally {
    child.removeAllListeners("exit");
    child.kill("SIGTERM");
    rmSync(folder, { recursive: true, force: true });
  }
});
