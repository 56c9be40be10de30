// Every page, at a desk and on a tablet: accessible, no wider than its window, no fault of a script.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { accessible, browser, demoPractice, desktop, enter, open, serve, shot, tablet } from "../lib.mjs";

let server, chrome, addresses;

before(async () => {
  server = await serve(demoPractice());
  chrome = await browser();
  addresses = await pages();
});

after(async () => {
  await chrome?.close();
  await server?.stop();
});

/** The first patient's pages, by the links that a person would follow. */
async function pages() {
  const page = await open(chrome);
  await enter(page, server.address);
  const href = async (selector, words) => page.locator(selector, words ? { hasText: words } : {}).first().getAttribute("href");
  const visit = await href('a[href^="/visit/"]', /Quillfeather/);
  await page.goto(server.address + visit);
  const patient = await href('a[href^="/patient/"]');
  const film = await href('#films a[href^="/film/"]', /lateral/i);
  await page.getByRole("button", { name: "Draft the letter" }).click();
  await page.waitForURL(/\/letter\/[0-9a-f-]+$/);
  const letter = new URL(page.url()).pathname;
  assert.ok(visit && patient && film, "the demo's first patient has a visit with films");
  await page.context().close();
  return {
    today: "/",
    patient,
    care: `${patient}/care`,
    "care-injection": `${patient}/care/new?kind=injection&side=left`,
    course: `${patient}/course?size=4`,
    leg: `${visit}/leg/left`,
    "letter-kinds": `${visit}/letters/new`,
    visit,
    film,
    "film-agreement": `${film}/agreement`,
    letters: "/letters",
    letter,
    practice: "/practice",
    sources: "/sources",
    agreement: "/agreement",
    "new-patient": "/patients/new",
  };
}

for (const [size, viewport] of [["1440", desktop], ["820", tablet]]) {
  test(`every page is accessible and fits at ${viewport.width} × ${viewport.height}`, async (t) => {
    const page = await open(chrome, viewport);
    for (const [name, address] of Object.entries(addresses)) {
      await t.test(name, async () => {
        await enter(page, server.address + address);
        if (name === "film") await page.waitForSelector('#desk[data-state="ready"]');
          await shot(page, `${name}-${size}`);
        await shot(page, `${name}-${size}-whole`, true);
        // Closed sections hold inputs too.
        await page.evaluate(() => document.querySelectorAll("details").forEach((d) => (d.open = true)));
        await accessible(page, name);
        assert.deepEqual(page.faults, []);
      });
    }
    await page.context().close();
  });
}

test("in the light of the film room every page keeps its contrast", async (t) => {
  const page = await open(chrome, desktop);
  await enter(page, server.address);
  await page.getByRole("button", { name: "Film room light" }).click();
  for (const [name, address] of Object.entries(addresses)) {
    await t.test(name, async () => {
      await page.goto(server.address + address);
      if (name === "film") await page.waitForSelector('#desk[data-state="ready"]');
      await shot(page, `${name}-1440-dark`);
      await accessible(page, name);
      assert.deepEqual(page.faults, []);
    });
  }
  await page.context().close();
});
