// What the tests of the shell bench share.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { enter, folder, press, tiebeam, type, unfold } from "./lib.mjs";

/** The visit of today of the demo's first patient, which has a scan of each foot. */
export async function toVisit(page, address) {
  await enter(page, address);
  await page.getByRole("link", { name: /Quillfeather/ }).first().click();
  await page.waitForURL(/visit/);
  return page.url();
}

/** An order from measurements, begun by keyboard alone. */
export async function toMeasured(page, address, side) {
  await toVisit(page, address);
  await unfold(page, page.locator("#m-length"));
  await page.locator("#m-side").selectOption(side);
  for (const [field, mm] of [["length", "248"], ["ball", "96"], ["heel", "64"], ["nav", "34"]]) await type(page, page.locator(`#m-${field}`), mm);
  await press(page, page.getByRole("button", { name: "Make a device from measurements" }));
  await page.waitForURL(/order/);
  await ready(page);
}

/** An invented foot scan by its number, as a file; numbers after the feet are what must be refused. */
export function scanFile(t, number) {
  const dir = folder(t);
  const made = spawnSync(tiebeam, ["phantom", "--out", dir, "--scan", String(number)], { encoding: "utf8" });
  assert.equal(made.status, 0, made.stderr);
  const name = readdirSync(dir).find((f) => f.endsWith(".stl"));
  return { path: join(dir, name), words: made.stdout };
}

export const ready = (page) => page.waitForSelector('#bench[data-state="ready"]');
export const saved = (page) => page.waitForFunction(() => /^Saved/.test(document.getElementById("saved")?.textContent ?? ""));
export const value = (page, name) => page.locator(`[name="${name}"]`).inputValue();

/** The next preview that is painted. */
export async function painted(page, act) {
  const before = await page.evaluate(() => performance.getEntriesByName("preview").length);
  await act();
  await page.waitForFunction((n) => performance.getEntriesByName("preview").length > n, before);
}

/** Where a thing of the plan is, in pixels of the page. */
export async function onPlan(page, thing) {
  const box = await page.locator(`.b-plan [data-thing="${thing}"] .hit`).boundingBox();
  return [box.x + box.width / 2, box.y + box.height / 2];
}

/** Where the chosen thing stands over the picture, once nothing is drawn anew any more. */
export async function onPicture(page) {
  await page.waitForSelector('#bench[data-drawn="solid"]');
  return page.locator(".b-marks .chosen").evaluate((g) => {
    const m = g.getScreenCTM();
    return [m.e, m.f];
  });
}

/** Drags from one place by a way, and waits for what is painted meanwhile. */
export async function drag(page, [x, y], [dx, dy]) {
  await page.mouse.move(x, y);
  await page.mouse.down();
  await painted(page, () => page.mouse.move(x + dx, y + dy, { steps: 4 }));
  await page.mouse.up();
}
