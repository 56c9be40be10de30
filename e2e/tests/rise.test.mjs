// A heel rise by keyboard: a clip taken apart by the browser, points typed and moved by keys, followed, corrected,
// taken back and taken over; a photograph from behind by mouse; and files that are no clip.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { accessible, browser, demoPractice, desktop, enter, open, press, serve, shot, tablet, tabTo, unfold } from "../lib.mjs";

let chrome;
let server;

before(async () => {
  server = await serve(demoPractice());
  chrome = await browser();
});

after(async () => {
  await chrome?.close();
  await server?.stop();
});

/** An invented right leg with four stickers that rises twice in three seconds, filmed by the browser itself. */
async function filmed(page) {
  const data = await page.evaluate(async () => {
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [360, 480];
    const brush = canvas.getContext("2d");
    const seconds = 3;
    const paint = (t) => {
      const up = 40 * Math.max(0, Math.sin((2 * Math.PI * t) / 1.5 - Math.PI / 2) * 0.5 + 0.5);
      brush.fillStyle = "#b9b4aa";
      brush.fillRect(0, 0, 360, 480);
      // A patterned wall, so that the camera's own movement is known.
      for (let x = 0; x < 360; x += 24) for (let y = 0; y < 480; y += 24) {
        brush.fillStyle = `hsl(30 10% ${50 + ((x * 7 + y * 13) % 29)}%)`;
        brush.fillRect(x, y, 14, 14);
      }
      brush.fillStyle = "#c79a7d";
      brush.fillRect(140, 0, 80, 330 - up);
      brush.beginPath();
      brush.ellipse(180, 370 - up, 48, 60, 0, 0, 2 * Math.PI);
      brush.fill();
      for (const [x, y] of [[180, 90], [181, 230], [180, 335], [184, 400]]) {
        brush.fillStyle = "#fff";
        brush.beginPath();
        brush.arc(x, y - up, 9, 0, 2 * Math.PI);
        brush.fill();
        brush.fillStyle = "#111";
        brush.beginPath();
        brush.arc(x, y - up, 4, 0, 2 * Math.PI);
        brush.fill();
      }
    };
    paint(0);
    const stream = canvas.captureStream(25);
    const recorder = new MediaRecorder(stream, { mimeType: "video/webm;codecs=vp8", videoBitsPerSecond: 4e6 });
    const parts = [];
    recorder.ondataavailable = (e) => parts.push(e.data);
    const stopped = new Promise((done) => (recorder.onstop = done));
    recorder.start();
    const began = performance.now();
    await new Promise((done) => {
      const next = () => {
        const t = (performance.now() - began) / 1000;
        paint(Math.min(t, seconds));
        if (t < seconds + 0.2) requestAnimationFrame(next);
        else done();
      };
      next();
    });
    recorder.stop();
    await stopped;
    const bytes = new Uint8Array(await new Blob(parts).arrayBuffer());
    let text = "";
    for (const b of bytes) text += String.fromCharCode(b);
    return btoa(text);
  });
  return { name: "rises.webm", mimeType: "video/webm", buffer: Buffer.from(data, "base64") };
}

async function visit(page) {
  await enter(page, server.address);
  await page.goto(server.address);
  const at = server.address + (await page.locator("a", { hasText: "Quillfeather" }).first().getAttribute("href"));
  await page.goto(at);
  return at;
}

async function choose(page, input, file) {
  await unfold(page, page.locator(input));
  await tabTo(page, page.locator(input));
  const chooser = page.waitForEvent("filechooser");
  await page.keyboard.press("Enter");
  await (await chooser).setFiles(file);
}

async function type(page, id, text) {
  await tabTo(page, page.locator(id));
  await page.keyboard.press("Control+A");
  await page.keyboard.type(text);
  await page.keyboard.press("Tab");
  await page.waitForFunction(() => /^(Read again|Click)/.test(document.getElementById("capture-voice")?.textContent ?? ""));
}

test("a clip is taken apart, marked, followed, corrected and taken over by keyboard", async () => {
  const page = await open(chrome, desktop);
  await visit(page);
  await choose(page, "#clip-file", await filmed(page));
  await tabTo(page, page.locator("#clip-doing"));
  await page.keyboard.press("ArrowDown");
  assert.equal(await page.locator("#clip-doing").inputValue(), "one-leg");
  await press(page, page.getByRole("button", { name: "Take the heel rise in" }));
  await page.waitForURL(/\/capture\/[0-9a-f-]+$/, { timeout: 60_000 });
  const frames = Number(await page.locator("#capture").getAttribute("data-frames"));
  assert.ok(frames > 40, `${frames} frames of three seconds`);
  await accessible(page, "the page of a clip without points");

  for (const [key, at] of [["right-leg-upper", "180, 90"], ["right-leg-lower", "181, 230"], ["right-heel-upper", "180, 335"]]) await type(page, `#${key}`, at);
  // The fourth by 'Set' and the arrow keys, from the middle of the picture.
  await tabTo(page, page.getByRole("button", { name: "Set Heel, lower, right foot" }));
  await page.keyboard.press("Enter");
  for (let n = 0; n < 16; n++) await page.keyboard.press("Shift+ArrowDown");
  for (let n = 0; n < 4; n++) await page.keyboard.press("ArrowRight");
  await page.waitForFunction(() => /^Read again/.test(document.getElementById("capture-voice")?.textContent ?? ""));
  assert.equal(await page.locator("#right-heel-lower").inputValue(), "184.0, 400.0");
  const followed = page.waitForEvent("load");
  await press(page, page.getByRole("button", { name: "Follow the points through the clip" }));
  await followed;
  const count = page.locator("#capture-readings tr", { hasText: "Rises that count" }).locator(".value");
  assert.equal(await count.textContent(), "2");
  await accessible(page, "the page of a followed clip");
  await shot(page, "rise-1440");

  // Another frame, by its number: the points are where the heel is.
  await tabTo(page, page.locator("#frame-at"));
  await page.keyboard.press("Control+A");
  await page.keyboard.type("20");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.querySelector("#frame-picture")?.getAttribute("src")?.endsWith("/19"));
  await page.waitForFunction(() => !/^184.0, 400.0$/.test(document.getElementById("right-heel-lower")?.value ?? ""));
  await tabTo(page, page.getByRole("button", { name: /^Heel, lower, right foot: move/ }));
  for (let n = 0; n < 3; n++) await page.keyboard.press("ArrowLeft");
  await page.waitForFunction(() => /follow them again/.test(document.getElementById("capture-readings")?.textContent ?? ""));
  await press(page, page.getByRole("button", { name: "Undo the last change of the steps" }));
  await page.waitForFunction(() => /Rises that count/.test(document.getElementById("capture-readings")?.textContent ?? ""));
  assert.deepEqual(page.faults, []);
  await press(page, page.getByRole("button", { name: "Take over into the examination" }));
  await page.waitForURL(/\/visit\//);
  assert.equal(await page.locator('[name="q.heel_rise_count"]').last().inputValue(), "2");
});

test("a photograph from behind is marked by mouse, one point after the other", async () => {
  const page = await open(chrome, tablet);
  await visit(page);
  await page.locator("#captures .row-link a", { hasText: "Photograph from behind" }).first().click();
  await page.waitForURL(/\/capture\//);
  await accessible(page, "the page of a photograph on a tablet");
  const before = await page.locator("#capture-readings .value").first().textContent();
  await page.getByRole("button", { name: "Set Heel, lower, left foot" }).click();
  const box = await page.locator("#stage").boundingBox();
  assert.match(await page.locator("#capture-voice").textContent(), /^Click where it lies: Heel, lower/);
  await page.mouse.click(box.x + box.width * 0.2, box.y + box.height * 0.85);
  await page.waitForFunction(() => /^Read again/.test(document.getElementById("capture-voice")?.textContent ?? ""));
  assert.notEqual(await page.locator("#capture-readings .value").first().textContent(), before);
  await shot(page, "behind-820");
  await page.getByRole("button", { name: "Undo the last change of the steps" }).click();
  await page.waitForFunction((was) => document.querySelector("#capture-readings .value")?.textContent === was, before);
  assert.deepEqual(page.faults, []);
});

test("an empty clip, one that no browser opens and a picture get one sentence, and the visit goes on", async () => {
  const page = await open(chrome, desktop);
  const at = await visit(page);
  for (const [file, part] of [
    [{ name: "none.mp4", mimeType: "video/mp4", buffer: Buffer.alloc(0) }, /empty file/],
    [{ name: "odd.mov", mimeType: "video/quicktime", buffer: Buffer.from("not a clip at all") }, /cannot open odd.mov/],
    [{ name: "still.zip", mimeType: "application/zip", buffer: Buffer.from("PK\x03\x04torn") }, /no file of frames/i],
  ]) {
    await choose(page, "#clip-file", file);
    await press(page, page.getByRole("button", { name: "Take the heel rise in" }));
    await page.waitForFunction((words) => new RegExp(words, "i").test(document.querySelector('[data-upload="clip"] .upload-voice')?.textContent ?? ""), part.source);
    assert.equal(page.url(), at);
  }
});
