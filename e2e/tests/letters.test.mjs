// Letters: begun on their page by keyboard, in a language of their own, changed, read, signed and frozen.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { accessible, browser, demoPractice, desktop, enter, open, press, serve, shot, tablet, tabTo, type } from "../lib.mjs";

let server, chrome, visit;

before(async () => {
  server = await serve(demoPractice());
  chrome = await browser();
  const page = await open(chrome);
  await enter(page, server.address);
  visit = await page.locator('a[href^="/visit/"]', { hasText: /Quillfeather/ }).first().getAttribute("href");
  await page.context().close();
});

after(async () => {
  await chrome?.close();
  await server?.stop();
});

/** Chooses an entry of a list by typing its first letters. */
async function pick(page, list, words) {
  await tabTo(page, list);
  await page.keyboard.type(words);
  const chosen = await list.evaluate((e) => e.selectedOptions[0].textContent.trim());
  assert.ok(chosen.startsWith(words), `${words} is chosen, found ${chosen}`);
}

test("a note for an employer in Spanish tells what was agreed, by keyboard from the visit to the frozen paper", async () => {
  const page = await open(chrome, desktop);
  await enter(page, server.address + visit);
  await press(page, page.getByRole("link", { name: "Another kind of letter, or another language" }));
  await page.waitForURL(/\/letters\/new$/);
  await pick(page, page.getByLabel("Kind of letter"), "Note for the employer");
  await pick(page, page.getByLabel("Language of the letter"), "Español");
  await type(page, page.getByLabel(/^Who agreed/), "the person, today");
  await type(page, page.getByLabel("What goes well"), "trabajo sentado");
  await type(page, page.getByLabel("Until when it holds"), "6 January 2027");
  await press(page, page.getByRole("button", { name: "Draft the letter" }));
  await page.waitForURL(/\/letter\/[0-9a-f-]+$/);
  const letter = page.locator("article.letter-text");
  assert.equal(await letter.getAttribute("lang"), "es");
  const said = await letter.textContent();
  for (const words of ["Nota para la empresa", "trabajo sentado.", "6 de enero de 2027", "No se da ningún motivo"]) {
    assert.ok(said.includes(words), words);
  }
  for (const kept of ["estadio", "tendón", "dolor"]) assert.ok(!said.includes(kept), kept);
  await accessible(page, "letter-es");
  await press(page, page.getByRole("button", { name: "Sign and freeze" }));
  await page.waitForFunction(() => document.body.textContent.includes("Frozen."));
  assert.match(await letter.textContent(), /Firmado el \d+ de \w+ de \d{4}/);
  const coming = page.waitForEvent("download");
  await press(page, page.getByRole("link", { name: "Download PDF" }));
  const pdf = readFileSync(await (await coming).path());
  assert.equal(pdf.subarray(0, 4).toString(), "%PDF");
  assert.ok(pdf.includes("/Lang (es)") || pdf.includes("/Lang(es)"), "the paper names its language");
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

for (const [size, viewport] of [["1440", desktop], ["820", tablet]]) {
  test(`the page on which a letter is begun is accessible and fits at ${viewport.width} × ${viewport.height}`, async () => {
    const page = await open(chrome, viewport);
    await enter(page, `${server.address + visit}/letters/new`);
    await shot(page, `letter-begin-${size}`, true);
    await accessible(page, "letter-begin");
    assert.deepEqual(page.faults, []);
    await page.context().close();
  });
}

test("every kind that is offered is drafted in every language", async () => {
  const page = await open(chrome, desktop);
  const address = `${server.address + visit}/letters/new`;
  await enter(page, address);
  const values = (label) => page.getByLabel(label).locator("option").evaluateAll((all) => all.map((o) => o.value));
  const [kinds, languages] = [await values("Kind of letter"), await values("Language of the letter")];
  assert.ok(kinds.length >= 7 && languages.length === 2, `${kinds} ${languages}`);
  for (const kind of kinds) {
    for (const language of languages) {
      await page.goto(address);
      await page.getByLabel("Kind of letter").selectOption(kind);
      await page.getByLabel("Language of the letter").selectOption(language);
      await page.getByRole("button", { name: "Draft the letter" }).click();
      await page.waitForURL(/\/letter\/[0-9a-f-]+$/);
      assert.equal(await page.locator("article.letter-text").getAttribute("lang"), language, kind);
      // Structure is the same in every language; the test above holds a Spanish letter.
      if (language === "en") await accessible(page, `${kind}-${language}`);
    }
  }
  assert.deepEqual(page.faults, []);
  await page.context().close();
});

test("a leg is measured by keyboard and its order for the lab carries the sizes and the drawing", async () => {
  const page = await open(chrome, desktop);
  await enter(page, `${server.address + visit}/leg/left`);
  for (const [label, value] of [
    [/^Round the ankle/, "231"],
    [/^Where the ankle's girth was taken/, "95"],
    [/^Its middle, from the back of the heel/, "105"],
    [/^Its middle, above the floor/, "30"],
    [/^How long/, "28"],
    [/^How high/, "20"],
  ]) {
    await type(page, page.getByLabel(label), value);
  }
  // The button is pressed while changes are still being kept: it waits for them, and nothing is refused.
  const loaded = page.waitForEvent("load");
  await press(page, page.getByRole("button", { name: "Save and draw again" }));
  await loaded;
  await page.getByRole("heading", { name: "Left leg, measured for a brace" }).waitFor();
  assert.equal(await page.getByLabel(/^How high/).inputValue(), "20");
  await page.locator("svg ellipse").first().waitFor();
  await press(page, page.getByRole("link", { name: "Write the order for the lab" }));
  await page.waitForURL(/\/letters\/new\?kind=to-lab$/);
  assert.equal(await page.getByLabel("Kind of letter").inputValue(), "to-lab");
  await type(page, page.getByLabel(/^What is to be made/), "Lace-up gauntlet, left");
  await press(page, page.getByRole("button", { name: "Draft the letter" }));
  await page.waitForURL(/\/letter\/[0-9a-f-]+$/);
  const letter = page.locator("article.letter-text");
  const said = await letter.textContent();
  for (const words of ["Lace-up gauntlet, left.", "231 mm", "105 mm", "one hour on the first day"]) {
    assert.ok(said.includes(words), words);
  }
  assert.equal(await letter.locator("img").count(), 1, "the drawing of the leg");
  assert.deepEqual(page.faults, []);
  await page.context().close();
});
