// The shell bench by hand and by keyboard: a device begun, changed, dragged, undone, made, taken out, sent.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { onPicture, painted, ready, saved, scanFile, toMeasured, toVisit, value } from "../bench-lib.mjs";
import { accessible, browser, demoPractice, desktop, folder, open, press, serve, shot, tablet, tabTo, type, unfold } from "../lib.mjs";

let server, chrome;

before(async () => {
  server = await serve(demoPractice());
  chrome = await browser();
});

after(async () => {
  await chrome?.close();
  await server?.stop();
});

/** Helpers that know where the program runs. */
const visit = (page) => toVisit(page, server.address);
const measured = (page, side) => toMeasured(page, server.address, side);

test("a device by keyboard only: begun, its post changed, undone, redone, made, taken out", async () => {
  const page = await open(chrome, desktop);
  await measured(page, "right");
  const post = page.locator("#f-post");
  const first = await post.inputValue();
  await painted(page, async () => {
    await type(page, post, "5");
    await page.keyboard.press("Tab");
  });
  await saved(page);
  assert.equal(await value(page, "post"), "5");
  // The length of the post has come with it.
  assert.notEqual(await value(page, "post_length"), "");
  await page.locator(".b-stage").focus();
  await painted(page, () => page.keyboard.press("z"));
  assert.equal(await value(page, "post"), first);
  await painted(page, () => page.keyboard.press("y"));
  assert.equal(await value(page, "post"), "5");
  // Arrow keys move the chosen point by tenths, with Shift by whole millimetres; a run is one step.
  const start = Number(await value(page, "point.first_head.x"));
  await painted(page, () => page.keyboard.press("ArrowUp"));
  await page.keyboard.press("ArrowUp");
  await page.keyboard.press("Shift+ArrowUp");
  assert.ok(Math.abs(Number(await value(page, "point.first_head.x")) - start - 1.2) < 0.011);
  await painted(page, () => page.keyboard.press("z"));
  assert.equal(Number(await value(page, "point.first_head.x")), start, "a run of nudges is undone at once");
  // The next things are the other points and then the places of the trim line.
  for (let i = 0; i < 5; i++) await page.keyboard.press("n");
  assert.match(await page.locator(".b-voice").textContent(), /Trim line 1/);
  await painted(page, () => page.keyboard.press("ArrowUp"));
  assert.equal(await value(page, "trim.0.05"), "0.1");
  await painted(page, () => page.keyboard.press("z"));
  assert.equal(await value(page, "trim.0.05"), "");
  await press(page, page.getByRole("button", { name: "Make the files" }));
  await page.waitForSelector('#final[data-state="done"]', { timeout: 60000 });
  const coming = page.waitForEvent("download");
  await press(page, page.getByRole("link", { name: /3MF with names/ }));
  const file = await coming;
  assert.match(file.suggestedFilename(), /^[A-Z0-9]{6}-right-device\.3mf$/);
  assert.ok(readFileSync(await file.path()).subarray(0, 2).equals(Buffer.from("PK")));
  await shot(page, "bench-files-1440");
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a place of the trim line is dragged in the picture and in the plan, and undone", async () => {
  const page = await open(chrome, desktop);
  await measured(page, "left");
  await page.getByRole("button", { name: /^Outer side/ }).click();
  const mark = async (n) => {
    const box = await page.locator(`.b-plan [data-thing="${n}"] circle`).first().boundingBox();
    return [box.x + box.width / 2, box.y + box.height / 2];
  };
  const inPlan = "trim.0.15";
  const [x, y] = await mark(inPlan);
  await page.mouse.move(x, y);
  await page.mouse.down();
  // Outward of a left foot's outer side is to the left.
  await painted(page, () => page.mouse.move(x - 6, y, { steps: 4 }));
  await page.mouse.up();
  // Sheets followed the hand; when it rests, the solid itself is there.
  await page.waitForSelector('#bench[data-drawn="solid"]');
  const moved = Number(await value(page, inPlan));
  assert.ok(moved > 1, `moved ${moved}`);
  await page.locator(".b-stage").focus();
  await painted(page, () => page.keyboard.press("z"));
  assert.equal(await value(page, inPlan), "");
  // In the picture: the marks stand over it; the chosen one is named.
  await page.locator("#b-chosen").selectOption("trim.0.20");
  const place = await onPicture(page);
  await page.mouse.move(...place);
  await page.mouse.down();
  await painted(page, () => page.mouse.move(place[0], place[1] - 12, { steps: 4 }));
  await page.mouse.up();
  assert.notEqual(await value(page, "trim.0.20"), "");
  await saved(page);
  const kept = await value(page, "trim.0.20");
  await page.reload();
  await ready(page);
  assert.equal(await value(page, "trim.0.20"), kept, "what was dragged is kept");
  // The page was loaded anew: undo goes on with the saved revisions.
  await page.locator(".b-stage").focus();
  await painted(page, () => page.keyboard.press("z"));
  assert.equal(await value(page, "trim.0.20"), "");
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("what cannot be made is told at its field, and typing on is not lost", async () => {
  const page = await open(chrome, desktop);
  await measured(page, "right");
  await type(page, page.locator("#f-thickness"), "0.5");
  await page.keyboard.press("Tab");
  const note = page.locator('[data-field="thickness"] .field-fault');
  await note.waitFor();
  assert.match(await note.textContent(), /0\.5 mm as the shell's thickness; expected/);
  assert.equal(await value(page, "thickness"), "0.5");
  await type(page, page.locator("#f-thickness"), "3.4");
  await page.keyboard.press("Tab");
  await note.waitFor({ state: "detached" });
  await saved(page);
  page.faults = page.faults.filter((f) => !/422/.test(f));
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("the bench meets WCAG 2.2 AA at both sizes and is wide enough for its words", async () => {
  const page = await open(chrome, desktop);
  await measured(page, "right");
  await page.waitForSelector(".b-section svg");
  await accessible(page, "the shell bench");
  await shot(page, "bench-1440");
  await page.locator("#b-map").selectOption("walls");
  await type(page, page.locator("#f-thickness_arch"), "4.5");
  await painted(page, () => page.keyboard.press("Tab")).catch(() => {});
  await page.getByRole("button", { name: /^Behind/ }).click();
  await page.waitForTimeout(400);
  await shot(page, "bench-map-1440");
  await page.locator(".b-right").evaluate((e) => (e.scrollTop = 900));
  await shot(page, "bench-form-1440");
  await page.setViewportSize(tablet);
  await page.waitForTimeout(600);
  await accessible(page, "the shell bench on a tablet");
  await shot(page, "bench-820", true);
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a foot scan is taken in by keyboard, told what was found, made a device of, sent and frozen", async (t) => {
  const file = scanFile(t, 1).path;
  const page = await open(chrome, desktop);
  await visit(page);
  await unfold(page, page.locator("#scan-file"));
  await tabTo(page, page.locator("#scan-file"));
  const choosing = page.waitForEvent("filechooser");
  await page.keyboard.press("Enter");
  await (await choosing).setFiles(file);
  await tabTo(page, page.locator("#scan-load"));
  await page.keyboard.type("without");
  await press(page, page.getByRole("button", { name: "Take the scan in" }));
  await page.waitForURL(/scan\//, { timeout: 60000 });
  const found = await page.locator("#found-head + ul li, section[aria-labelledby=found-head] li").allTextContents();
  assert.match(found[0], /^Right foot, 2[45]\d\.?\d* mm long/);
  assert.ok(found.length >= 3, found.join(" | "));
  await accessible(page, "the scan's page");
  await shot(page, "scan-1440", true);
  await press(page, page.getByRole("button", { name: "Make a device" }));
  await page.waitForURL(/order\//);
  await ready(page);
  const order = page.url();
  await page.waitForSelector(".b-section svg");
  await shot(page, "bench-scan-1440");
  await press(page, page.getByRole("button", { name: "Compute strength" }));
  await page.waitForSelector("#strength table, #strength .note", { timeout: 60000 });
  await shot(page, "bench-strength-1440");
  await press(page, page.getByRole("button", { name: "Make the files" }));
  await page.waitForSelector('#final[data-state="done"]', { timeout: 120000 });
  const agreed = page.locator('#agree:not([hidden]) input');
  if ((await agreed.count()) > 0) {
    // What holds back is told first; only a person goes past it.
    await press(page, page.getByRole("button", { name: /^Send/ }));
    await page.waitForURL(/send/);
    assert.match(await page.locator("main").textContent(), /limits? that stands? against this device|found \d+ limit/i);
    await page.goto(order);
    await ready(page);
    await press(page, page.getByRole("button", { name: "Make the files" }));
    await page.waitForSelector('#final[data-state="done"]', { timeout: 120000 });
    await tabTo(page, agreed);
    await page.keyboard.press("Space");
  }
  await press(page, page.getByRole("button", { name: /^Send/ }));
  await page.waitForURL(order);
  await page.getByText(/it no longer changes/).waitFor();
  await ready(page);
  assert.ok(await page.locator("#f-post").isDisabled());
  const coming = page.waitForEvent("download");
  await page.getByRole("link", { name: /Order sheet/ }).first().click();
  const sheet = await coming;
  const path = join(folder(t), "sheet.pdf");
  await sheet.saveAs(path);
  const text = spawnSync("pdftotext", [path, "-"], { encoding: "utf8" });
  if (!text.error) {
    assert.match(text.stdout, /Order [A-Z0-9]{6}/);
    assert.doesNotMatch(text.stdout, /Quillfeather/, "no name goes to the maker");
  }
  page.faults = page.faults.filter((f) => !/409/.test(f));
  assert.deepEqual(page.faults, []);
  await page.context().close();
});
