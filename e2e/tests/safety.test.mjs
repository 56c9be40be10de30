// Backups, a copy without names and erasing, by keyboard, in a practice that is sealed.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessible, browser, demoPractice, desktop, enter, folder, open, press, serve, shot, tablet, tabTo, tiebeam, type, unfold } from "../lib.mjs";

const PASSPHRASE = "seven herons on the weir";
const env = { TIEBEAM_PASSPHRASE: PASSPHRASE, TIEBEAM_NEW_PASSPHRASE: PASSPHRASE };
let server, chrome;

function does(...args) {
  const done = spawnSync(tiebeam, args, { encoding: "utf8", env: { ...process.env, ...env } });
  assert.equal(done.status, 0, done.stderr);
  return done.stdout;
}

before(async () => {
  const sealed = join(folder(), "sealed");
  does("key", "--data", sealed, "make");
  does("move", "--data", demoPractice(), "--to-data", sealed);
  server = await serve(sealed, "0", ["--backup-to", join(folder(), "backups")], env);
  chrome = await browser();
});

after(async () => {
  await chrome?.close();
  await server?.stop();
});

test("a backup is asked for, made and proved while the page waits", async () => {
  const page = await open(chrome, desktop);
  await enter(page, `${server.address}/backups`);
  for (let i = 0; i < 120; i++) {
    await page.goto(`${server.address}/backups`);
    if ((await page.getByText("It was put back beside itself and held the same").count()) > 0) break;
    await page.waitForTimeout(500);
  }
  await page.getByText("It was put back beside itself and held the same").waitFor();
  await page.getByText("sealed where they lie").waitFor();
  await press(page, page.getByRole("button", { name: "Make one now" }));
  await page.getByRole("status").waitFor();
  await shot(page, "safety-backups");
  await accessible(page, "backups");
  const small = await open(chrome, tablet);
  await enter(small, `${server.address}/backups`);
  await shot(small, "safety-backups-820");
  assert.deepEqual(page.faults, []);
});

test("a film is copied without names after somebody has looked at it", async () => {
  const page = await open(chrome, desktop);
  await enter(page, `${server.address}/`);
  const film = await filmOf(page);
  await page.goto(`${server.address}${film}`);
  await press(page, page.getByRole("link", { name: "Copy without names" }));
  await page.waitForURL("**/nameless");
  await type(page, page.getByLabel("Top"), "12");
  await press(page, page.getByRole("button", { name: "Show it so" }));
  await page.waitForURL("**top=12**");
  const shown = page.locator("img.film-copy");
  await shown.evaluate((img) => img.decode());
  await shot(page, "safety-nameless");
  await accessible(page, "a copy without names");
  const looked = page.getByLabel("I have looked at the picture above");
  await tabTo(page, looked);
  await page.keyboard.press("Space");
  const coming = page.waitForEvent("download");
  await press(page, page.getByRole("button", { name: "Take the copy" }));
  const file = await (await coming).path();
  const bytes = readFileSync(file);
  assert.equal(bytes.subarray(128, 132).toString(), "DICM");
  assert.ok(!bytes.includes("Invented"));
  assert.deepEqual(page.faults, []);
});

/** The first film of the first patient who has one. */
async function filmOf(page) {
  for (const link of await page.locator('a[href^="/patient/"]').evaluateAll((all) => all.map((a) => a.getAttribute("href")))) {
    await page.goto(`${server.address}${link}`);
    for (const visit of await page.locator('a[href^="/visit/"]').evaluateAll((all) => all.map((a) => a.getAttribute("href")))) {
      await page.goto(`${server.address}${visit}`);
      const film = page.locator('a[href^="/film/"]').first();
      if ((await film.count()) > 0) return (await film.getAttribute("href")).split("#")[0];
    }
  }
  throw new Error("no film in the demo");
}

test("somebody is erased for good, and only with the number on the chart", async () => {
  const page = await open(chrome, tablet);
  await enter(page, `${server.address}/`);
  await page.goto(`${server.address}${await page.locator('a[href^="/patient/"]').first().getAttribute("href")}`);
  const patient = new URL(page.url()).pathname;
  const leads = page.locator('a[href$="/erase"]');
  await unfold(page, leads);
  await press(page, leads);
  await page.waitForURL("**/erase");
  const number = (await page.locator('label[for="chart_number"]').textContent()).match(/chart, (.*), once/)[1];
  await shot(page, "safety-erase");
  await accessible(page, "erasing");
  await type(page, page.getByLabel("The number on the chart"), "another");
  await type(page, page.getByLabel("Why"), "asked for by the person in writing");
  await press(page, page.getByRole("button", { name: "Erase for good" }));
  await page.getByText("another number than the one on this chart").waitFor();
  await page.goBack();
  await type(page, page.getByLabel("The number on the chart"), number);
  await type(page, page.getByLabel("Why"), "asked for by the person in writing");
  await press(page, page.getByRole("button", { name: "Erase for good" }));
  await page.waitForURL(`${server.address}/`);
  assert.equal((await page.goto(`${server.address}${patient}`)).status(), 404);
  await page.goto(`${server.address}/erased`);
  await page.getByText("asked for by the person in writing").waitFor();
  await shot(page, "safety-erased");
  await accessible(page, "who was erased");
  // The refusal and the address that leads nowhere any more are what was asked for.
  assert.deepEqual(page.faults.filter((f) => !/status of (422|404)/.test(f)), []);
});
