// The film desk by hand and by keyboard: points in, readings out, undone, finished, accessible.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessible, browser, demo, demoPractice, desktop, enter, folder, onStage, open, serve, shot, tablet, tiebeam } from "../lib.mjs";

let out, server, chrome, film;

before(async () => {
  out = demo();
  server = await serve(demoPractice());
  chrome = await browser();
});

after(async () => {
  await chrome?.close();
  await server?.stop();
});

async function filmAddress(page, words) {
  await enter(page, server.address);
  await page.getByRole("link", { name: /Quillfeather/ }).first().click();
  await page.waitForURL(/visit|patient/);
  const link = page.locator('a[href^="/film/"]', { hasText: words }).first();
  return new URL(await link.getAttribute("href"), server.address).href;
}

const rowValue = (page, measure) => page.locator(`.desk-rows li[data-measure="${measure}"] .value`);

test("points placed by hand give the readings that the same points give on the command line", async () => {
  const page = await open(chrome, desktop);
  const address = await filmAddress(page, /lateral foot, left/i);
  const points = JSON.parse(readFileSync(join(out, "films/left-lateral.points.json"))).points;
  await page.goto(`${address}?again=yes`);
  await page.waitForSelector('#desk[data-state="ready"]');
  film = await page.evaluate(async (id) => (await fetch(`/film/${id}/meta`)).json(), address.split("/").pop());
  for (const landmark of film.landmarks) {
    const point = points[landmark.key];
    if (!point) continue;
    await page.locator(`.desk-points button[data-point="${landmark.key}"]`).click();
    const [x, y] = await onStage(page, film, [point.x_px, point.y_px]);
    await page.mouse.click(x, y);
  }
  // Every point, also one that lies a few pixels beside another.
  const wanted = film.landmarks.filter((l) => points[l.key]).length;
  assert.ok(wanted >= 15);
  await page.waitForFunction((n) => document.querySelectorAll(".desk-points button.placed").length === n, wanted);
  await page.waitForFunction(() => document.querySelector('.desk-rows li[data-measure="calc_pitch"] .value'));
  const readings = JSON.parse(readFileSync(join(out, "readings.json"))).find((f) => f.film === "left-lateral").readings;
  for (const key of ["calc_pitch", "meary_lat", "tca_lat"]) {
    const expected = readings.find((r) => r.measure === key);
    const shown = Number.parseFloat(await rowValue(page, key).textContent());
    // The hand places to a screen pixel, about four film pixels here: a degree at most on these lines.
    assert.ok(Math.abs(shown - expected.value) < 1.5, `${key}: ${shown} on the page, ${expected.value} in the file`);
  }
  await shot(page, "desk-1440");
  await accessible(page, "the film desk");
  await page.setViewportSize(tablet);
  await page.waitForTimeout(300);
  await shot(page, "desk-820");
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a whole placing by keyboard: place, nudge by tenths, undo, redo, take away, finish", async () => {
  const page = await open(chrome, desktop);
  const address = await filmAddress(page, /lateral foot, right/i);
  await page.goto(`${address}?again=yes`);
  await page.waitForSelector('#desk[data-state="ready"]');
  await page.locator(".desk-stage").focus();
  const placed = () => page.locator(".desk-points button.placed").count();
  await page.keyboard.press("Enter");
  assert.equal(await placed(), 1);
  const key = await page.locator(".desk-points button.placed").first().getAttribute("data-point");
  const kept = () => page.evaluate(async (id) => (await (await fetch(`/film/${id}/meta?again=yes`)).json()).points, address.split("/").pop());
  // Nobody presses a key for it: a placed point is kept after a moment.
  await page.waitForFunction(() => /saved|kept/i.test(document.querySelector(".desk-saved")?.textContent ?? ""));
  assert.ok((await kept())[key], "kept by itself");
  const at = async () => {
    const answered = page.waitForResponse((r) => r.request().method() === "POST" && /\/points/.test(r.url()));
    await page.keyboard.press("s");
    await answered;
    return (await kept())[key];
  };
  const start = await at();
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("Shift+ArrowDown");
  const moved = await at();
  assert.ok(Math.abs(moved[0] - start[0] - 0.2) < 0.011, `${start} to ${moved}`);
  assert.ok(Math.abs(moved[1] - start[1] - 1) < 0.011, `${start} to ${moved}`);
  await page.keyboard.press("z");
  assert.deepEqual(await at(), start, "a run of nudges is undone at once");
  await page.keyboard.press("y");
  assert.deepEqual(await at(), moved);
  await page.keyboard.press("Delete");
  assert.equal(await placed(), 0);
  await page.keyboard.press("z");
  assert.equal(await placed(), 1);
  for (const k of ["+", "-", "i", "i", "[", "]", ",", ".", "g", "l", "l", "t", "t", "t", "t", "m", "m", "0", "n", "p"]) await page.keyboard.press(k);
  assert.equal(await placed(), 1, "no key of the view loses a point");
  assert.deepEqual(await at(), moved, "turning and mirroring move no point");
  await page.keyboard.press("f");
  await page.waitForFunction(() => document.querySelector(".desk-saved")?.textContent?.includes("Finished"));
  await page.keyboard.press("ArrowRight");
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("millimetres come from a ball or a known length marked on the film, and are put back by undo", async (t) => {
  const dir = folder(t);
  const made = spawnSync(tiebeam, ["phantom", "--out", dir, "--view", "lateral", "--side", "right", "--ball"], { encoding: "utf8" });
  assert.equal(made.status, 0, made.stderr);
  const { ball } = JSON.parse(readFileSync(join(dir, "right-lateral.truth.json"))).film;
  const page = await open(chrome, desktop);
  await enter(page, server.address);
  await page.getByRole("link", { name: /Quillfeather/ }).first().click();
  await page.waitForURL(/visit/);
  // Where films stand already, the place for another one is folded.
  await page.locator("#film-file").evaluate((input) => {
    for (let around = input.closest("details"); around; around = around.parentElement?.closest("details")) around.open = true;
  });
  await page.locator("#film-file").setInputFiles(join(dir, "right-lateral.dcm"));
  await page.getByRole("button", { name: "Take the film in" }).click();
  await page.waitForURL(/\/film\//);
  await page.waitForSelector('#desk[data-state="ready"]');
  const film = await page.evaluate(async () => (await fetch(`${location.pathname}/meta`)).json());
  const facts = page.locator(".desk-facts");
  const says = (words) => page.waitForFunction((w) => document.querySelector(".desk-facts").textContent.includes(w), words);
  const before = await facts.textContent();
  await page.locator(".desk-stage").focus();
  await page.keyboard.press("b");
  for (const turn of [0.3, 1.7, 3.1, 4.4, 5.5]) {
    const r = ball.diameter_px / 2;
    await page.mouse.click(...(await onStage(page, film, [ball.centre_px[0] + r * Math.cos(turn), ball.centre_px[1] + r * Math.sin(turn)])));
  }
  await page.locator(".desk-stage").focus();
  await page.keyboard.press("b");
  await page.locator(".desk-proposal input").fill(String(ball.diameter_mm));
  await page.keyboard.press("Enter");
  await says("a ball of");
  const found = Number.parseFloat((await facts.textContent()).match(/([\d.]+) mm for each pixel/)[1]);
  const true_mm = ball.diameter_mm / ball.diameter_px;
  // A screen pixel is about four film pixels here; five marks on a radius of 160 px give 3 % at most.
  assert.ok(Math.abs(found / true_mm - 1) < 0.03, `${found} mm from the marks, ${true_mm} mm in truth`);

  await page.locator(".desk-stage").focus();
  await page.keyboard.press("k");
  await page.keyboard.press("Enter");
  await page.keyboard.press("Shift+ArrowRight");
  await page.keyboard.press("Enter");
  await page.keyboard.press("k");
  await page.locator(".desk-proposal input").fill("50");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => /expected 10 or more/.test(document.querySelector(".desk-voice").textContent));
  await says("a ball of");
  await page.keyboard.press("Escape");

  await page.locator(".desk-stage").focus();
  await page.keyboard.press("k");
  await page.keyboard.press("Enter");
  for (let i = 0; i < 3; i++) await page.keyboard.press("Control+ArrowRight");
  await page.keyboard.press("Enter");
  await page.keyboard.press("k");
  await page.locator(".desk-proposal input").fill("0");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => /expected millimetres/.test(document.querySelector(".desk-voice").textContent));
  await page.locator(".desk-proposal input").fill("50");
  await page.keyboard.press("Enter");
  await says("a known length of 50.0 mm");
  await shot(page, "desk-scale-1440");
  await page.locator(".desk-stage").focus();
  await page.keyboard.press("z");
  await says("a ball of");
  await page.keyboard.press("z");
  await says(before.slice(-40));
  await page.keyboard.press("y");
  await says("a ball of");
  await page.keyboard.press("z");
  await says(before.slice(-40));
  // The refusal of the two marks that lie too near is the one error the browser may report.
  assert.deepEqual(page.faults.filter((f) => !/422|400/.test(f)), []);
  await page.context().close();
});

test("a desk that gets no picture says so and offers its points and readings as tables", async () => {
  const page = await open(chrome, desktop);
  const address = await filmAddress(page, /lateral foot, right/i);
  await page.route("**/grey16*", (route) => route.fulfill({ status: 500, contentType: "text/plain", body: "no" }));
  await page.goto(`${address}?again=yes`);
  await page.waitForSelector('#desk[data-state="failed"]');
  await page.locator(".desk-failed a").click();
  await page.waitForURL(/plain=yes/);
  await page.locator('input[name="x-calc_back"]').fill("2700");
  await page.locator('input[name="y-calc_back"]').fill("1700");
  await page.getByRole("button", { name: "Save points" }).click();
  await page.waitForURL(/plain=yes#readings/);
  assert.equal(await page.locator('input[name="x-calc_back"]').inputValue(), "2700.0");
  await accessible(page, "points and readings as tables");
  await shot(page, "film-plain-1440");
  await page.context().close();
});

test("the desk works without script: a typed point is kept and read", async () => {
  const context = await chrome.newContext({ javaScriptEnabled: false, viewport: desktop });
  const page = await context.newPage();
  await enter(page, server.address);
  await page.getByRole("link", { name: /Quillfeather/ }).first().click();
  const address = await page.locator('a[href^="/film/"]', { hasText: /lateral foot, right/ }).first().getAttribute("href");
  await page.goto(`${server.address}${address}?again=yes`);
  const points = JSON.parse(readFileSync(join(out, "films/right-lateral.points.json"))).points;
  for (const key of ["calc_plantar_tuber", "calc_plantar_front", "calc_back", "mt1_head_front"]) {
    await page.locator(`input[name="x-${key}"]`).fill(String(points[key].x_px));
    await page.locator(`input[name="y-${key}"]`).fill(String(points[key].y_px));
  }
  await page.getByRole("button", { name: "Save points" }).click();
  const row = page.locator("table.readings tr", { hasText: /calcaneal pitch/i }).first();
  assert.match(await row.textContent(), /\d+\.\d°/);
  await context.close();
});
