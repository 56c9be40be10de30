// Exports by keyboard: asked for, made while the page waits, fetched and taken away.
import assert from "node:assert/strict";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessible, browser, demoPractice, desktop, enter, folder, open, press, serve, shot, tablet } from "../lib.mjs";

let server, chrome;

before(async () => {
  const key = join(folder(), "study.key");
  writeFileSync(key, Buffer.alloc(32, 5));
  server = await serve(demoPractice(), "0", ["--study-key", key]);
  chrome = await browser();
});

after(async () => {
  await chrome?.close();
  await server?.stop();
});

test("three exports are asked for, made beside each other and fetched", async () => {
  const page = await open(chrome, desktop);
  await enter(page, `${server.address}/practice`);
  await press(page, page.getByRole("link", { name: "Exports" }));
  await page.waitForURL("**/exports");
  await shot(page, "exports-none");
  for (const title of ["Health records of everybody", "A study without names", "Every film read again"]) {
    await press(page, page.getByRole("button", { name: new RegExp(`^Ask for it.*${title}$`) }));
    await page.locator(".export-row", { hasText: title }).waitFor();
  }
  await shot(page, "exports-waiting");
  // The page looks again by itself, and says so to whoever does not see it.
  await page.getByText("ready", { exact: true }).nth(2).waitFor({ timeout: 120_000 });
  assert.match((await page.locator("p[role=status]").textContent()) ?? "", /ready/);
  await page.getByText("Each value is what was kept").waitFor();
  await shot(page, "exports-ready");
  await accessible(page, "exports");
  const small = await open(chrome, tablet);
  await enter(small, `${server.address}/exports`);
  await shot(small, "exports-ready-820");

  const row = page.locator(".export-row", { hasText: "A study without names" });
  const coming = page.waitForEvent("download");
  await press(page, row.getByRole("link", { name: "Fetch it" }));
  const zip = readFileSync(await (await coming).path());
  assert.equal(zip.subarray(0, 2).toString(), "PK");
  assert.ok(zip.includes("cohort/visit_year="));
  await press(page, row.getByRole("button", { name: "Take it away" }));
  await page.getByText("gone", { exact: true }).waitFor();
  assert.deepEqual(page.faults, []);
});
