// A whole visit by keyboard alone, from an empty record to a signed letter; a program that is killed in
// the middle of one; and files that are no films.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { deflateSync } from "node:zlib";
import { browser, choose, demo, desktop, folder, open, press, serve, shot, tabTo, type, unfold } from "../lib.mjs";

let out, chrome;

before(async () => {
  out = demo();
  chrome = await browser();
});

after(async () => {
  await chrome?.close();
});

const question = (page, id) => page.locator(`[id="${id}"]`);
const saved = (page, of) => page.waitForFunction((id) => /^Saved/.test(document.getElementById(id)?.textContent ?? ""), `saved-${of}`);

/** From the first start to an open visit, all by keyboard. */
async function begin(page, address) {
  await page.goto(address);
  await page.waitForURL(/\/start$/);
  await type(page, page.getByLabel("Name of the practice"), "Rooms at Testmoor (invented)");
  await type(page, page.getByLabel(/^Your name/), "Dr Tess Invented");
  await type(page, page.getByLabel("Your qualification"), "foot and ankle clinician");
  await press(page, page.getByRole("button", { name: "Begin" }));
  await page.waitForURL((url) => url.pathname === "/");
  await press(page, page.getByRole("link", { name: "Add a patient" }));
  await page.waitForURL(/\/patients\/new$/);
  await type(page, page.getByLabel("Given name"), "Una");
  await type(page, page.getByLabel("Family name"), "Keyes");
  await type(page, page.getByLabel("Chart number"), "T-1");
  await tabTo(page, page.getByLabel("Born on"));
  await page.keyboard.type("03141968");
  await choose(page, page.getByRole("group", { name: /^Sex/ }), "female");
  await press(page, page.getByRole("button", { name: "Save" }));
  await page.waitForURL(/\/patient\/[0-9a-f-]+$/);
  await type(page, page.getByLabel("Why they come"), "Sore inner ankle on the left");
  await page.keyboard.press("Enter");
  await page.waitForURL(/\/visit\/[0-9a-f-]+$/);
  return page.url();
}

/** Takes a film in through the page's own file input. */
async function takeIn(page, path) {
  await tabTo(page, page.locator("#film-file"));
  const chooser = page.waitForEvent("filechooser");
  await page.keyboard.press("Enter");
  await (await chooser).setFiles(path);
  await press(page, page.getByRole("button", { name: "Take the film in" }));
}

async function atDesk(page) {
  await page.waitForURL(/\/film\/[0-9a-f-]+$/);
  await page.waitForSelector('#desk[data-state="ready"]');
  const id = new URL(page.url()).pathname.split("/").pop();
  return page.evaluate(async (film) => (await fetch(`/film/${film}/meta`)).json(), id);
}

/** Presses an arrow `pixels` times, in tens and ones. */
async function walk(page, pixels, back, forth) {
  const key = pixels < 0 ? back : forth;
  const far = Math.round(Math.abs(pixels));
  for (let i = 0; i < Math.floor(far / 10); i++) await page.keyboard.press(`Control+${key}`);
  for (let i = 0; i < far % 10; i++) await page.keyboard.press(`Shift+${key}`);
}

test("a whole visit by keyboard: first start, story, examination, film, points, decision, plan, letter, signature", async (t) => {
  const server = await serve(join(folder(t), "practice"));
  t.after(() => server.stop());
  const page = await open(chrome, desktop);
  const visit = await begin(page, server.address);

  await type(page, question(page, "person.complaint").locator("textarea"), "Sore behind the inner ankle after walking.");
  await type(page, question(page, "person.weight_kg").locator("input"), "82");
  await choose(page, question(page, "person.fever"), "no");
  await page.keyboard.press("Tab");
  await saved(page, "person");
  for (const [key, text] of [["pain_level", "5"], ["heel_rise_count", "4"]]) {
    await type(page, question(page, `left.${key}`).locator("input"), text);
  }
  for (const [key, value] of [["pain_inner_ankle", "pressed"], ["heel_rise_single", "partly"], ["heel_corrects", "fully"]]) {
    await choose(page, question(page, `left.${key}`), value);
  }
  await page.keyboard.press("Tab");
  await saved(page, "left");
  await shot(page, "keyboard-examination");

  await page.reload();
  await page.keyboard.press("Tab");
  assert.equal(await question(page, "left.heel_rise_count").locator("input").inputValue(), "4");
  assert.ok(await question(page, "left.heel_rise_single").locator('input[value="partly"]').isChecked());
  assert.ok(await question(page, "right.heel_rise_single").locator('input[value=""]').isChecked(), "what nobody asked stays not looked at");

  await takeIn(page, join(out, "films/left-lateral.dcm"));
  const film = await atDesk(page);
  const points = JSON.parse(readFileSync(join(out, "films/left-lateral.points.json"))).points;
  await tabTo(page, page.locator(".desk-stage"));
  const placed = [];
  for (;;) {
    const next = page.locator('.desk-points button[aria-current="true"]');
    if ((await next.count()) === 0) break;
    const key = await next.getAttribute("data-point");
    const wanted = points[key];
    if (!wanted || placed.includes(key)) break;
    await page.keyboard.press("Enter");
    // Where Enter puts a point, the middle of what is shown, is asked once; the rest is counted in key presses.
    await page.waitForFunction((k) => document.querySelector(`.desk-points button[data-point="${k}"]`)?.classList.contains("placed"), key);
    const middle = [(film.width - 1) / 2, (film.height - 1) / 2];
    await walk(page, wanted.x_px - middle[0], "ArrowLeft", "ArrowRight");
    await walk(page, wanted.y_px - middle[1], "ArrowUp", "ArrowDown");
    placed.push(key);
    await page.keyboard.press("Enter");
  }
  assert.ok(placed.length >= 18, `placed ${placed.length} points by keyboard`);
  // "Saved" may stand there from a moment before; the answer to this key is what counts.
  const asked = page.waitForRequest((r) => r.method() === "POST" && /\/points$/.test(r.url()));
  await page.keyboard.press("s");
  await (await asked).response();
  await page.waitForFunction(() => /saved|kept/i.test(document.querySelector(".desk-saved")?.textContent ?? ""));
  const kept = await page.evaluate(async (id) => (await (await fetch(`/film/${id}/meta`)).json()).points, new URL(page.url()).pathname.split("/").pop());
  for (const key of placed) {
    const away = Math.hypot(kept[key][0] - points[key].x_px, kept[key][1] - points[key].y_px);
    assert.ok(away < 4, `${key} lies ${away.toFixed(1)} px from where it was walked to`);
  }
  const readings = JSON.parse(readFileSync(join(out, "readings.json"))).find((f) => f.film === "left-lateral").readings;
  for (const measure of ["calc_pitch", "meary_lat", "tca_lat"]) {
    const shown = Number.parseFloat((await page.locator(`.desk-rows li[data-measure="${measure}"] .value`).textContent()).replace("−", "-"));
    const expected = readings.find((r) => r.measure === measure).value;
    // Four pixels at the end of the shortest bone line, about 250 px long, turn it by a degree.
    assert.ok(Math.abs(shown - expected) < 1, `${measure}: ${shown} by keyboard, ${expected} in the demo's file`);
  }
  await shot(page, "keyboard-desk");
  await page.keyboard.press("f");
  await page.waitForFunction(() => document.querySelector(".desk-saved")?.textContent?.includes("Finished"));

  await press(page, page.getByRole("link", { name: "Visit", exact: true }));
  await page.waitForURL(/\/visit\//);
  assert.match(await page.locator("#films").textContent(), /lateral foot, left/);
  const standing = await page.locator("#standing").textContent();
  assert.match(standing, /5 looked at/);
  assert.match(standing, /Calcaneal pitch/);
  await page.keyboard.press("Tab");

  const stage = await page.locator("#stages-left option").first().getAttribute("value");
  await type(page, page.locator("#chosen-left"), stage);
  await page.keyboard.press("Escape");
  await type(page, page.locator("#reason-left"), "Heel corrects fully by hand; tender along the tendon.");
  await page.keyboard.press("Enter");
  await page.waitForLoadState("load");
  await page.waitForFunction(() => /decided/.test(document.querySelector("#decision")?.textContent ?? ""));
  assert.equal(await page.locator("#chosen-left").inputValue(), stage);

  const rung = page.locator('#plan input[type="checkbox"]').first();
  await unfold(page, rung);
  await tabTo(page, rung);
  await page.keyboard.press("Space");
  await type(page, page.locator("#plan-words"), "Insole for three months; exercises most days.");
  await press(page, page.getByRole("button", { name: "Save the plan" }));
  await page.waitForLoadState("load");
  await page.waitForFunction(() => document.querySelector("#plan-words")?.value.startsWith("Insole"));
  assert.ok(await page.locator('#plan input[type="checkbox"]').first().isChecked());

  await type(page, page.locator("#letter-recipient"), "Dr Refer Invented");
  await press(page, page.getByRole("button", { name: "Draft the letter" }));
  await page.waitForURL(/\/letter\/[0-9a-f-]+$/);
  const draft = await download(page);
  assert.ok(draft.subarray(0, 4).toString() === "%PDF" && draft.length > 10_000, "the draft is a PDF");
  await shot(page, "keyboard-letter");
  await press(page, page.getByRole("button", { name: "Sign and freeze" }));
  await page.waitForFunction(() => document.body.textContent.includes("Signed"));
  assert.match(await page.locator("main").textContent(), /Frozen\. Signed .* by Dr Tess Invented/);
  const signed = await download(page);
  assert.equal(signed.subarray(0, 4).toString(), "%PDF");
  assert.deepEqual(await download(page), signed, "a signed letter does not change");

  await press(page, page.getByRole("navigation", { name: "Main" }).getByRole("link", { name: "Letters" }));
  await page.waitForURL(/\/letters$/);
  assert.match(await page.locator("main").textContent(), /Letter to the referring doctor about Keyes, Una/);
  assert.deepEqual(page.faults, []);
  assert.ok(visit.startsWith(server.address));
  await page.context().close();
});

async function download(page) {
  const coming = page.waitForEvent("download");
  await press(page, page.getByRole("link", { name: "Download PDF" }));
  return readFileSync(await (await coming).path());
}

test("a program killed in the middle of a visit loses nothing that was said to be saved", async (t) => {
  const data = join(folder(t), "practice");
  let server = await serve(data);
  t.after(() => server.stop("SIGKILL"));
  const page = await open(chrome, desktop);
  const visit = new URL(await begin(page, server.address)).pathname;
  await choose(page, question(page, "left.heel_rise_single"), "unable");
  await page.keyboard.press("Tab");
  await saved(page, "left");
  await takeIn(page, join(out, "films/left-lateral.dcm"));
  await atDesk(page);
  const film = new URL(page.url()).pathname;
  await tabTo(page, page.locator(".desk-stage"));
  for (let i = 0; i < 4; i++) {
    await page.keyboard.press("Enter");
    await page.keyboard.press("Control+ArrowRight");
    await page.keyboard.press("Enter");
  }
  await page.waitForFunction(() => /saved|kept/i.test(document.querySelector(".desk-saved")?.textContent ?? ""));
  const points = () => page.evaluate(async (f) => (await (await fetch(`${f}/meta`)).json()).points, film);
  const before = await points();
  assert.ok(Object.keys(before).length >= 1);
  await server.stop("SIGKILL");

  await page.keyboard.press("ArrowRight");
  await page.waitForFunction(() => (document.querySelector(".desk-voice")?.textContent ?? "").length > 0);
  assert.doesNotMatch(await page.locator(".desk-voice").textContent(), /undefined|TypeError/, "a sentence, not a fault");

  server = await serve(data);
  await page.goto(server.address + visit);
  assert.ok(await question(page, "left.heel_rise_single").locator('input[value="unable"]').isChecked());
  assert.match(await page.locator("#films").textContent(), /lateral foot, left/);
  await page.goto(server.address + film);
  assert.deepEqual(await points(), before);
  await page.context().close();
});

test("a change that could not be kept stays on the page with a sentence", async (t) => {
  const server = await serve(join(folder(t), "practice"));
  const page = await open(chrome, desktop);
  await begin(page, server.address);
  await type(page, question(page, "left.pain_level").locator("input"), "12");
  await page.keyboard.press("Tab");
  await page.waitForFunction(() => document.getElementById("saved-left")?.textContent?.startsWith("Not saved"));
  assert.match(await page.locator("#saved-left").textContent(), /0.*10/, "the sentence says what is expected");
  await server.stop("SIGKILL");
  await choose(page, question(page, "left.heel_rise_single"), "able");
  await page.keyboard.press("Tab");
  await page.waitForFunction(() => /does not answer/.test(document.getElementById("saved-left")?.textContent ?? ""));
  assert.ok(await question(page, "left.heel_rise_single").locator('input[value="able"]').isChecked());
  await page.context().close();
});

/** A PNG of one colour, true colour. */
function colourPng(width, height) {
  const crcTable = Array.from({ length: 256 }, (_, n) => {
    let c = n;
    for (let k = 0; k < 8; k++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
    return c >>> 0;
  });
  const crc = (bytes) => (bytes.reduce((c, b) => crcTable[(c ^ b) & 0xff] ^ (c >>> 8), 0xffffffff) ^ 0xffffffff) >>> 0;
  const chunk = (name, body) => {
    const head = Buffer.alloc(4);
    head.writeUInt32BE(body.length);
    const named = Buffer.concat([Buffer.from(name), body]);
    const tail = Buffer.alloc(4);
    tail.writeUInt32BE(crc(named));
    return Buffer.concat([head, named, tail]);
  };
  const size = Buffer.alloc(13);
  size.writeUInt32BE(width, 0);
  size.writeUInt32BE(height, 4);
  size.set([8, 2, 0, 0, 0], 8);
  const row = Buffer.concat([Buffer.from([0]), Buffer.from(Array.from({ length: width * 3 }, (_, i) => [200, 30, 60][i % 3]))]);
  const rows = Buffer.concat(Array.from({ length: height }, () => row));
  return Buffer.concat([Buffer.from([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10]), chunk("IHDR", size), chunk("IDAT", deflateSync(rows)), chunk("IEND", Buffer.alloc(0))]);
}

test("a file that is no film gets one sentence, with and without script, and the visit goes on", async (t) => {
  const server = await serve(join(folder(t), "practice"));
  t.after(() => server.stop());
  const page = await open(chrome, desktop);
  const visit = await begin(page, server.address);
  const whole = readFileSync(join(out, "films/left-lateral.dcm"));
  const files = [
    ["notes.txt", Buffer.from("Dear colleague, thank you for seeing this patient.\n"), /.+/],
    ["cut-off.dcm", whole.subarray(0, Math.floor(whole.length / 2)), /.+/],
    ["photograph.png", colourPng(64, 48), /colour/i],
    ["empty.dcm", Buffer.alloc(0), /.+/],
  ];
  const said = [];
  for (const [name, buffer, expected] of files) {
    await page.goto(visit);
    await page.locator("#film-file").setInputFiles({ name, mimeType: "application/octet-stream", buffer });
    await page.getByRole("button", { name: "Take the film in" }).click();
    await page.waitForFunction(() => {
      const words = document.querySelector("form[data-upload=film] .upload-voice")?.textContent ?? "";
      return words && !/^(Sending|Opening)/.test(words);
    });
    const words = await page.locator("form[data-upload=film] .upload-voice").textContent();
    said.push([name, words]);
    assert.match(words, expected, name);
    assert.match(words, /expected|choose|send|export|save/i, `${name}: says what to do: ${words}`);
    assert.doesNotMatch(words, /panick|unwrap|thread '|Error\(/, name);
    assert.equal((await page.request.get(server.address)).status(), 200, "the server stays up");
  }
  for (const [name, words] of said) t.diagnostic(`${name}: ${words}`);

  const plain = await (await chrome.newContext({ javaScriptEnabled: false, viewport: desktop })).newPage();
  for (const [name, buffer] of files) {
    await plain.goto(visit);
    await plain.locator("#film-file").setInputFiles({ name, mimeType: "application/octet-stream", buffer });
    await plain.getByRole("button", { name: "Take the film in" }).click();
    await plain.waitForURL(/\/films$/);
    assert.match(await plain.locator("main").textContent(), /could not be used|not possible/i, name);
  }
  await plain.goto(visit);
  assert.match(await plain.locator("#films").textContent(), /No film yet/);
  await plain.context().close();
  await page.context().close();
});
