// Bad input on the shell bench: one sentence, and nothing is lost.
import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { ready, saved, scanFile, toMeasured, toVisit, value } from "../bench-lib.mjs";
import { browser, demoPractice, desktop, folder, open, serve, type, unfold } from "../lib.mjs";

/** Numbers of invented scans that must be refused, with their names. */
const REFUSED = { "a hand": 26, "cut through the arch, heel kept": 23 };

let server, chrome;

before(async () => {
  server = await serve(demoPractice());
  chrome = await browser();
});

after(async () => {
  await chrome?.close();
  await server?.stop();
});

test("what is no foot is refused in one sentence, and what was said beside it stays", async (t) => {
  const page = await open(chrome, desktop);
  const bad = join(folder(t), "bad.stl");
  await toVisit(page, server.address);
  const scans = page.locator("#device .film-line");
  const before = await scans.count();
  const given = (bytes) => {
    writeFileSync(bad, bytes);
    return bad;
  };
  const refused = (name) => {
    const made = scanFile(t, REFUSED[name]);
    assert.ok(made.words.includes(name), `the list of scans has changed: ${made.words}`);
    return made.path;
  };
  const cases = [
    [given, "no surface at all", /found/i],
    [given, Buffer.alloc(84 + 50), /found/i],
    [given, "", /found no file|choose/i],
    [refused, "a hand", /found .*as feet have/i],
    [refused, "cut through the arch, heel kept", /found .*cut/i],
  ];
  for (const [make, what, says] of cases) {
    await unfold(page, page.locator("#scan-file"));
    await page.locator("#scan-file").setInputFiles(make(what));
    await page.locator("#scan-load").selectOption("none");
    await page.locator("#scan-unit").selectOption({ label: "millimetres" });
    await page.evaluate(() => (document.querySelector("form[data-upload=scan] .upload-voice").textContent = ""));
    await page.getByRole("button", { name: "Take the scan in" }).click();
    await page.waitForFunction(() => /found/i.test(document.querySelector("form[data-upload=scan] .upload-voice")?.textContent ?? ""), null, { timeout: 60000 });
    const words = await page.locator("form[data-upload=scan] .upload-voice").textContent();
    assert.match(words, says);
    assert.doesNotMatch(words, /panick|unwrap|Error/);
    assert.equal(await page.locator("#scan-load").inputValue(), "none", "what was said is still there");
    t.diagnostic(`${Buffer.isBuffer(what) ? "an empty solid" : what || "an empty file"}: ${words}`);
  }
  await page.reload();
  assert.equal(await scans.count(), before, "nothing was kept");
  page.faults = page.faults.filter((f) => !/422|400|413/.test(f));
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a hand is refused where its side is said, too", async (t) => {
  const page = await open(chrome, desktop);
  await toVisit(page, server.address);
  await unfold(page, page.locator("#scan-file"));
  await page.locator("#scan-file").setInputFiles(scanFile(t, REFUSED["a hand"]).path);
  await page.locator("#scan-load").selectOption("none");
  await page.locator("#scan-side").selectOption("right");
  await page.getByRole("button", { name: "Take the scan in" }).click();
  const voice = page.locator("form[data-upload=scan] .upload-voice");
  await page.waitForFunction(() => location.pathname.startsWith("/scan") || /found/i.test(document.querySelector("form[data-upload=scan] .upload-voice")?.textContent ?? ""), null, { timeout: 60000 });
  const refused = page.url().includes("/visit/");
  const words = refused ? await voice.textContent() : "";
  await page.context().close();
  assert.ok(refused, "the hand was taken in");
  assert.match(words, /foot/);
});

test("values that nobody can make are told at their fields, and the rest goes on", async () => {
  const page = await open(chrome, desktop);
  await toMeasured(page, server.address, "right");
  const cases = [
    ["thickness", "0.5", /0\.5 mm as the shell's thickness; expected/],
    ["post", "40", /found .*40.*expected/i],
    ["heel_cup", "deep", /found "deep"; expected a number/i],
  ];
  for (const [field, text, says] of cases) {
    const input = page.locator(`#f-${field}`);
    const before = await input.inputValue();
    await type(page, input, text);
    await page.keyboard.press("Tab");
    const note = page.locator(`[data-field="${field}"] .field-fault`);
    await note.waitFor();
    assert.match(await note.textContent(), says);
    assert.equal(await value(page, field), text, "what was typed stays");
    await page.locator(".b-stage canvas").waitFor();
    await input.fill(before);
    await page.keyboard.press("Tab");
    await note.waitFor({ state: "detached" });
    await saved(page);
  }
  await page.reload();
  await ready(page);
  assert.notEqual(await value(page, "thickness"), "0.5");
  page.faults = page.faults.filter((f) => !/422/.test(f));
  assert.deepEqual(page.faults, []);
  await page.context().close();
});
