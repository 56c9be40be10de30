// A print by keyboard: taken in, read, its axis moved by the arrow keys, taken back, and taken over into the
// examination; and files that are no print.
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

/** An invented ink print of a left foot, toes up, as a browser paints it. */
async function inked(page) {
  const data = await page.evaluate(() => {
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [840, 1280];
    const brush = canvas.getContext("2d");
    brush.fillStyle = "#ecebe6";
    brush.fillRect(0, 0, 840, 1280);
    brush.fillStyle = "#242a30";
    const spot = (x, y, rx, ry = rx) => {
      brush.beginPath();
      brush.ellipse(2 * x, 2 * y, 2 * rx, 2 * ry, 0, 0, 2 * Math.PI);
      brush.fill();
    };
    spot(200, 520, 66);
    spot(205, 235, 95, 70);
    brush.fillRect(260, 470, 120, 570);
    for (const [x, y, r] of [[278, 118, 26], [230, 104, 17], [192, 112, 15], [158, 128, 14], [128, 150, 13]]) spot(x, y, r);
    return canvas.toDataURL("image/png").split(",")[1];
  });
  return { name: "print.png", mimeType: "image/png", buffer: Buffer.from(data, "base64") };
}

async function take(page, file) {
  await unfold(page, page.locator("#print-file"));
  await tabTo(page, page.locator("#print-file"));
  const chooser = page.waitForEvent("filechooser");
  await page.keyboard.press("Enter");
  await (await chooser).setFiles(file);
  await tabTo(page, page.locator("#print-doing"));
  await page.keyboard.press("ArrowDown");
  assert.equal(await page.locator("#print-doing").inputValue(), "standing");
  await press(page, page.getByRole("button", { name: "Take the print in" }));
}

const arch = (page) => page.locator("#capture-readings tr", { hasText: "Arch index" }).locator(".value").textContent();

test("a print is read, its axis moved by keys, taken back and taken over by keyboard", async () => {
  const page = await open(chrome, desktop);
  await enter(page, server.address);
  await page.goto(server.address);
  const visit = server.address + (await page.locator("a", { hasText: "Quillfeather" }).first().getAttribute("href"));
  await page.goto(visit);
  await take(page, await inked(page));
  await page.waitForURL(/\/capture\/[0-9a-f-]+$/);
  await accessible(page, "the page of a print");
  await shot(page, "print-1440");
  const found = await arch(page);
  assert.match(found, /^0\.\d{3} ± 0\.\d{3}$/);

  const toe = page.getByRole("button", { name: /^Second toe, Left foot/ });
  await tabTo(page, toe);
  for (let n = 0; n < 6; n++) await page.keyboard.press("Shift+ArrowLeft");
  await page.waitForFunction(() => /^Read again/.test(document.getElementById("capture-voice")?.textContent ?? ""));
  const moved = await arch(page);
  assert.notEqual(moved, found);
  await press(page, page.getByRole("button", { name: "Undo the last change of the steps" }));
  await page.waitForFunction((was) => document.querySelector("#capture-readings .value")?.textContent === was, found);

  // A place that is none is said beside it, and what stood there stays.
  await tabTo(page, page.locator("#heel-0"));
  await page.keyboard.press("Control+A");
  await page.keyboard.type("somewhere");
  await page.keyboard.press("Tab");
  await page.waitForFunction(() => /expected a place/.test(document.getElementById("capture-voice")?.textContent ?? ""));
  assert.equal(await page.locator("#heel-0").getAttribute("aria-invalid"), "true");
  assert.equal(await arch(page), found);
  // The browser itself names the refusal; nothing else may stand in its list of faults.
  assert.deepEqual(page.faults.filter((f) => !/422/.test(f)), []);

  await page.reload();
  await press(page, page.getByRole("button", { name: "Take over into the examination" }));
  await page.waitForURL(/\/visit\//);
  assert.equal(await page.locator('[name="q.arch_index_standing"]').first().inputValue(), found.slice(0, 5));
});

test("the page of a print fits a tablet and is accessible there", async () => {
  const page = await open(chrome, tablet);
  await enter(page, server.address);
  await page.goto(server.address);
  const visit = server.address + (await page.locator("a", { hasText: "Quillfeather" }).first().getAttribute("href"));
  await page.goto(visit);
  await page.locator("#captures .row-link a").first().click();
  await page.waitForURL(/\/capture\//);
  await accessible(page, "the page of a print on a tablet");
  await shot(page, "print-820");
});

test("a file that is no print gets one sentence, and the visit goes on", async () => {
  const page = await open(chrome, desktop);
  await enter(page, server.address);
  await page.goto(server.address);
  const visit = server.address + (await page.locator("a", { hasText: "Quillfeather" }).first().getAttribute("href"));
  await page.goto(visit);
  await take(page, { name: "letter.txt", mimeType: "text/plain", buffer: Buffer.from("Dear colleague") });
  const voice = page.locator('[data-upload="print"] .upload-voice');
  await page.waitForFunction(() => /not a picture/.test(document.querySelector('[data-upload="print"] .upload-voice')?.textContent ?? ""));
  assert.match(await voice.textContent(), /expected a PNG, JPEG or TIFF/);
  assert.equal(page.url(), visit);
});
