// How fast the shell bench answers the hand, measured in the browser; prints BENCH rows.
import { browser, demoPractice, desktop, enter, open, quantile, serve } from "./lib.mjs";

const server = await serve(demoPractice());
const chrome = await browser();
try {
  const page = await open(chrome, desktop);
  await enter(page, server.address);
  await page.getByRole("link", { name: /Quillfeather/ }).first().click();
  await page.waitForURL(/visit/);
  await page.getByRole("button", { name: "Make a device for the right foot" }).first().click();
  await page.waitForSelector('#bench[data-state="ready"]');
  const times = () => page.evaluate(() => performance.getEntriesByName("preview").map((e) => e.duration));
  const after = async (count) => page.waitForFunction((n) => performance.getEntriesByName("preview").length >= n, count);

  // One change after the other, each seen before the next.
  const before = (await times()).length;
  for (let i = 0; i < 40; i++) {
    const field = ["#f-post", "#f-heel_cup", "#f-thickness", "#f-behind_heads"][i % 4];
    await page.locator(field).focus();
    await page.keyboard.press(i % 8 < 4 ? "ArrowUp" : "ArrowDown");
    await after(before + i + 1);
    await page.waitForTimeout(600);
  }
  const single = (await times()).slice(before);
  row(`a change to the repainted picture, 95th of ${single.length}`, quantile(single, 0.95), "ms", "< 150 ms", quantile(single, 0.95) < 150);
  row("a change to the repainted picture, median", quantile(single, 0.5), "ms", "< 150 ms", quantile(single, 0.5) < 150);
  const solids = async () => page.evaluate(() => performance.getEntriesByName("solid").map((e) => e.duration));
  const settled = (await solids()).slice(1);
  row(`a change to the repainted solid (120 ms of rest in it), median of ${settled.length}`, quantile(settled, 0.5), "ms", "< 500 ms", settled.length > 30 && quantile(settled, 0.5) < 500);

  // A drag that does not wait: what is painted is the newest, and how old it is.
  const box = await page.locator('.b-plan [data-thing="trim.0.80"] circle').first().boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  const dragged = (await times()).length;
  await page.mouse.move(x, y);
  await page.mouse.down();
  for (let i = 0; i < 160; i++) {
    await page.mouse.move(x + 5 * Math.sin(i / 9), y);
    await page.waitForTimeout(16);
  }
  if (process.env.SHOT) await page.screenshot({ path: process.env.SHOT });
  await page.mouse.up();
  await page.waitForTimeout(700);
  const drag = (await times()).slice(dragged);
  row(`a drag to the repainted picture, 95th of ${drag.length}`, quantile(drag, 0.95), "ms", "< 150 ms", drag.length > 10 && quantile(drag, 0.95) < 150);
  row("a drag to the repainted picture, median", quantile(drag, 0.5), "ms", "< 150 ms", quantile(drag, 0.5) < 150);

  const asked = Date.now();
  await page.locator("#strength-ask").click();
  await page.waitForSelector("#strength table", { timeout: 120000 });
  const strength = (Date.now() - asked) / 1000;
  row("strength of every load case, with its band, to the table", strength, "s", "< 2 s", strength < 2);

  const began = Date.now();
  await page.getByRole("button", { name: "Make the files" }).click();
  await page.waitForSelector('#final[data-state="done"]', { timeout: 120000 });
  const took = (Date.now() - began) / 1000;
  row("files made, checked, written, read back and measured", took, "s", "< 3 s", took < 3);
} finally {
  await chrome.close();
  await server.stop();
}

function row(name, value, unit, goal, holds) {
  console.log(`BENCH ${JSON.stringify({ name, value, ours: value, reference: null, ratio: null, unit, goal, holds })}`);
}
